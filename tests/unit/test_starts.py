"""The printed key presses begin at the screen that the steps before have left."""

from __future__ import annotations

import pytest

from placardry.book.procedures import Procedure
from placardry.wording.phrases import Speaker, spoken
from placardry.wording.steps import Instruction, instructions
from tests.books import judged, manual

METER = """\
document: marl-manual
instrument: wren
name: Wren display
needs: {master: on}
buttons: {left: L, right: R}
home: main
source: page 2
channels:
  coolant: {parameter: coolant-temperature, range: -20 to 150 degC, alarm-grid: 1 degC}
  speed: {parameter: engine-speed, range: 0 to 9990 rpm}
screens:
  main:
    title: Main
    fields: [{channel: coolant, label: WATER}, {channel: speed, label: RPM}]
    keys: {press right: hours, press left: laps}
  hours: {title: Hours, fields: [{timer: total, label: TOT}], keys: {press right: laps}}
  laps: {title: Laps, about: Counts the starts., keys: {press right: main}}
timers:
  total: {name: hour meter, counts: while the engine runs, resets: never}
"""


def read(*steps: str) -> str:
    """All that a procedure of these steps says, after the master switch was set to on."""
    lines = "".join(f"  - {step}\n" for step in ("set: {master: on}", *steps, "set: {master: off}"))
    text = f"procedure: look\ntitle: Look\nchapter: set-up\nwhen: once a day\nsteps:\n{lines}"
    found = manual(instrument=METER, look=text)
    return " ".join(_said(instructions(Speaker(found), found.of(Procedure)["look"].steps)))


def _said(steps: tuple[Instruction, ...]) -> list[str]:
    return [
        said
        for one in steps
        for said in (spoken(one.action), *(line for _, below in one.cases for line in _said(below)))
    ]


@pytest.mark.parametrize(
    ("between", "start", "way"),
    [
        ([], "Hours", "press R"),
        (["press: wren/left"], "Hours", "press R"),  # a key that leads nowhere from there
        (["press: wren/right", "press: wren/right", "press: wren/right"], "Hours", "press R"),
        (["read: wren/total"], "Hours", "press R"),
        (["set: {master: off}", "set: {master: on}"], "Main", "press L"),
        (["do: Wipe the glass."], "Hours", "press R"),
        (["choose: [{when: it is dark, steps: [{press: wren/left}]}]"], "Hours", "press R"),
    ],
)  # fmt: skip
def test_the_way_begins_where_the_steps_before_have_left(
    between: list[str], start: str, way: str
) -> None:
    said = read("go-to: wren/hours", *between, "go-to: wren/laps")
    assert "Go to the screen “Hours”. From the screen “Main”: press R." in said
    assert f"Go to the screen “Laps”. From the screen “{start}”: {way}." in said


def test_the_run_goes_the_way_that_is_printed() -> None:
    steps = "set: {master: on}", "go-to: wren/hours", "go-to: wren/laps", "set: {master: off}"
    lines = "".join(f"  - {step}\n" for step in steps)
    look = f"procedure: look\ntitle: Look\nchapter: set-up\nwhen: once a day\nsteps:\n{lines}"
    assert judged(instrument=METER, look=look).findings == ()
    # Without a way on from there the printed one begins at the home screen, and does not lead.
    blind = METER.replace(", keys: {press right: laps}}", "}").replace(
        "press right: main", "press left: main"
    )
    found = {one.rule.name for one in judged(instrument=blind, look=look).findings}
    assert "wrong-screen" in found


def test_the_same_key_is_said_once_with_how_often() -> None:
    ring = ["main", *(f"page-{number}" for number in range(1, 14))]
    screens = "".join(
        f"  {name}: {{title: {name}, about: One of many., keys: {{press right: {after}}}}}\n"
        for name, after in zip(ring[1:], [*ring[2:], "main"], strict=True)
    )
    head, _, tail = METER.partition("  hours:")
    head = head.replace("{press right: hours, press left: laps}", "{press right: page-1}")
    many = (
        head + screens + "timers:\n" + tail.partition("timers:\n")[2].replace("  total", "  total")
    )
    for screen, way in (("page-1", "press R"), ("page-3", "press R three times"),
                        ("page-12", "press R ten times, press R twice")):  # fmt: skip
        text = (
            "procedure: look\ntitle: Look\nchapter: set-up\nwhen: once a day\nsteps:\n"
            f"  - set: {{master: on}}\n  - go-to: wren/{screen}\n  - set: {{master: off}}\n"
        )
        prepared = judged(instrument=many, look=text)
        (found,) = prepared.manuals
        (_, step, _) = instructions(Speaker(found), found.of(Procedure)["look"].steps)
        assert spoken(step.action).endswith(f"From the screen “Main”: {way}.")


def test_a_timer_can_be_read() -> None:
    assert "Read hour meter." in read("read: wren/total")
