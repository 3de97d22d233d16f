from __future__ import annotations

import pytest

from placardry.errors import PlacardryError
from placardry.finding import Note, Span
from placardry.resolve import Manual
from placardry.run_table import changes, table
from placardry.runs import Fault, State, What, events, faults
from placardry.runs.effects import Effects
from placardry.runs.state import MOST, few
from placardry.stated import figures
from tests import books

HERE = Note(Span("a.yaml"), "here")
CONTROLS = """\
    controls:
      master:
        name: master switch
        label: MASTER
        kind: switch
        rests: off
        positions: {off: {label: "OFF", does: Cuts.}, on: {label: "ON", does: Feeds.}}
      ignition:
        name: ignition switch
        kind: switch
        rests: off
        positions:
          off: {label: STOP, does: Stops the engine., sets: {engine: stopped}}
          on: {label: RUN, does: Lets it run.}
      starter:
        name: start button
        kind: button
        needs: {master: on, ignition: on}
        gestures: {hold: {does: Turns the engine., sets: {engine: running}}}
      light:
        name: light button
        kind: button
        needs: {master: on}
        rests: off
        positions: {off: {does: Is dark.}, steady: {does: Shines.}, flash: {does: Flashes.}}
        gestures:
          press: {does: Goes on., moves: {steady: flash, flash: steady}}
          hold: {does: Switches., moves: {off: flash, steady: off, flash: off}}
    """
HEAD = """\
    procedure: run-up
    title: Start the engine
    chapter: operation
    when: before each flight
    """
WARNED = """\
      - hazard: {signal: warning, hazard: The propeller starts., consequence: It can kill.,
                 avoid: Keep clear.}
    """


@pytest.fixture(scope="module")
def effects() -> Effects:
    return Effects(books.manual(controls=CONTROLS))


def run_of(steps: str, head: str = HEAD) -> tuple[Manual, tuple[Fault, ...]]:
    """A procedure of these lines on the small machine, and what goes wrong in it."""
    prepared = books.judged(**{"controls": CONTROLS, "run-up": head + steps})
    manual = prepared.manuals[0]
    return manual, faults(manual, figures(manual))


def at(**states: str) -> State:
    state = State()
    for name, values in states.items():
        state = state.put(name, values.split(" or "), HERE)
    return state


def test_what_is_not_declared_is_unknown() -> None:
    assert State().known("master") is None
    assert not State().excludes("master", "on")
    assert at(master="on or off").is_at("master", "off", "on")


def test_joined_states_know_only_what_both_know() -> None:
    one = at(master="on", engine="running").join(at(master="off"))
    assert one.is_at("master", "on", "off")
    assert one.known("engine") is None
    assert "engine" not in one.causes


def test_ways_that_come_to_the_same_state_are_one() -> None:
    assert len(few([at(master="on"), at(master="on"), at(master="off")])) == 2


def test_too_many_ways_are_looked_at_as_one() -> None:
    many = [at(master="on", mode=f"m{number}") for number in range(MOST + 1)]
    (one,) = few(many)
    assert one.is_at("master", "on")
    assert len(one.known("mode") or ()) == MOST + 1


@pytest.mark.parametrize(
    ("before", "kind", "times", "after"),
    [
        ("off", "hold", 1, "flash"),
        ("flash", "press", 1, "steady"),
        ("flash", "press", 2, "flash"),
        ("off", "press", 1, "off"),  # a mode that is not listed stays
        ("steady", "press", None, "steady or flash"),  # any number of presses
        ("off or flash", "hold", 1, "flash or off"),
    ],
)
def test_gestures_move_an_accessory_through_its_modes(
    effects: Effects, before: str, kind: str, times: int | None, after: str
) -> None:
    found = effects.work(at(master="on", light=before), "light", kind, times, HERE)
    assert found.is_at("light", *after.split(" or "))


def test_a_gesture_whose_needs_are_open_may_have_had_no_effect(effects: Effects) -> None:
    state = at(ignition="on", engine="stopped")
    found = effects.work(state, "starter", "hold", 1, HERE)
    assert found.is_at("engine", "running", "stopped")
    assert effects.unmet(state.put("master", ["off"], HERE), {"master": "on"}) == "master"


def test_a_position_brings_about_what_it_sets(effects: Effects) -> None:
    assert effects.set_to(at(engine="running"), "ignition", "off", HERE).is_at("engine", "stopped")


def test_what_controls_others_need_feeds_them(effects: Effects) -> None:
    assert effects.feeding == {"master", "ignition"}


def test_the_trace_names_the_step_that_decided() -> None:
    steps = (
        "steps:\n      - set: {ignition: on}\n      - set: {master: off}\n      - hold: starter\n"
    )
    _, (fault, left) = run_of(steps)
    assert (fault.what, fault.name, fault.subject) == (What.NO_EFFECT, "starter", "master")
    assert [note.message for note in fault.related] == ["`master` is set to `off` here"]
    assert fault.related[0].span.line == 7
    assert (left.what, left.name) == (What.LEFT, "ignition")


def test_a_retry_of_itself_comes_to_an_end() -> None:
    steps = (
        "steps:\n      - look: the hub\n        expect: {text: It has no crack.}\n"
        "        otherwise: {do: run-up}\n"
    )
    assert run_of(steps)[1] == ()


def test_many_procedures_one_inside_the_other_come_to_an_end() -> None:
    # Each is called twice from two states, which would be two to the power of their number.
    chain = {
        f"p{number}": f"""\
            procedure: p{number}
            title: Look again
            chapter: operation
            when: before each flight
            steps:
              - set: {{master: on}}
              - perform: p{number + 1}
              - set: {{master: off}}
              - perform: p{number + 1}
              - choose:
                  - {{when: it is hot, steps: [{{set: {{ignition: on}}}}]}}
                  - {{when: it is cold, steps: [{{do: Wait.}}]}}
            """
        for number in range(60)
    }
    chain["p60"] = chain["p59"].replace("p60", "leave").replace("p59", "p60")
    manual = books.judged(controls=CONTROLS, **chain).manuals[0]
    found = faults(manual, figures(manual))
    assert {one.what for one in found} <= {What.LEFT}


def test_the_rows_of_a_run_follow_every_branch() -> None:
    steps = WARNED.rstrip(" ") + (
        "      - set: {master: on}\n"
        "        expect: {text: The display wakes.}\n"
        "        otherwise: {text: Look at the fuse.}\n"
        "      - choose:\n"
        "          - when: the engine is cold\n"
        "            steps: [{set: {ignition: on}}, {hold: starter}]\n"
        "          - when: the engine is warm\n"
        "            steps: [{do: Wait.}]\n"
        "      - for-each: [left, right]\n"
        "        steps: [{do: Look at it.}]\n"
    )
    manual, _ = run_of("hands-over: The engine runs.\n    steps:\n" + steps)
    rows = events(manual, figures(manual), "run-up")
    assert [(row.number, row.head) for row in rows] == [
        ((1,), ""),
        ((2,), ""),
        ((2, 0), "otherwise"),
        ((3,), ""),
        ((3, 1), "the engine is cold"),
        ((3, 1, 1), ""),
        ((3, 1, 2), ""),
        ((3, 2), "the engine is warm"),
        ((3, 2, 1), ""),
        ((4,), ""),
        ((4, 1), ""),
    ]
    assert rows[6].after is not None
    assert changes(rows[6].before, rows[6].after) == ["engine: running"]


TABLE = """\
Start the engine (run-up, tern-eu)

Step      What is done                               State after it, where it
                                                       changed
--------------------------------------------------------------------------------
          It begins                                  engine: stopped
1         WARNING: The propeller starts.
2         Set the master switch (MASTER) to ON.      master: on
          Expect: The display wakes.
          If not: Look at the fuse.
3         Set the ignition switch to RUN.            ignition: on
4         Hold the start button.                     engine: running
"""


def test_a_run_as_a_table_fits_eighty_columns() -> None:
    steps = WARNED.rstrip(" ") + (
        "      - set: {master: on}\n"
        "        expect: {text: The display wakes.}\n"
        "        otherwise: {text: Look at the fuse.}\n"
        "      - set: {ignition: on}\n"
        "      - hold: starter\n"
    )
    declared = "begins: {engine: stopped}\n    hands-over: The engine runs.\n    steps:\n"
    manual, found = run_of(declared + steps)
    assert found == ()
    assert table(manual, "run-up") == TABLE
    assert max(map(len, TABLE.splitlines())) == 80


def test_a_procedure_that_is_not_there() -> None:
    with pytest.raises(PlacardryError, match="did you mean `leave`"):
        table(books.manual(), "leav")


def _ends_after_otherwise(otherwise: str) -> tuple[Fault, ...]:
    """What goes wrong where the response to the first step may not come, and a start follows."""
    steps = WARNED.rstrip(" ") + (
        "      - look: the panel\n"
        "        expect: {text: A lamp lights.}\n"
        f"        otherwise: {{{otherwise}}}\n"
        "      - hold: starter\n"
    )
    cut = HEAD.replace("run-up", "cut").replace("Start the engine", "Cut the panel")
    head = "begins: {engine: stopped, master: on, ignition: on}\n    hands-over: It runs.\n"
    prepared = books.judged(
        **{
            "controls": CONTROLS,
            "cut": cut + "ends: {master: off}\n    steps: [{set: {master: off}}]\n",
            "run-up": HEAD + head + "    steps:\n" + steps,
        }
    )
    manual = prepared.manuals[0]
    return faults(manual, figures(manual))


def test_a_run_ends_after_otherwise_unless_one_returns() -> None:
    assert _ends_after_otherwise("do: cut") == ()
    (fault,) = _ends_after_otherwise("do: cut, returns: yes")
    # What the other procedure did is what the next step meets, with the trace to it.
    assert (fault.what, fault.name, fault.subject) == (What.NO_EFFECT, "starter", "master")
    assert [note.message for note in fault.related] == ["`master` is set to `off` here"]


def test_the_table_says_whether_one_returns() -> None:
    steps = (
        "steps:\n      - look: the hub\n        expect: {text: It is dry.}\n"
        "        otherwise: {do: leave%s}\n      - look: the belt\n"
    )
    for more, ends in (("", True), (", returns: yes", False)):
        said = table(run_of(steps % more)[0], "run-up")
        assert ("the run ends here" in said) is ends
        assert ("go on here" in said) is not ends
        assert max(map(len, said.splitlines())) <= 80
