"""What the audit makes of one page, one figure, one row of a register."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from placardry.audit import audit_file
from placardry.audit.claims import claims
from placardry.audit.former import printed
from placardry.audit.pages import read
from placardry.audit.past import History, Issue, State
from placardry.audit.register import Register
from placardry.audit.rounded import unsafe
from placardry.errors import PlacardryError
from placardry.finding import Span
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
    """The rules that a page breaks, beside a register of two rows."""
    data = f'<html lang="en"><body>{page}</body></html>'.encode()
    idle = row(part="idle", condition={"text": "at idle"})
    found = audit_file("limits.html", data, {"": register(row(), idle, **whole)})
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
        (f"<p>{LINK.format('88&nbsp;°C')} not at full throttle.</p>", ["condition-negated"]),
        (f"<p>{LINK.format('88 °C')} at idle, and at full throttle.</p>",
         ["figure-without-condition"]),
        (f"<p>Except at full throttle: {LINK.format('88 °C')}.</p>", ["condition-negated"]),
        (f"<p>At least {LINK.format('88 °C')} at full throttle</p>", ["bound-word-contradicts"]),
        (f"<p>Above {LINK.format('88 °C')} at full throttle, land.</p>", []),
        ("<p>Step 3 on page 88, since 2026-02-01; mix by M6.</p>", []),
        ("<script>let limit = '88 °C'</script>", []),
    ],
)  # fmt: skip
def test_a_page_is_judged(page: str, expected: list[str]) -> None:
    assert told(page) == expected


def test_another_condition_is_told_once_whole_and_as_the_register_words_it() -> None:
    # It stands behind both units, begins as another does, and holds a figure of its own.
    both = f"{LINK.format('88 °C')} ({LINK.format('190 °F')}"
    page = f'<html lang="en"><p>{both} At full throttle for at most 3 min.</p></html>'
    said = ("At full throttle", "At full throttle for at most 3 min")
    others = [row(id=f"other-{len(text)}", condition={"text": text}) for text in said]
    own = row(condition={"text": "at idle"})
    found = audit_file("limits.html", page.encode(), {"": register(own, *others)}).told
    assert [(one.finding.rule.name, one.found, one.expected) for one in found] == [
        ("figure-without-condition", said[1], "at idle")
    ]
    stray = page.replace("</p>", " Wait 3 min and 5 s.</p>")
    found = audit_file("limits.html", stray.encode(), {"": register(own, *others)}).told
    assert [one.found for one in found] == [said[1], "5 s"]


@pytest.mark.parametrize("word", ["außer", "nicht"])
def test_a_condition_is_negated_in_german(word: str) -> None:
    known = register(row(condition={"text": "in der Einlaufzeit"}))
    page = f'<html lang="de"><p>Überschreiten Sie {LINK.format("88 °C")} {{}}'
    page += "in der Einlaufzeit nicht.</p></html>"
    for said, rules in (("", []), (f"{word} ", ["condition-negated"])):
        found = audit_file("limits.html", page.format(said).encode(), {"": known}).told
        assert [one.finding.rule.name for one in found] == rules


def test_a_condition_in_other_letters_is_not_negated_by_the_end_of_its_sentence() -> None:
    known = register(row(condition={"text": "auf der Straße"}))
    page = f'<html lang="de"><p>{LINK.format("88 °C")} AUF DER STRASSE überschreiten Sie nicht.</p>'
    assert audit_file("limits.html", page.encode(), {"": known}).told == ()


WITHIN = '<a href="register.html#coolant.within">3 min</a>'


@pytest.mark.parametrize(
    ("language", "condition", "sentence", "rules"),
    [
        ("en", "at full throttle for at most 3 min", "At full throttle for at most {}.", []),
        ("en", "at full throttle for at most 3 min", "Rest at least {} before the climb.", []),
        ("en", "at full throttle for at most 3 min", "At full throttle for at least {}.",
         ["bound-word-contradicts"]),
        ("de", "bei Vollgas höchstens 3 min lang", "Ruhen Sie mindestens {} lang.", []),
        ("de", "bei Vollgas höchstens 3 min lang", "Bei Vollgas mindestens {} lang.",
         ["bound-word-contradicts"]),
    ],
)  # fmt: skip
def test_a_time_allowed_is_a_most_in_the_condition_of_its_limit(
    language: str, condition: str, sentence: str, rules: list[str]
) -> None:
    time = row(part="within", condition=None, written="3 min",
               exact={"high": "3/1", "unit": "min"}, published={"min": {"high": "3"}},
               shown={"min": "3 min"}, margin={"min": "0"})  # fmt: skip
    known = register(row(condition={"text": condition}), time)
    page = f'<html lang="{language}"><p>{sentence.format(WITHIN)}</p></html>'
    found = audit_file("limits.html", page.encode(), {"": known}).told
    assert [one.finding.rule.name for one in found] == rules
    if rules:
        assert "a fact of its own" in found[0].finding.mend


HISTORY = History(
    "editions.json",
    {1: Issue(1, "2026-03-01", "", ("First issue.",), "a"),
     2: Issue(2, "2026-05-01", "", ("Lower.",), "b")},
    {("tern-eu", "coolant.red"): {1: State({"degC": "90", "degF": "194"}, "at full throttle"),
                                  2: State({"degC": "88", "degF": "190"}, "at full throttle")}},
    {("tern-eu", "limits"): {1: "V4JF-PWJ3", 2: "CMYH-H7RX"}},
)  # fmt: skip


def told_of_history(page: str, name: str = "editions.html") -> list[str]:
    """What a page says wrong of editions, as rules."""
    data = f'<html lang="en"><body>{page}</body></html>'.encode()
    known = replace(register(row()), history=HISTORY)
    return [one.finding.rule.name for one in audit_file(name, data, {"": known}).told]


OF_EDITION_1 = '<p><a class="former" href="register.html?edition=1#coolant.red">{}</a>{}</p>'


@pytest.mark.parametrize(
    ("page", "expected"),
    [
        (OF_EDITION_1.format("90 °C", " at full throttle"), []),
        (OF_EDITION_1.format("194 °F", " at full throttle"), []),
        (OF_EDITION_1.format("88 °C", " at full throttle"), ["former-value-changed"]),
        (OF_EDITION_1.format("90 °F", " at full throttle"), ["former-value-changed"]),
        (OF_EDITION_1.format("90 °C", ""), ["figure-without-condition"]),
        (OF_EDITION_1.replace("=1#", "=3#").format("90 °C", ""), ["former-value-changed"]),
        ("<p><s>90 °C</s></p>", ["former-value-changed"]),
        ('<p><s data-former="coolant.red" data-manual="tern-eu" data-edition="1">90 °C</s> → '
         '<span class="former" data-figure="coolant.red" data-manual="tern-eu">88 °C</span>'
         " at full throttle</p>", []),
        ('<p><span class="former" data-figure="coolant.red" data-manual="tern-eu">90 °C</span>'
         " at full throttle</p>", ["former-value-changed"]),
    ],
)  # fmt: skip
def test_a_former_value_is_what_stood_in_its_edition(page: str, expected: list[str]) -> None:
    assert told_of_history(page) == expected


EDITIONS = (
    "<table><tr><td>2</td><td>2026-05-01</td><td>Lower.</td><td>A</td><td>–</td></tr>"
    "<tr><td>1</td><td>2026-03-01</td><td>First issue.</td><td>A</td><td>–</td></tr></table>"
)
ROW = (
    '<tr data-code="{0}"><td>{0}</td><td>Limits</td><td><strong>{1} 2 of 2026-05-01.{2}</strong> '
    "It replaces the edition 1 of 2026-01-01 of our leaflet.{3}</td></tr>"
)
NEXT = "<p>It is CMYH-H7RX now.</p>"
NEW = ROW.format("CMYH-H7RX", "Current: edition", "", "")
OLD = ROW.format("V4JF-PWJ3", "Not since edition", " Replace it at once.", NEXT)
KNOWN = '<p class="known">As of 2026-05-01.</p>'
CODES = f"<main>{KNOWN}<table>{NEW}{OLD}</table></main>"


@pytest.mark.parametrize(
    ("name", "page", "old", "new"),
    [
        ("editions.html", EDITIONS, "2026-03-01", "2026-04-01"),
        ("editions.html", EDITIONS, "Lower", "Higher"),
        ("editions.html", EDITIONS, "–", "2026-06-01"),
        ("editions.html", EDITIONS, "<td>2<", "<td>3<"),
        ("check.html", CODES, "edition 2 of 2026-05-01", "edition 1 of 2026-03-01"),
        ("check.html", CODES, "<td>CMYH-H7RX", "<td>V4JF-PWJ3"),
        ("check.html", CODES, "Not since", "Current:"),
        ("check.html", CODES, "is CMYH-H7RX", "is V4JF-PWJ3"),
        ("check.html", CODES, NEXT, ""),
        ("check.html", CODES, '"CMYH-H7RX"', '"CMYH-H7RX" data-urgent'),
        ("check.html", CODES, "<td>Limits", "<td>Fuel"),
        ("check.html", CODES, "As of 2026-05-01", "As of 2026-05-02"),
    ],
)
def test_editions_and_codes_are_as_they_were_issued(
    name: str, page: str, old: str, new: str
) -> None:
    assert told_of_history(page, name) == []
    assert page.replace(old, new, 1) != page
    assert set(told_of_history(page.replace(old, new, 1), name)) == {"editions-disagree"}


def test_a_code_that_is_told_of_no_more_is_missed() -> None:
    half = CODES.partition("</tr>")[0]
    assert told_of_history(f"{half}</tr></table>", "check.html") == ["editions-disagree"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("CMYH-H7RX · tern-eu / limits · Edition 2 of 2026-05-01", []),
        ("CMYH-H7RX · tern-eu / limits · Edition 1 of 2026-03-01", ["editions-mixed"]),
        ("V4JF-PWJ3 · tern-eu / limits · Edition 2 of 2026-05-01", ["editions-disagree"]),
        ("CMYH-H7RY · tern-eu / limits · Draft", ["editions-disagree"]),
        ("V4JF-PWJ3 · tern-eu / limits · Draft", []),
        ("tern-eu · Edition 2 of 2026-05-01", ["editions-mixed"]),  # of a draft
        ("CT63-HPNF · tern-eu / fuel · Draft", ["editions-disagree"]),  # in the file of the limits
        ("CMYH-H7RX · tarn-eu / limits · Edition 2 of 2026-05-01", ["editions-disagree"]),
        ("As the maker's Edition 2 of 2020-05-01 says.", []),
    ],
)
def test_the_foot_of_a_card_names_its_edition(text: str, expected: list[str]) -> None:
    known = replace(register(row()), history=HISTORY)
    name = "cards/limits.pdf" if "/" in text else "manual.pdf"
    found = list(printed(Span(name), text, known, "tern-eu"))
    assert [one.finding.rule.name for one in found] == expected


def band(part: str, low: str, high: str) -> dict[str, Any]:
    """A band of a scale without condition, in one unit."""
    ends = {"low": low, "high": high}
    return row(
        part=part, kind="cut", condition=None, exact={**ends, "unit": "degC"}, margin={},
        written=f"{low} to {high} degC", published={"degC": ends},
        shown={"degC": f"{low} to {high} °C"},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("part", "text", "expected"),
    [
        ("yellow", "63 °C", []),
        ("yellow", "88 °C", ["figure-with-wrong-value"]),  # there it ends and red begins
        ("yellow", "63 to 88 °C", []),
        ("green", "20 to 63 °C", []),
    ],
)
def test_a_band_is_named_by_the_cut_at_which_it_begins(
    part: str, text: str, expected: list[str]
) -> None:
    rows = register(band("green", "20", "63"), band("yellow", "63", "88"))
    page = f'<html lang="en"><p><a href="register.html#coolant.{part}">{text}</a></p>'
    found = audit_file("limits.html", page.encode(), {"": rows}).told
    assert [one.finding.rule.name for one in found] == expected


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
