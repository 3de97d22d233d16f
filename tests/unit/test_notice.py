"""Change notices: why a card must be replaced, in the machine's language, on paper too."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from placardry.notice import notices
from placardry.prepared import Prepared
from placardry.recall import Recall, recall
from placardry.standing import Issued, Standing
from tests.issued import Files, edited, issue, prepared, start, thrice, twice


def _code(book: Prepared, standing: Standing) -> str:
    assert book.book is not None
    return next(one.code for one in Issued(book.book).verdicts() if one.standing is standing)


def _judged(book: Prepared, *rows: str) -> Recall:
    assert book.book is not None
    return recall(book.book, "list.csv", "\n".join(("serial,machine,cards", *rows)).encode())


def _notice(files: Files, row: str = "0007,tern,OLD") -> tuple[str, str]:
    """The one notice for a row of a list: its Markdown, and the text of its PDF."""
    book = prepared(files)
    made, findings = notices(
        _judged(book, row.replace("OLD", _code(book, Standing.SUPERSEDED))), book
    )
    assert findings == ()
    assert sorted(made) == ["notice-0001.md", "notice-0001.pdf"]
    pdf = PdfReader(io.BytesIO(made["notice-0001.pdf"]))
    words = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
    return made["notice-0001.md"].decode(), words


def test_a_notice_says_what_changed_how_urgent_it_is_and_which_card_holds() -> None:
    text, printed = _notice(twice())
    now = _code(prepared(twice()), Standing.CURRENT)
    for said in ("Serial 0007: Tern", "before the next flight", "edition 2 of 2026-03-01", now):
        assert said in text
        assert said in printed
    assert "| Coolant temperature (coolant.red) | 90&nbsp;°C | 89&nbsp;°C | tighter |" in text
    assert "coolant.red" in printed
    assert "If you are in doubt, do not fly." in printed


def test_a_notice_names_the_editions_between_which_a_figure_changed() -> None:
    """The card of edition 1 was replaced by edition 2; what it must say now is of edition 3."""
    book = prepared(thrice())
    first = _code(prepared(issue(start())), Standing.CURRENT)
    made, findings = notices(_judged(book, f"0007,tern,{first}"), book)
    assert findings == ()
    text = made["notice-0001.md"].decode()
    assert "This card was replaced by edition 2 of 2026-03-01." in text
    head, _, row, *_ = text[text.index("| Figure |") :].splitlines()
    assert head == "| Figure | Edition 1 of 2026-02-01 | Edition 3 of 2026-04-01 | Effect |"
    assert row == ("| Coolant temperature (coolant.red) | 90&nbsp;°C | 88&nbsp;°C | tighter |")


def test_a_loosened_limit_and_mere_words_can_wait() -> None:
    looser = issue(edited(issue(start()), "7500 rpm", "7600 rpm"), "2026-03-01", "Higher.")
    text, _ = _notice(looser)
    assert "Replace these cards at leisure." in text
    first = issue(start())
    card = first["procedures/cards/limits.yaml"].replace(b"title: Limits", b"title: All limits")
    text, _ = _notice(issue({**first, "procedures/cards/limits.yaml": card}, "2026-03-01"))
    assert "only words or layout" in text
    assert "at leisure" in text


def test_a_notice_leads_only_to_the_card_that_holds() -> None:
    """After a withdrawal the site prints the book, which may still say what was withdrawn."""
    book = twice()
    path = "procedures/book.yaml"
    book[path] += b"site-url: https://example.org/manuals\n"
    text, _ = _notice(book)
    assert "/tern-eu/cards/limits.pdf" in text
    text, _ = _notice(edited(book, "7500 rpm", "7400 rpm"))
    assert _code(prepared(book), Standing.CURRENT) in text
    assert "limits.pdf" not in text


def test_the_same_list_gives_the_same_bytes() -> None:
    book = prepared(twice())
    found = _judged(book, f"0001,tern,{_code(book, Standing.SUPERSEDED)}")
    assert notices(found, book) == notices(found, book)


@pytest.mark.parametrize(
    "serial", ["<script>x</script>", "[a](b)", "**x**", "{{ x }}", "#let x = 1"]
)
def test_a_serial_cannot_write_markup_into_a_notice(serial: str) -> None:
    text, printed = _notice(twice(), serial + ",tern,OLD")
    assert serial not in text.removeprefix("# Change notice")
    assert serial.replace(" ", "") in printed.replace(" ", "")


def test_a_serial_that_cannot_be_printed_is_found_and_the_others_are_printed() -> None:
    book = prepared(twice())
    old = _code(book, Standing.SUPERSEDED)
    found = _judged(book, f"\u4e00,tern,{old}", f"0001,tern,{old}")
    made, findings = notices(found, book)
    assert [one.rule.name for one in findings] == ["unprinted-notice"]
    assert sorted(made) == ["notice-0001.md", "notice-0001.pdf", "notice-0002.md"]
