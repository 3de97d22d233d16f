from __future__ import annotations

from dataclasses import replace

import pytest

from placardry.book.instruments import Instrument
from placardry.book.procedures import Procedure
from placardry.book.record import Text
from placardry.menus import presses
from placardry.wording import LANGUAGES
from placardry.wording.phrases import Speaker, spoken
from placardry.wording.steps import instructions
from placardry.wording.words import words
from tests.books import manual

MORE = """\
document: marl-manual
conditions:
  full-power: {short: at full throttle, engine-speed: above 7000 rpm}
limits:
  coolant-full:
    parameter: coolant-temperature
    maximum: 85 degC
    condition: full-power
    within: 5 min
    source: page 3
    exceeded: Reduce power.
facts:
  hold-time: {minimum: 3 s, name: hold, source: page 3}
  drop: {drop: at most 300 rpm, parameter: engine-speed, name: drop, source: page 3}
  usual: {typical: 70 degC, parameter: coolant-temperature, name: usual, source: page 3}
tasks:
  bolts:
    title: Torque the bolts
    about: With the wrench.
    hours: at 1, 5, 10 h, then every 25 h
    source: page 3
  look:
    title: Look at the frame
    about: No crack is seen.
    calendar: every 1 year
    severe: {when: flying from sand, calendar: every 1 month}
    source: page 3
"""


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("Keep it below {coolant-full}.",
         "Keep it below 85\u00a0°C at full throttle for at most 5\u00a0min."),
        ("{condition/full-power}: {full-power.engine-speed}",
         "at full throttle: above 7000\u00a0rpm"),
        ("It falls by {drop}.", "It falls by at most 300\u00a0rpm."),
        ("You see {usual}.", "You see about 70\u00a0°C."),
        ("Work falls due {bolts.hours}.",
         "Work falls due after 1\u00a0h, 5\u00a0h and 10\u00a0h, then every 25\u00a0h."),
        ("It is looked at {look.calendar}.", "It is looked at every year."),
        ("It is looked at {look.severe-calendar}.", "It is looked at every month."),
        ("{control/master} to {control/master.on}", "master switch (MASTER) to ON"),
        ("{this/machine} and {wren/coolant}", "Tern and coolant temperature"),
        ("{{plain}} {coolant.green}", "{plain} 60 to 80\u00a0°C"),
    ],
)  # fmt: skip
def test_texts_say_their_references(text: str, read: str) -> None:
    assert spoken(Speaker(manual(more=MORE)).text(Text(text))) == read


INSTRUMENT = """\
document: marl-manual
instrument: wren
name: Wren display
buttons: {left: L, right: R}
hold: hold-time
home: main
source: page 2
channels:
  coolant: {parameter: coolant-temperature, range: -20 to 150 degC, alarm-grid: 1 degC}
  speed: {parameter: engine-speed, range: 0 to 9990 rpm}
screens:
  main:
    title: Main screen
    fields: [{channel: coolant, label: WATER}, {channel: speed, label: RPM}]
    keys: {hold left and right: menu}
  menu: {title: Menu, about: The way to all settings., keys: {press right: units, press left: main}}
  units: {title: Units, about: The units of each reading., keys: {press right: main}}
"""


def test_key_presses_come_from_the_screens() -> None:
    machine = manual(
        more=MORE,
        instrument=INSTRUMENT,
        look="procedure: look\ntitle: Look\nchapter: set-up\nwhen: once\n"
        "steps:\n  - go-to: wren/units\n  - set: {master: off}\n    memory: yes\n",
    )
    assert presses(machine.get(Instrument, "wren"), "units") == (
        ("hold", ("left", "right")),
        ("press", ("right",)),
    )
    speaker = Speaker(machine)
    first, second = instructions(speaker, machine.get(Procedure, "look").steps)
    assert spoken(first.action) == (
        "Go to the screen “Units”. From the screen “Main screen”: hold L and R (3\u00a0s), press R."
    )
    assert spoken(second.action) == "Set the master switch (MASTER) to OFF."
    assert second.memory


@pytest.mark.parametrize(
    ("step", "action", "expect"),
    [
        ("do: Measure it.\n    expect: {limit: play}", "Measure it.",
         "Expect: play of the hub: at most 2\u00a0turns."),
        ("look: the hub\n    expect: {limit: play}", "Look at the hub.",
         "Expect: play of the hub: at most 2\u00a0turns."),
        ("read: wren/coolant\n    expect: {limit: coolant-full}", "Read coolant temperature.",
         "Expect: at most 85\u00a0°C at full throttle for at most 5\u00a0min."),
        ("hold: wren/left\n    for: longest", "Hold L for at most 6\u00a0s.", ""),
        ("together: [wren/left, wren/right]\n    for: longest",
         "Hold L and R together for at most 6\u00a0s.", ""),
        ("hold: wren/left\n    for: hold-time", "Hold L for 3\u00a0s.", ""),
    ],
)  # fmt: skip
def test_a_step_says_of_what_its_figure_is_and_on_which_side(
    step: str, action: str, expect: str
) -> None:
    facts = (
        "  longest: {maximum: 6 s, name: longest hold, source: page 3}\n"
        "  play: {maximum: 2 turns, name: play of the hub, source: page 3}\ntasks:"
    )
    machine = manual(
        more=MORE.replace("tasks:", facts),
        instrument=INSTRUMENT,
        look=f"procedure: look\ntitle: Look\nchapter: set-up\nwhen: once\nsteps:\n  - {step}\n",
    )
    (made,) = instructions(Speaker(machine), machine.get(Procedure, "look").steps)
    assert (spoken(made.action), spoken(made.expect)) == (action, expect)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_the_same_words_with_the_same_slots(language: str) -> None:
    ours, english = words(language), words("en")
    assert set(ours.table) == set(english.table)
    for key in english.table:
        slots = [
            sorted(piece for piece, slot in one.pieces(key) if slot) for one in (ours, english)
        ]
        assert slots[0] == slots[1], key


@pytest.mark.parametrize(
    ("part", "german"), [("calendar", "jedes Jahr"), ("severe-calendar", "jeden Monat")]
)
def test_once_in_each_is_said_without_a_number(part: str, german: str) -> None:
    found = manual(more=MORE)
    speaker = Speaker(replace(found, entry=replace(found.entry, language="de")))
    assert spoken(speaker.text(Text(f"{{look.{part}}}"))) == german


@pytest.mark.parametrize(
    ("figure", "said"),
    [("10 times", "Press L 10\u00a0times."), ("10 presses", "Press L (10\u00a0presses).")],
)
def test_so_many_presses_are_not_pressed_themselves(figure: str, said: str) -> None:
    look = (
        "procedure: look\ntitle: Look\nchapter: set-up\nwhen: once a day\nsteps:\n"
        "  - set: {master: on}\n  - press: wren/left\n    times: often\n  - set: {master: off}\n"
    )
    fact = f"{{nominal: {figure}, name: how often, source: page 3}}"
    often = f"document: marl-manual\nfacts:\n  often: {fact}\n"
    found = manual(look=look, often=often)
    (_, step, _) = instructions(Speaker(found), found.of(Procedure)["look"].steps)
    assert spoken(step.action) == said
