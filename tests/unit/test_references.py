from __future__ import annotations

import pytest

from placardry.finding import Span
from placardry.nodes import Mapping, Scalar
from placardry.references import (
    Bad,
    Reference,
    doubled,
    locate,
    malformed,
    pieces,
    plain,
    references,
)
from placardry.yaml_reader import read_yaml


@pytest.mark.parametrize(
    ("text", "kind", "name", "part"),
    [
        ("{coolant}", None, "coolant", None),
        ("{coolant.red}", None, "coolant", "red"),
        ("{limit/oil-pressure}", "limit", "oil-pressure", None),
        ("{limit/egt-2.high}", "limit", "egt-2", "high"),
    ],
)
def test_the_four_forms(text: str, kind: str | None, name: str, part: str | None) -> None:
    assert pieces(text) == (Reference(kind, name, part, 0, len(text)),)
    assert str(next(references(text))) == text


@pytest.mark.parametrize(
    ("text", "bad"),
    [
        ("{Coolant}", "{Coolant}"),
        ("{a b}", "{a b}"),
        ("{a.b.c}", "{a.b.c}"),
        ("{a/b/c}", "{a/b/c}"),
        ("{}", "{}"),
        ("{a--b}", "{a--b}"),
        ("{2a}", "{2a}"),
        ("{a", "{a"),
        ("a}", "}"),
        ("{% x %}", "{% x %}"),
        ("{a|upper}", "{a|upper}"),
        ("{a()}", "{a()}"),
    ],
)
def test_any_other_brace_is_a_mistake(text: str, bad: str) -> None:
    assert [piece.text for piece in pieces(text) if isinstance(piece, Bad)] == [bad]


def test_doubled_braces_are_plain() -> None:
    assert pieces("a {{b}} c") == ("a {b} c",)
    assert pieces("{{{a}}}") == ("{", Reference(None, "a", None, 2, 5), "}")
    assert plain(doubled("{x} } {"), lambda reference: "!") == "{x} } {"


def test_plain_says_each_reference() -> None:
    assert plain("below {a.b} or {c}.", lambda reference: reference.id.upper()) == "below A or C."


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("{Warm up}", "write `{warm-up}`"),
        ("{Limit/Oil_Pressure}", "write `{limit/oil-pressure}`"),
        ("{a", "close the reference"),
        ("a}", "remove the `}`"),
        ("{?}", "write `{id}`"),
    ],
)
def test_a_mistake_is_mended(text: str, mend: str) -> None:
    root, _ = read_yaml("x", f'a: "{text}"\n'.encode())
    assert root is not None
    scalar = root.get("a")
    assert isinstance(scalar, Scalar)
    (finding,) = malformed(scalar, f'a: "{text}"\n')
    assert finding.mend.startswith(mend)


SOURCES = [
    ("a: over {x.y} hot\n", (1, 9, 1, 14)),
    ('a: "say \\"{b}\\", {x.y}"\n', (1, 18, 1, 23)),
    ("a: 'it''s {x.y}'\n", (1, 11, 1, 16)),
    ("a: one\n  two {x.y}\n", (2, 7, 2, 12)),
    ("a: |\n  über\n  {x.y}\n", (3, 3, 3, 8)),
    ("a: >-\n  one\n  ° {x.y} z\n", (3, 5, 3, 10)),
]


@pytest.mark.parametrize(("source", "where"), SOURCES)
def test_a_reference_is_found_in_the_file(source: str, where: tuple[int, ...]) -> None:
    root, findings = read_yaml("x", source.encode())
    assert findings == ()
    assert isinstance(root, Mapping)
    scalar = root.get("a")
    assert isinstance(scalar, Scalar)
    (wanted,) = (each for each in references(scalar.text) if each.part == "y")
    assert locate(scalar, source, wanted.start, wanted.end)[1:] == where


def test_the_second_of_two_equal_references_is_told_from_the_first() -> None:
    source = "a: |\n  {x} and\n  {x}\n"
    root, _ = read_yaml("x", source.encode())
    assert root is not None
    scalar = root.get("a")
    assert isinstance(scalar, Scalar)
    lines = [locate(scalar, source, ref.start, ref.end).line for ref in references(scalar.text)]
    assert lines == [2, 3]


def test_a_text_of_stray_braces_is_complained_of_twenty_times() -> None:
    scalar = Scalar("{ " * 2_000, Span("x", 1, 1, 1, 4_001))
    assert len(list(malformed(scalar, scalar.text))) == 20
