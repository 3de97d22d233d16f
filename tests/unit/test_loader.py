from __future__ import annotations

import pytest

from placardry.book.figures import Fact
from placardry.errors import NoBookError
from placardry.loader import load
from tests.books import files, judged, said


def test_without_a_book_file_there_is_no_book() -> None:
    with pytest.raises(NoBookError, match="--book"):
        load({"procedures/facts.yaml": b"facts: {}"})


def test_an_unknown_format_is_refused_before_anything_else_is_read() -> None:
    text = files()["procedures/book.yaml"].decode().replace("format: 1", "format: 2")
    prepared = judged(book=text, facts="nonsense: 1")
    assert said(prepared) == [("unknown-format", "format: 2")]
    assert prepared.book is None


def test_one_broken_record_costs_no_other() -> None:
    prepared = judged(
        facts="""\
        document: marl-manual
        facts:
          fuse: {nominal: 15 Amper, name: fuse, source: page 3}
          lamp: {nominal: 5 W, name: lamp, source: page 3}
        """
    )
    assert [rule for rule, _ in said(prepared)] == ["unknown-unit"]
    assert prepared.book is not None
    assert set(prepared.book.of(Fact)) == {"lamp"}
    assert "fact/fuse" in prepared.book.broken


def test_nobody_complains_of_a_broken_record_twice() -> None:
    prepared = judged(
        facts="""\
        document: marl-manual
        facts:
          fuse: {nominal: 15 Amper, name: fuse, source: page 3}
          lamp: {nominal: 5 W, name: "lamp behind {fuse}", source: page 3}
        """
    )
    assert [rule for rule, _ in said(prepared)] == ["unknown-unit"]


def test_what_a_file_says_at_its_top_holds_for_all_in_it() -> None:
    prepared = judged(
        facts="""\
        applies: {engine: marl}
        document: marl-manual
        facts:
          fuse: {nominal: 15 A, name: fuse, source: page 3}
          lamp: {nominal: 5 W, name: lamp, source: {document: bench-notes, place: row 2}}
        """
    )
    assert prepared.book is not None
    facts = prepared.book.of(Fact)
    assert [one.source and one.source.document for (one,) in facts.values()] == [
        "marl-manual",
        "bench-notes",
    ]
    assert all(one.applies[0].engine == ("marl",) for (one,) in facts.values())


def test_an_unknown_collection_offers_the_nearest() -> None:
    prepared = judged(facts="fact:\n  fuse: {nominal: 15 A}\n")
    assert prepared.findings[0].mend.startswith("did you mean `facts`")


def test_records_point_at_their_names() -> None:
    prepared = judged(facts="document: marl-manual\nfacts:\n  fuse: {nominal: 15 A, source: p 3}\n")
    assert prepared.book is not None
    (fuse,) = prepared.book.of(Fact)["fuse"]
    assert (fuse.places.span.line, fuse.places.span.column) == (3, 3)
    assert (fuse.places.at("nominal").column, fuse.places.at("nominal").end_column) == (19, 23)


def test_a_misspelt_collection_is_not_buried_below_what_misses_its_records() -> None:
    coolant = files()["procedures/coolant.yaml"].decode()
    assert "\nscales:" in coolant
    prepared = judged(coolant=coolant.replace("\nscales:", "\nscale:"))
    assert said(prepared) == [("unknown-key", "scale:")]


@pytest.mark.parametrize("applies", ["{motor: marl}", "marl", "[[marl]]"])
def test_records_below_a_broken_applies_are_broken_not_everywhere(applies: str) -> None:
    text = """\
        applies: ?
        document: marl-manual
        facts:
          fuse: {nominal: 15 A, name: fuse, source: page 3}
          lamp: {nominal: 5 W, name: "lamp behind {fuse}", source: page 3}
        """
    prepared = judged(facts=text.replace("?", applies))
    assert len(prepared.findings) == 1
    assert prepared.findings[0].span.line == 1
    assert prepared.book is not None
    assert {"fact/fuse", "fact/lamp"} <= prepared.book.broken


def test_references_to_a_malformed_name_are_not_complained_of() -> None:
    prepared = judged(
        facts="""\
        document: marl-manual
        facts:
          Füse: {nominal: 15 A, name: fuse, source: page 3}
          lamp: {nominal: 5 W, name: "lamp behind {fuse}", source: page 3}
        """
    )
    assert [(one.rule.name, one.mend) for one in prepared.findings] == [
        ("malformed-id", "write `fuse`")
    ]


@pytest.mark.parametrize(
    ("path", "right"),
    [
        ("procedures/more.yml", "more.yaml"),
        ("procedures/more.YAML", "more.yaml"),
        ("procedures/more.yaml.txt", "more.yaml"),
        ("content/more.MD", "more.md"),
        ("content/more.md.txt", "more.md"),
    ],
)
def test_a_file_that_would_be_passed_over_is_told_of(path: str, right: str) -> None:
    _, findings = load({**files(), path: b"x"})
    assert [(one.rule.name, one.span.path, one.mend) for one in findings] == [
        ("misnamed-file", path, f"rename it `{right}`")
    ]


@pytest.mark.parametrize("path", ["procedures/notes.txt", "procedures/x.yaml~", "content/a.png"])
def test_what_is_no_text_of_the_book_is_left_alone(path: str) -> None:
    assert load({**files(), path: b"x"})[1] == ()


@pytest.mark.parametrize("address", ["javascript:alert", "example.com", "https://", "https://a b"])
def test_a_card_leads_to_the_web_or_nowhere(address: str) -> None:
    text = files()["procedures/book.yaml"].decode() + f'site-url: "{address}"\n'
    assert said(judged(book=text)) == [("malformed-value", f'site-url: "{address}"')]


def test_empty_quotes_are_no_text() -> None:
    prepared = judged(
        facts="""\
        document: marl-manual
        facts:
          fuse: {nominal: 15 A, name: "  ", source: page 3}
        """
    )
    assert [(one.rule.name, one.message) for one in prepared.findings] == [
        ("malformed-value", "the quotes are empty")
    ]


def test_a_language_without_words_is_one_mistake() -> None:
    text = files()["procedures/book.yaml"].decode() + "language: xx\n"
    assert [rule for rule, _ in said(judged(book=text))] == ["language-without-words"]
