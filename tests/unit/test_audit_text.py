from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

import pytest

from placardry.audit.texts import Was, judge
from placardry.audit.texts_reading import read
from placardry.audit.texts_told import as_json, findings
from placardry.cli import main
from placardry.cli.audit_texts import history_of, language_of
from placardry.errors import PlacardryError


def entry(id: str, part: str | None, unit: str, **more: Any) -> dict[str, Any]:
    """A register entry with what the auditor reads of it."""
    ends = {name: more.pop(name) for name in ("low", "high", "value") if name in more}
    return {
        "id": id,
        "part": part,
        "type": "limit",
        "kind": "maximum",
        "parameter": None,
        "condition": None,
        "written": f"{' to '.join(ends.values())} {unit}",
        "exact": {**ends, "unit": unit},
        "published": {unit: ends},
        "shown": {unit: f"{' to '.join(ends.values())} {unit}"},
        **more,
    }


COOLANT = {"parameter": "coolant-temperature", "name": "Kühlmitteltemperatur", "kind": "cut"}
EGT = {"parameter": "exhaust-gas-temperature", "name": "exhaust gas temperature"}
ENTRIES = [
    entry("coolant", "yellow", "degC", low="82", high="88", **COOLANT),
    entry("coolant", "red", "degC", high="88", **COOLANT),
    entry("egt-full", None, "degC", high="640", condition={"text": "at full throttle"}, **EGT),
    entry("egt-cruise", None, "degC", high="690", condition={"text": "in cruise"}, **EGT),
    entry("idle-speed", None, "rpm", low="1900", high="2200", kind="range"),
    entry("belt-change", "hours", "h", high="200", type="interval"),
    entry("battery-charge", None, "V", value="7.4", type="fact", kind="nominal"),
    entry("oil-mix", None, "ratio", value="1:50", type="fact", kind="nominal"),
    entry("cap-pressure", None, "bar(g)", value="1.1", type="fact", kind="nominal"),
]


def verdicts(text: str, language: str = "en", name: str = "a.txt") -> list[tuple[str, str]]:
    judged = judge([read(name, text.encode())], ENTRIES, language, HISTORY)
    return [(str(one.verdict), one.figure) for one in judged]


HISTORY = [Was("3", "coolant", "red", "degC", (Fraction(92),))]


@pytest.mark.parametrize(
    ("text", "verdict", "figure"),
    [
        ("The red line of the coolant is 88 °C.", "current", "coolant.red"),
        ("The red line of the coolant is 190.4 °F.", "current", "coolant.red"),
        ("The red line of the coolant is eighty-eight degrees.", "current", "coolant.red"),
        ("The coolant turns yellow at 82 °C.", "current", "coolant.yellow"),
        ("The red line of the coolant is 82 °C.", "contradicts", "coolant.red"),
        ("The red line of the coolant is 92 °C.", "stale", "coolant.red"),
        ("At full throttle the exhaust gas stays below 640 degrees.", "current", "egt-full"),
        ("At full throttle the exhaust gas stays below 690 degrees.", "contradicts", "egt-full"),
        ("Never exceed 690 °C exhaust gas temperature.", "current", "egt-cruise"),
        ("The idle speed is nineteen hundred rpm.", "current", "idle-speed"),
        ("The idle speed is 1900 to 2200 rpm.", "current", "idle-speed"),
        ("The idle speed is twenty-five hundred rpm.", "contradicts", "idle-speed"),
        ("Change the belt every 200 hours.", "current", "belt-change.hours"),
        ("Change the belt every 150 hours.", "contradicts", "belt-change.hours"),
        ("The battery shows seven point four volts.", "current", "battery-charge"),
        ("The cap opens at a pressure of 1.1 bar.", "current", "cap-pressure"),
        ("Mix the oil 1:50.", "current", "oil-mix"),
        ("I flew for half an hour.", "unknown", ""),
        ("It was 25 °C that day.", "unknown", ""),
    ],
)
def test_a_figure_is_judged_by_its_words(text: str, verdict: str, figure: str) -> None:
    assert verdicts(text) == [(verdict, figure)]


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("Die Kühlmitteltemperatur wird bei achtundachtzig Grad rot.", "current"),
        ("Die Kühlmitteltemperatur wird bei 95 Grad rot.", "contradicts"),
    ],
)
def test_german(text: str, verdict: str) -> None:
    assert language_of(text + " Das ist nicht gut.") == "de"
    assert verdicts(text, "de") == [(verdict, "coolant.red")]


CAPTIONS = """WEBVTT

NOTE 99 °C is in no cue

1
00:00:01.000 --> 00:00:04.000
<v Pilot>The red line of the coolant

2
00:00:04.000 --> 00:00:06.500
is ninety
five degrees.
"""


def test_a_sentence_goes_on_over_cues_and_keeps_its_time() -> None:
    (one,) = judge([read("a.vtt", CAPTIONS.encode())], ENTRIES)
    assert (one.place.label, one.place.line, one.text) == (
        "00:00:04.000",
        11,
        "ninety five degrees",
    )
    (finding,) = findings([one])
    assert finding.message == (
        "`ninety five degrees` at 00:00:04.000 in “The red line of the coolant is ninety five "
        "degrees” contradicts `coolant.red`, which is 88 degC"
    )
    assert finding.mend.startswith("say 88 degC there")
    assert json.loads(as_json([one]))["quantities"][0]["verdict"] == "contradicts"


def test_subrip_gives_a_rolled_up_line_once() -> None:
    text = (
        "1\n00:00:01,000 --> 00:00:02,000\nit is 5 °C\n\n2\n00:00:02,000 --> 00:00:03,000\n"
        "it is 5 °C\nnow\n"
    )
    assert read("a.srt", text.encode()).text == "it is 5 °C now "


def test_a_page_without_its_scripts() -> None:
    page = (
        b"<style>p {x: 3 mm}</style>\n<p>The <b>red</b> line of the\n"
        b"coolant is <i>88</i> &deg;C.</p>"
    )
    assert verdicts(page.decode(), name="a.html") == [("current", "coolant.red")]
    (one,) = judge([read("a.html", page)], ENTRIES)
    assert one.place.line == 3


def test_emphasis_in_markdown_hides_nothing() -> None:
    assert verdicts("The **red** line of the coolant is **88** °C.", name="a.md") == [
        ("current", "coolant.red")
    ]


def test_what_is_no_text_is_refused() -> None:
    with pytest.raises(PlacardryError, match="is no text"):
        read("film.mp4", b"\0\1\2")
    with pytest.raises(PlacardryError, match="cannot be read as a PDF"):
        read("a.pdf", b"no")


def test_the_command(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    wrong, right = tmp_path / "film.vtt", tmp_path / "film.srt"
    wrong.write_text(CAPTIONS, encoding="utf-8")
    right.write_text(
        "1\n00:00:01,000 --> 00:00:04,000\nThe coolant's red line is 88 °C.\n", encoding="utf-8"
    )
    options = ["--machine", "sandling-2-tourer"]
    assert main(["audit", "--text", str(wrong), *options]) == 1
    assert "published-figure-contradicts" in capsys.readouterr().out
    assert main(["audit", "--text", str(right), *options, "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["quantities"][0]["figure"] == "coolant.red"
    assert main(["audit", "--text", str(tmp_path / "none.txt"), *options]) == 2


def test_history_comes_from_the_ledger_of_editions() -> None:
    figure = {"id": "coolant", "part": "red", "shown": {"degC": "90", "degF": "194"}}
    other = {"machine": "other", "figures": {"a": figure}}
    own = {"machine": "mine", "figures": {"a": figure}}
    found = history_of({3: {"m": own, "n": other}}, "mine")
    assert found == [
        Was("3", "coolant", "red", "degC", (Fraction(90),)),
        Was("3", "coolant", "red", "degF", (Fraction(194),)),
    ]
    (one,) = judge([read("a", b"The coolant's red line is 90 degrees.")], ENTRIES, "en", found)
    assert (str(one.verdict), one.edition) == ("stale", "3")
