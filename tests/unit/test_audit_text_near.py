"""Which words near a quantity in a text from elsewhere are said of it, and what they forbid."""

from __future__ import annotations

from typing import Any

import pytest

from placardry.audit.texts import Judged, judge
from placardry.audit.texts_meant import Figures
from placardry.audit.texts_reading import read
from placardry.bound_words import Bound, bound_around
from tests.unit.test_audit_text import entry


def work(id: str, name: str, hours: str) -> dict[str, Any]:
    """A task that is due by running hours."""
    return entry(id, "hours", "h", high=hours, type="interval", name=name)


SPEED = {"parameter": "engine-speed", "name": "engine speed", "also": ["Drehzahl"]}
ENTRIES = [
    work("plugs", "Zündkerze wechseln", "40"),
    work("belt-change", "Riemen wechseln", "150"),
    work("service", "service", "20"),
    entry("full-power", "engine-speed", "rpm", low="8400", **(SPEED | {"name": "at full throttle"}),
          type="fact", kind="minimum"),
    entry("speed-full-power", None, "rpm", high="9200", **SPEED,
          condition={"text": "at full throttle"}),
    entry("idle-speed", None, "rpm", low="2200", high="2600", **SPEED,
          kind="range", condition={"text": "at idle"}),
    entry("pilot-mass", None, "kg", low="55", high="100", kind="range", parameter="mass",
          name="Pilot ohne Ausrüstung", also=["Masse"]),
    entry("take-off-mass", None, "kg", high="148", parameter="mass", name="Startmasse",
          also=["Masse"]),
]  # fmt: skip
# As many others as a machine has: how telling a word is depends on how many do without it.
ENTRIES += [
    entry(f"bolt-{start}{end}", None, "N*m", value="8", type="fact", kind="nominal")
    for start in "bcdfghkl"
    for end in ("ar", "ir", "or", "ur", "al", "il", "ol", "ul")
]


def judged(text: str, language: str) -> list[Judged]:
    return list(judge(read("a.txt", text.encode()), Figures(ENTRIES), language))


def verdicts(text: str, language: str = "de") -> list[tuple[str, str]]:
    return [(str(one.verdict), one.figure) for one in judged(text, language)]


@pytest.mark.parametrize("parting", [", der", " und der", ", Rolle und", "; der"])
@pytest.mark.parametrize(("said", "verdict"), [("40", "current"), ("50", "contradicts")])
def test_what_owns_a_quantity_behind_a_mark_is_said_of_that_one(
    parting: str, said: str, verdict: str
) -> None:
    text = f"Die Kerze wird alle {said} Stunden{parting} Riemen alle 150 Stunden gewechselt."
    assert verdicts(text) == [(verdict, "plugs.hours"), ("current", "belt-change.hours")]


def test_the_end_of_a_compound_names_it() -> None:
    assert verdicts("Die Kerze wird alle 50 Stunden gewechselt.") == [
        ("contradicts", "plugs.hours")
    ]
    # Too short a word ends too many others.
    assert verdicts("Das Erz wird alle 50 Stunden gewechselt.") == [("unknown", "")]


@pytest.mark.parametrize(
    "said",
    [
        "never go above 9600 rpm",
        "do not exceed 9600 rpm",
        "it must never turn faster than 9600 rpm",
    ],
)
def test_what_defines_a_condition_limits_nothing_in_it(said: str) -> None:
    text = f"At full throttle {said}."
    assert verdicts(text, "en") == [("contradicts", "speed-full-power")]
    assert verdicts(text.replace("9600", "9200"), "en") == [("current", "speed-full-power")]
    assert ("current", "full-power.engine-speed") not in verdicts(
        text.replace("9600", "8400"), "en"
    )


def test_a_bound_to_the_other_side_with_another_value_speaks_of_no_limit() -> None:
    assert verdicts("At full throttle it turns at least 9600 rpm.", "en") == [("unknown", "")]


@pytest.mark.parametrize(
    ("before", "after", "language", "bound"),
    [
        ("do not exceed", "", "en", Bound.MOST),
        ("it must never turn faster than", "", "en", Bound.MOST),
        ("never let it fall below", "", "en", Bound.LEAST),
        ("if you exceed", "", "en", Bound.ABOVE),
        ("do not open it until it is above", "", "en", Bound.ABOVE),
        ("do not worry. It goes above", "", "en", Bound.ABOVE),
        ("nie schneller als", "", "de", Bound.MOST),
        ("darf", " nicht überschreiten.", "de", Bound.MOST),
        ("darf", " nie unterschreiten.", "de", Bound.LEAST),
        ("nicht anlassen, bevor es über", "", "de", Bound.ABOVE),
    ],
)
def test_what_is_forbidden_leaves_the_other_side(
    before: str, after: str, language: str, bound: Bound
) -> None:
    found = bound_around(before, after, language)
    assert found is not None
    assert found[1] is bound


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("Pilot 55 bis 100 kg.", "current"),
        ("Pilot 55 bis 110 kg.", "contradicts"),
        ("Pilot mit Ausrüstung 55 bis 110 kg.", "unknown"),
        ("Pilot ohne Ausrüstung 55 bis 110 kg.", "contradicts"),
        ("Der Pilot trägt 25 kg.", "unknown"),
    ],
)
def test_a_range_with_one_end_right_is_known_by_one_telling_word(text: str, verdict: str) -> None:
    assert [one for one, _ in verdicts(text)] == [verdict]


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("Wait 10 minutes and step back 10 m.", [(6, 16), (31, 35)]),
        ("The 3.5 h and 5 h are over, 5 h too.", [(5, 10), (15, 18), (29, 32)]),
    ],
)
def test_the_caret_stands_at_the_quantity_itself(text: str, columns: list[tuple[int, int]]) -> None:
    assert [one.columns for one in judged(text, "en")] == columns


def test_in_a_cue_the_caret_stands_at_a_whole_quantity() -> None:
    cue = "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Pilot>Wait 10 minutes, stand back 10 m.\n"
    found = judge(read("a.vtt", cue.encode()), Figures(ENTRIES), "en")
    assert [one.columns for one in found] == [(15, 25), (38, 42)]
