from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from placardry.audit.texts import Judged, Machines, judge
from placardry.audit.texts_meant import Figures, Was
from placardry.audit.texts_naming import stems
from placardry.audit.texts_reading import read
from placardry.audit.texts_told import as_json, findings, summary
from placardry.cli import main
from placardry.cli.audit_texts import history_of, language_of
from placardry.errors import Malformed
from placardry.spoken import without_unit
from tests import issued


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


COOLANT = {
    "parameter": "coolant-temperature",
    "name": "coolant",
    "also": ["Kühlmitteltemperatur"],
    "kind": "cut",
}
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


HISTORY = [Was(3, "coolant", "red", "degC", (Fraction(92),))]
MACHINES = Machines.called(own="Teasel Tarn", others="Sandling 2 Teasel")


def judged(text: str | bytes, language: str = "en", name: str = "a.txt") -> list[Judged]:
    data = text.encode() if isinstance(text, str) else text
    return list(judge(read(name, data), Figures(ENTRIES, HISTORY), language, MACHINES))


def verdicts(text: str, language: str = "en", name: str = "a.txt") -> list[tuple[str, str]]:
    return [(str(one.verdict), one.figure) for one in judged(text, language, name)]


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
        ("Mix it fifty to one.", "current", "oil-mix"),
        ("The fuel is fifty-to-one.", "current", "oil-mix"),
        ("The fuel mix is 50:1.", "current", "oil-mix"),
        ("Mix it 40 to 1.", "contradicts", "oil-mix"),
        ("Petrol, forty to one.", "contradicts", "oil-mix"),
        ("It glides 40:1.", "unknown", ""),
        ("I flew for half an hour.", "unknown", ""),
        ("It was 25 °C that day.", "unknown", ""),
    ],
)
def test_a_figure_is_judged_by_its_words(text: str, verdict: str, figure: str) -> None:
    assert verdicts(text) == [(verdict, figure)]


@pytest.mark.parametrize(
    ("said", "verdict"),
    [
        ("Das Benzin wird eins zu fünfzig gemischt.", "current"),
        ("Das Gemisch ist vierzig zu eins.", "contradicts"),
    ],
)
def test_a_mix_is_said_either_way_round(said: str, verdict: str) -> None:
    assert verdicts(said, "de") == [(verdict, "oil-mix")]


def test_numbers_without_a_unit_are_counted() -> None:
    said = "Keep it below one fifty in 2024, mix it fifty to one, the red line is 212, at 88 °C."
    assert without_unit(said) == 2
    assert summary([], 1, 2).endswith("\n2 numbers without a unit were not judged")
    assert json.loads(as_json([], bare=1))["without_unit"] == 1


def test_a_measure_alone_names_no_figure() -> None:
    torque = {"type": "limit", "kind": "nominal"}
    figures = [entry(name, None, "N*m", value=value, **torque)
               for name, value in (("torque", "23"), ("propeller-bolts", "8"))]  # fmt: skip
    text = read("a.txt", b"Torque them to twelve newton metres.")
    (one,) = judge(text, Figures(figures), "en", MACHINES)
    (finding,) = findings([one])
    assert one.verdict == "unknown"
    assert "any of `propeller-bolts`, `torque`" in finding.message
    assert "say " not in finding.mend


def test_odds_are_no_mix() -> None:
    assert verdicts("It was fifty to one that I would win.") == []


def test_a_prop_is_a_propeller() -> None:
    assert stems("the prop bolts") == stems("the propeller bolts")


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
    (one,) = judged(CAPTIONS, name="a.vtt")
    assert (one.place.label, one.place.line, one.text) == (
        "00:00:04.000",
        11,
        "ninety five degrees",
    )
    (finding,) = findings([one])
    assert finding.message == (
        "at 00:00:04.000 “The red line of the coolant is ninety five degrees” says `ninety five "
        "degrees`, but `coolant.red` is 88 degC (known by “coolant”, “red”)"
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
    (one,) = judged(page, name="a.html")
    assert one.place.line == 3


def test_emphasis_in_markdown_hides_nothing() -> None:
    assert verdicts("The **red** line of the coolant is **88** °C.", name="a.md") == [
        ("current", "coolant.red")
    ]


TABLE = """
<h2>Coolant temperature</h2>
<table><tr><th>Band</th><th>from, °C</th></tr>
<tr><td>Yellow</td><td>82</td></tr>
<tr><td>Red</td><td>90</td></tr></table>
<dl><dt>How fast does it idle?</dt><dd>1900 to 2200 rpm</dd></dl>
<img alt="The belt is changed every 200 h">
"""


def test_a_cell_is_known_by_the_heads_of_its_row_and_column() -> None:
    assert verdicts(TABLE, name="a.html") == [
        ("current", "coolant.yellow"),
        ("contradicts", "coolant.red"),
        ("current", "idle-speed"),
        ("current", "belt-change.hours"),
    ]


def test_a_table_in_markdown() -> None:
    text = "# Coolant\n\n| Band | from |\n| --- | --- |\n| Red | **88** °C |\n| Yellow | 81 °C |\n"
    assert [one for one, _ in verdicts(text, name="a.md")] == ["current", "contradicts"]


def test_what_is_said_of_another_machine_is_none_of_ours() -> None:
    text = (
        "On the Sandling the coolant goes red at 95 °C, on the Teasel the coolant is red at 95 °C."
    )
    assert [(str(one.verdict), one.machine) for one in judged(text)] == [
        ("unknown", "sandling"),
        ("contradicts", ""),
    ]
    (finding, _) = findings(judged(text))
    assert "but of another machine (“sandling”)" in finding.message


@pytest.mark.parametrize("said", ["The idle speed is at most 2200 rpm.", "Idle: 2000 rpm."])
def test_a_reading_inside_is_no_contradiction(said: str) -> None:
    assert "contradicts" not in dict(verdicts(said))


def test_the_other_side_of_a_bound_contradicts() -> None:
    text = "At full throttle the exhaust gas temperature is at least 640 °C."
    (one,) = judged(text)
    (finding,) = findings([one])
    assert (one.verdict, one.figure) == ("contradicts", "egt-full")
    assert finding.message.startswith(f"“{text[:-1]}” says `640 °C` with “at least”")


def test_a_reading_told_contradicts_nothing() -> None:
    assert verdicts("At full throttle I had 655 °C exhaust gas.") == [("unknown", "egt-full")]


@pytest.mark.parametrize(
    ("name", "data", "what"),
    [
        ("film.mp4", b"\0\1\2", "is no text"),
        ("a.pdf", b"no", "cannot be read as a PDF"),
        ("a.txt", b"%PDF-no", "cannot be read as a PDF"),
        ("a.vtt", b"", "holds no cue with words"),
        ("a.vtt", b"WEBVTT\n\n00:01 -> 00:02\n5 m\n", "holds no cue with words"),
        ("a.html", b"<script>var a = 5</script>", "holds no text"),
        ("a.txt", b" \n", "holds no text"),
    ],
)
def test_what_is_no_text_is_refused(name: str, data: bytes, what: str) -> None:
    with pytest.raises(Malformed, match=what):
        read(name, data)


def test_the_words_of_a_broken_cue_are_judged() -> None:
    text = b"WEBVTT\n\n00:0x --> 00:02\nThe coolant is red at 95 degrees.\n"
    running = read("a.vtt", text)
    assert running.broken == (3,)
    assert running.place(0).label == "00:0x"


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_texts_of_any_usual_coding(coding: str) -> None:
    said = "Die Kühlmitteltemperatur wird bei 88 °C rot."
    assert read("a.txt", said.encode(coding)).text == said + "\n"


def test_one_bad_byte_spoils_nothing() -> None:
    assert "88 °C" in read("a.txt", "über 88 °C, ".encode() + b"\xff").text


@pytest.mark.parametrize(
    ("name", "text", "language"),
    [
        ("a.html", '<html lang="de-AT"><p>88 °C', "de"),
        ("a.txt", "<html lang=de><p>88 °C", "de"),
        ("a.vtt", "WEBVTT\nLanguage: de\n\n00:01.000 --> 00:02.000\n88 °C", "de"),
        ("a.txt", "1\n00:00:01,000 --> 00:00:02,000\n88 °C", ""),
    ],
)
def test_files_say_what_they_are(name: str, text: str, language: str) -> None:
    running = read(name, text.encode())
    assert (running.language, running.text.strip()) == (language, "88 °C")


def test_a_finding_points_at_the_words() -> None:
    (one,) = judged("<p>So the coolant's\n red line is 95&nbsp;°C.</p>", name="a.html")
    assert (one.place.line, one.columns) == (2, (14, 16))


@pytest.fixture
def book(tmp_path: Path) -> list[str]:
    """The options for a book whose second edition lowered the red line from 90 to 89 °C."""
    for path, data in issued.twice().items():
        (tmp_path / "book" / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "book" / path).write_bytes(data)
    return ["--book", str(tmp_path / "book"), "--machine", "tern"]


def test_the_command(book: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    film, empty = tmp_path / "film.vtt", tmp_path / "empty.txt"
    film.write_text(CAPTIONS.replace("five", ""), encoding="utf-8")
    empty.write_bytes(b"")
    assert main(["audit", "--text", str(film), str(empty), *book]) == 1
    out = capsys.readouterr().out
    told = " ".join(out.split())
    assert "as `coolant.red` was in edition 1; since edition 2 it is 89 °C" in told
    assert "published-text-unread" in out
    assert out.endswith("1 quantity in 1 text: 1 stale\n")
    assert max(len(line) for line in out.splitlines() if "/" not in line) <= 80
    film.write_text(CAPTIONS.replace("ninety\nfive", "eighty\nnine"), encoding="utf-8")
    assert main(["audit", "--text", str(film), *book, "--format", "json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["quantities"][0]["figure"] == "coolant.red"
    assert said["findings"] == []


def test_what_cannot_be_done(
    book: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    film = tmp_path / "film.txt"
    film.write_text("88 °C", encoding="utf-8")
    for options, said in (
        ([str(tmp_path / "none.txt"), *book], "cannot be read"),
        ([str(tmp_path), *book], "is a folder"),
        ([str(film), *book[:3], "tren"], "did you mean `tern`"),
        ([str(film), *book[:2]], "needs `--machine ID`"),
    ):
        assert main(["audit", "--text", *options]) == 2
        assert said in capsys.readouterr().err


def test_history_comes_from_the_ledger_of_editions() -> None:
    figure = {"id": "coolant", "part": "red", "shown": {"degC": "90", "degF": "194"}}
    torque = {"id": "drain", "shown": {"N*m": "20 (18 to 22)"}}
    mix = {"id": "mix", "shown": {"ratio": "1:40"}}
    own = {"machine": "mine", "figures": {"a": figure, "b": torque, "c": mix}}
    other = {"machine": "other", "figures": {"a": figure}}
    found = history_of({3: {"m": own, "n": other}}, "mine")
    assert found == [
        Was(3, "coolant", "red", "degC", (Fraction(90),)),
        Was(3, "coolant", "red", "degF", (Fraction(194),)),
        Was(3, "drain", None, "N*m", (Fraction(20),)),
        Was(3, "mix", None, "ratio", (Fraction(1, 40),)),
    ]
    now = Was(4, "coolant", "red", "degC", (Fraction(88),))
    text = read("a", b"The coolant's red line is 90 degrees.")
    (one,) = judge(text, Figures(ENTRIES, [*found, now]))
    assert (str(one.verdict), one.edition, one.since) == ("stale", 3, 4)
    (finding,) = findings([one])
    assert "as `coolant.red` was in edition 3; since edition 4 it is 88 degC" in finding.message
