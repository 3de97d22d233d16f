from __future__ import annotations

import json

import pytest

from placardry.finding import Family, Finding, Note, Rule, Severity, Span
from placardry.report import FORMATS, report
from placardry.report.excerpt import columns, safe

ERROR = Rule("limit-without-source", Severity.ERROR, Family.SOURCES, "No source.\n\nWhy.")
ADVICE = Rule("long-sentence", Severity.ADVICE, Family.PROSE, "Too long.")
PATH = "procedures/limits/engine 1.yaml"
FILES = {PATH: b"limits:\n  oil-pressure: 2 bar\n", "content/x.md": b"# X\n"}
FINDINGS = (
    Finding(ADVICE, Span("content/x.md", 1, 3, 1, 4), "the heading is short", "write more"),
    Finding(
        ERROR,
        Span(PATH, 2, 3, 2, 15),
        "limit `oil-pressure` names no source",
        "add `source:` with an id from procedures/sources.yaml",
        (Note(Span("content/x.md", 1, 1, 1, 4), "used on this page"),),
    ),
)


def test_text() -> None:
    assert report(FINDINGS, FILES) == (
        "advice: the heading is short [long-sentence]\n"
        "  --> content/x.md:1:3\n"
        "1 | # X\n"
        "  |   ^\n"
        "  mend: write more\n"
        "\n"
        "error: limit `oil-pressure` names no source [limit-without-source]\n"
        "  --> procedures/limits/engine 1.yaml:2:3\n"
        "2 |   oil-pressure: 2 bar\n"
        "  |   ^^^^^^^^^^^^\n"
        "  note: used on this page\n"
        "    --> content/x.md:1:1\n"
        "  1 | # X\n"
        "    | ^^^\n"
        "  mend: add `source:` with an id from procedures/sources.yaml\n"
        "\n"
        "1 error, 1 piece of advice in 2 files\n"
    )


def test_nothing_wrong() -> None:
    assert report((), FILES) == "nothing wrong in 2 files\n"


def test_colour_only_when_asked() -> None:
    assert "\x1b" not in report(FINDINGS, FILES)
    coloured = report(FINDINGS, FILES, colour=True)
    assert "\x1b[1;31merror:\x1b[0m" in coloured


@pytest.mark.parametrize(
    ("line", "column", "end", "carets"),
    [
        ("a: 漢字 x", 7, 8, "        ^"),  # two columns each, by Unicode Annex 11
        ("a: e\u0301e x", 7, 8, "     ^"),  # a combining accent takes none
        ("a: 漢字 x", 4, 6, "   ^^^^"),
        ("a: x", 5, 5, "    ^"),  # an empty place still gets a caret
    ],
)
def test_carets_stand_below_what_they_mean(line: str, column: int, end: int, carets: str) -> None:
    finding = Finding(ADVICE, Span("x", 1, column, 1, end), "m", "n")
    shown = report((finding,), {"x": line.encode()}).split("\n")
    assert shown[3] == f"  | {carets}"


@pytest.mark.parametrize("column", [1, 75, 76, 150, 5000, 9990])
def test_a_long_line_is_clipped_around_the_caret(column: int) -> None:
    line = "".join(f"{n:<5}" for n in range(2000))
    finding = Finding(ADVICE, Span("x", 1, column, 1, column + 4), "m", "n")
    shown = report((finding,), {"x": line.encode()}).split("\n")
    assert all(columns(each) <= 80 for each in shown)
    source, carets = shown[2], shown[3]
    at = carets.index("^")
    assert source[at : at + carets.count("^")].rstrip() == line[column - 1 : column + 3].rstrip()


def test_long_messages_wrap() -> None:
    finding = Finding(ADVICE, Span("x"), "word " * 40 + "end", "type " * 40 + "end")
    shown = report((finding,), {}).split("\n")
    assert all(len(line) <= 80 for line in shown)


HOSTILE = "\x1b[31m\x07\r\n‮\x9b\u2028\ud800"


@pytest.mark.parametrize("format", sorted(FORMATS))
def test_nothing_moves_the_cursor(format: str) -> None:
    rule = Rule("rule", Severity.ERROR, Family.PROSE)
    finding = Finding(rule, Span("x", 1, 1, 1, 3), HOSTILE, HOSTILE, (Note(Span("y"), HOSTILE),))
    shown = report((finding,), {"x": b"\x1b[2J\x9b"}, format=format)
    assert not set(shown) & set(HOSTILE.replace("\n", "").replace("[31m", ""))


def test_safe_keeps_what_can_be_seen() -> None:
    assert safe("88 °C ± 2 · ä 漢") == "88 °C ± 2 · ä 漢"
    assert safe("a\tb\x1b") == "a\\x09b\\x1b"


def test_json_has_the_keys_of_the_contract() -> None:
    found = json.loads(report(FINDINGS, FILES, format="json"))
    assert list(found) == ["findings"]
    assert found["findings"][1] == {
        "rule": "limit-without-source",
        "severity": "error",
        "message": "limit `oil-pressure` names no source",
        "file": PATH,
        "line": 2,
        "column": 3,
        "end_line": 2,
        "end_column": 15,
        "mend": "add `source:` with an id from procedures/sources.yaml",
        "related": [
            {"file": "content/x.md", "line": 1, "column": 1, "message": "used on this page"}
        ],
    }


def test_sarif_keeps_the_duties_of_the_standard() -> None:
    # OASIS SARIF 2.1.0: 3.13.2 version, 3.14.6 tool, 3.19.2 driver name, 3.27.10 level,
    # 3.27.11 message, 3.27.6 rule index, 3.4.4 relative uri, 3.30.5 columns from 1.
    log = json.loads(report(FINDINGS, FILES, format="sarif"))
    assert log["version"] == "2.1.0"
    (run,) = log["runs"]
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == ["limit-without-source", "long-sentence"]
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        assert result["level"] in ("error", "warning", "note", "none")
        assert result["message"]["text"]
        place = result["locations"][0]["physicalLocation"]
        assert not place["artifactLocation"]["uri"].startswith(("/", "file:"))
        assert place["artifactLocation"]["uriBaseId"] in run["originalUriBaseIds"]
        assert all(number >= 1 for number in place["region"].values())
    assert run["results"][1]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == (
        "procedures/limits/engine%201.yaml"
    )
    assert run["results"][1]["relatedLocations"][0]["message"]["text"] == "used on this page"


def test_sarif_places_files_by_the_root_of_the_repository() -> None:
    # SARIF 2.1.0: 3.4.3 uri, 3.4.4 uriBaseId (whose example is SRCROOT), 3.14.14
    # originalUriBaseIds; a forge knows no other root than that of the repository.
    (run,) = json.loads(report(FINDINGS, FILES, format="sarif", prefix="a book/tern/"))["runs"]
    places = [place for one in run["results"]
              for place in (*one["locations"], *one.get("relatedLocations", ()))]  # fmt: skip
    found = [one["physicalLocation"]["artifactLocation"] for one in places]
    assert len(found) > len(FINDINGS)
    assert all(one["uri"].startswith("a%20book/tern/") for one in found)
    assert {one["uriBaseId"] for one in found} == set(run["originalUriBaseIds"]) == {"SRCROOT"}


def test_markdown_shows_hostile_text_as_text() -> None:
    finding = Finding(ADVICE, Span("x"), "a | <b> [x](y) `c|d` *e*", "n")
    shown = report((finding,), {}, format="markdown")
    row = shown.strip().split("\n")[-1]
    assert row.count("|") == 5
    assert "<b>" not in row
    assert "](" not in row
    assert "<code>c&#124;d</code>" in row


@pytest.mark.parametrize("format", sorted(FORMATS))
def test_the_order_of_findings_does_not_matter(format: str) -> None:
    forth = report(FINDINGS, FILES, format=format)
    assert forth == report(reversed((*FINDINGS, FINDINGS[0])), FILES, format=format)
    assert forth.endswith("\n")
