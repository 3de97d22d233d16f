"""What the audit makes of one page, one figure, one row of a register."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

import pytest

from placardry.audit import audit_file
from placardry.audit.claims import claims
from placardry.audit.pages import read
from placardry.audit.register import Register
from placardry.audit.rounded import unsafe
from placardry.errors import PlacardryError
from placardry.quantity import Quantity


def row(**changes: Any) -> dict[str, Any]:
    """A row of a register: 88 °C at full throttle, published in two units."""
    return {
        "id": "coolant", "part": "red", "manual": "tern-eu", "machine": "tern", "type": "limit",
        "kind": "maximum", "parameter": "coolant-temperature",
        "condition": {"text": "at full throttle"}, "written": "88 degC",
        "exact": {"high": "88/1", "unit": "degC"},
        "published": {"degC": {"high": "88"}, "degF": {"high": "190"}},
        "shown": {"degC": "88 °C", "degF": "190 °F"}, "margin": {"degC": "0", "degF": "2/5"},
        "guards": None, "exceeded": None, "source": None, "file": "procedures/coolant.yaml",
        "line": 3, "used_in": [], **changes,
    }  # fmt: skip


def register(*rows: dict[str, Any], **whole: Any) -> Register:
    data = {"schema": 1, "book": "tern", "edition": None, "figures": list(rows), **whole}
    return Register.read("register.json", json.dumps(data).encode())


def told(page: str, **whole: Any) -> list[str]:
    """The rules that a page breaks, beside a register of one row."""
    data = f'<html lang="en"><body>{page}</body></html>'.encode()
    found = audit_file("limits.html", data, {"": register(row(), **whole)})
    return [one.finding.rule.name for one in found.told]


LINK = '<a href="register.html#coolant.red">{}</a>'


@pytest.mark.parametrize(
    ("page", "expected"),
    [
        (f"<p>At most {LINK.format('88&nbsp;°C')} at full throttle.</p>", []),
        (f"<p>At full<br>throttle {LINK.format('190<b> °F</b>')}.</p>", []),
        (f"<table><tr><td>{LINK.format('88 °C')}</td><td>at full throttle</td></tr></table>", []),
        (f"<p>{LINK.format('89 °C')} at full throttle</p>", ["figure-with-wrong-value"]),
        (f"<p>{LINK.format('88 °F')} at full throttle</p>", ["figure-with-wrong-value"]),
        (f"<p>1{LINK.format('88 °C')} at full throttle</p>", ["figure-with-wrong-value"]),
        (f"<p>80 to {LINK.format('88 °C')} at full throttle</p>", ["figure-with-wrong-value"]),
        (f"<p>{LINK.format('88 °C')}. Always at full throttle.</p>", ["figure-without-condition"]),
        ("<p>At most 88 <i>°C</i>.</p>", ["figure-without-identity"]),
        ('<img alt="the needle at 88 °C">', ["figure-without-identity"]),
        ("<svg><text>88 <tspan>°C</tspan></text></svg>", ["figure-without-identity"]),
        ('<p><a href="register.html#oil">88 °C</a></p>', ["figure-not-in-register"]),
        ('<p><a href="../us/register.html#coolant.red">88 °C</a></p>',
         ["figure-of-another-machine"]),
        ("<p>It says “NOT ABOVE 88 °C”.</p><q>88 °C</q><blockquote><p>88 °C</p></blockquote>", []),
        ('<p><s>88 °C</s><a class="former" href="register.html?edition=1#coolant.red">85 °C</a>',
         []),
        ("<p>Step 3 on page 88, since 2026-02-01; mix by M6.</p>", []),
        ("<script>let limit = '88 °C'</script>", []),
    ],
)  # fmt: skip
def test_a_page_is_judged(page: str, expected: list[str]) -> None:
    assert told(page) == expected


def test_a_declared_name_is_no_figure() -> None:
    assert told("<p>Fit the Swift 5 kg.</p>") == ["figure-without-identity"]
    assert told("<p>Fit the Swift 5 kg.</p>", names=["Swift 5 kg"]) == []


def test_the_line_of_a_finding_is_that_of_the_figure() -> None:
    page = "<html>\n<p>Not 5 &deg;C</p>\n<script>5 °C</script>\n<p>nor\n5&nbsp;°C</p>".encode()
    found = audit_file("x.html", page, {"": register(row())}).told
    assert [one.finding.span.line for one in found] == [2, 5]


def test_german_numerals_are_read_as_german() -> None:
    _, blocks = read("x.html", b"<p>1.500 m und 1,5 m</p>")
    said = [one.figure for one in claims(blocks, "de-DE", "")]
    assert [one.value for one in said if isinstance(one, Quantity)] == [1500, Fraction(3, 2)]


def ends(**values: str) -> dict[str, dict[str, str]]:
    return {"degF": values}


@pytest.mark.parametrize(
    ("kind", "exact", "published", "is_safe"),
    [
        # IEEE/ANSI 268: what may not be violated is rounded inwards. 88 °C is 190.4 °F exactly,
        # 63 °C is 145.4 °F (NIST SP 811 B.8: t/°F = 1.8 t/°C + 32).
        ("maximum", {"high": "88"}, ends(high="190"), True),
        ("maximum", {"high": "88"}, ends(high="191"), False),
        ("minimum", {"low": "63"}, ends(low="146"), True),
        ("minimum", {"low": "63"}, ends(low="145"), False),
        ("range", {"low": "63", "high": "88"}, ends(low="146", high="190"), True),
        ("range", {"low": "63", "high": "88"}, ends(low="145", high="190"), False),
        ("avoid", {"low": "63", "high": "88"}, ends(low="145", high="191"), True),
        ("avoid", {"low": "63", "high": "88"}, ends(low="146", high="191"), False),
        # A rise of 20 °C is one of 36 °F, no reading of 68 °F.
        ("change", {"high": "20"}, ends(high="36"), True),
        ("change", {"high": "20"}, ends(high="68"), False),
    ],
)
def test_rounding_is_computed_anew(
    kind: str, exact: dict[str, str], published: dict[str, dict[str, str]], is_safe: bool
) -> None:
    shown = {"degF": "as published"}
    changed = row(
        kind=kind, exact={**exact, "unit": "degC"}, published=published, shown=shown, margin={}
    )
    entries = register(changed).of("tern-eu")
    assert (not list(unsafe(entries["coolant.red"], entries))) is is_safe


def test_a_margin_that_is_not_what_rounding_took_is_found() -> None:
    entries = register(row(margin={"degC": "0", "degF": "1/5"})).of("tern-eu")
    assert [unit for unit, _, _ in unsafe(entries["coolant.red"], entries)] == ["high"]


@pytest.mark.parametrize("data", [b"", b"{}", b"[]", b'{"book": "x", "edition": null}'])
def test_what_is_no_register_is_refused(data: bytes) -> None:
    with pytest.raises(PlacardryError, match="register"):
        Register.read("register.json", data)


def test_a_broken_row_is_named() -> None:
    broken = row()
    del broken["exact"]
    with pytest.raises(PlacardryError, match="coolant"):
        register(broken)
