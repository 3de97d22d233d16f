"""Rules on states and gestures: what a procedure or a control names, the machine has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from placardry.book.conditions import ENGINE_STATES
from placardry.book.controls import Control
from placardry.book.instruments import Instrument
from placardry.book.procedures import (
    Expect,
    HoldStep,
    PressStep,
    Procedure,
    SetStep,
    TogetherStep,
)
from placardry.finding import Family, Severity, Span, did_you_mean
from placardry.resolve import Manual, per_view
from placardry.rules.hazards import step_lists
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.where import on_machines


@rule(Severity.ERROR, Family.PROCEDURES)
def unknown_state(subject: Subject) -> Iterator[Problem]:
    """A state names a control that the machine does not have, or a position that it cannot take.

    Steps that set a position, expected responses, `begins` and `ends`, and what a control
    needs, sets, moves to and rests in, all speak of positions by their names.

    Source: common practice, no source.

    Bad:
        procedures/panel-test.yaml
            procedure: panel-test
            title: Test the panel
            chapter: operation
            when: before each flight
            begins: {engine: stopped}
            steps:
              - set: {master: up}
    Good:
        procedures/panel-test.yaml
            procedure: panel-test
            title: Test the panel
            chapter: operation
            when: before each flight
            begins: {engine: stopped}
            steps:
              - set: {master: on}
    """
    yield from on_machines(
        (manual, problem) for manual in subject.manuals for problem in _judged(manual)
    )


@per_view
def _judged(manual: Manual) -> tuple[Problem, ...]:
    return tuple(_judge(manual))


def _judge(manual: Manual) -> Iterator[Problem]:
    for procedure in manual.of(Procedure).values():
        for key in ("begins", "ends"):
            yield from _judge_states(manual, procedure, key)
        for steps in step_lists(procedure):
            for step in steps:
                if isinstance(step, SetStep):
                    yield from _judge_states(manual, step, "set")
                if isinstance(step.expect, Expect):
                    yield from _judge_states(manual, step.expect, "position")
    for control in manual.of(Control).values():
        yield from _judge_control(manual, control)
    for instrument in manual.of(Instrument).values():
        yield from _judge_states(manual, instrument, "needs")


def _judge_control(manual: Manual, control: Control) -> Iterator[Problem]:
    yield from _judge_states(manual, control, "needs")
    if control.rests is not None:
        yield from _judge_position(control, control.rests, control.places.at("rests"))
    for effects in ((control.positions or {}).values(), (control.gestures or {}).values()):
        for one in effects:
            yield from _judge_states(manual, one, "sets")
    for gesture in (control.gestures or {}).values():
        for before, after in (gesture.moves or {}).items():
            span = gesture.places.at("moves", before)
            for position in (before, after):
                yield from _judge_position(control, position, span)


def _judge_states(manual: Manual, holder: Any, key: str) -> Iterator[Problem]:
    """Judge a mapping of controls, or `engine`, to the state that each is in."""
    states: Mapping[str, str] = getattr(holder, key) or {}
    for name, state in states.items():
        control = manual.of(Control).get(name)
        if name == "engine":
            if state not in ENGINE_STATES:
                span = holder.places.at(key, name)
                mend = did_you_mean(state, ENGINE_STATES, "write `running` or `stopped`")
                yield Problem(span, f"the engine cannot be `{state}`", mend)
        elif control is not None:
            if state not in (control.positions or {}):
                yield from _judge_position(control, state, holder.places.at(key, name))
        elif key in ("begins", "ends", "sets"):  # the others are typed references
            known, span = ["engine", *manual.of(Control)], holder.places.at(key, name)
            message = f"`{name}` is no control"
            yield Problem(span, message, did_you_mean(name, known, "name a control, or `engine`"))


def _judge_position(control: Control, position: str, span: Span) -> Iterator[Problem]:
    positions = control.positions or {}
    if position in positions:
        return
    if not positions:
        mend = f"use `press:` or `hold:`, or give `{control.id}` its `positions:`"
        yield Problem(span, f"`{control.id}` has no positions", mend)
        return
    labelled = [
        name
        for name, one in positions.items()
        if (one.label or "").casefold() == position.casefold()
    ]
    otherwise = f"write {' or '.join(f'`{name}`' for name in positions)}"
    mend = f"write `{labelled[0]}`" if labelled else did_you_mean(position, positions, otherwise)
    yield Problem(span, f"`{control.id}` has no position `{position}`", mend)


@rule(Severity.ERROR, Family.PROCEDURES)
def impossible_gesture(subject: Subject) -> Iterator[Problem]:
    """A step presses or holds a control that says nothing of what that does.

    Either the owner is told to do what has no effect, or the control's effect is not described.

    Source: common practice, no source.

    Bad:
        procedures/panel-test.yaml
            procedure: panel-test
            title: Test the panel
            chapter: operation
            when: before each flight
            steps:
              - press: master
    Good:
        procedures/panel-test.yaml
            procedure: panel-test
            title: Test the panel
            chapter: operation
            when: before each flight
            steps:
              - press: wren/left
    """
    for manual in subject.views:
        controls = manual.of(Control)
        for procedure in manual.of(Procedure).values():
            for steps in step_lists(procedure):
                for step in steps:
                    for name, gesture, span in _gestures(step):
                        if name not in controls or gesture in (controls[name].gestures or {}):
                            continue
                        message = f"`{name}` says nothing of what a {gesture} does"
                        yield Problem(span, message, _other_way(controls[name], gesture))


def _gestures(step: Any) -> Iterator[tuple[str, str, Span]]:
    if isinstance(step, PressStep):
        yield step.press, "press", step.places.at("press")
    elif isinstance(step, HoldStep):
        yield step.hold, "hold", step.places.at("hold")
    elif isinstance(step, TogetherStep):
        for at, name in enumerate(step.together):
            yield name, "hold", step.places.at("together", at)


def _other_way(control: Control, gesture: str) -> str:
    known = list(control.gestures or {})
    if known:
        return f"write `{known[0]}: {control.id}`, or describe `{gesture}:` under its `gestures:`"
    if control.positions:
        position = next(iter(control.positions))
        return f"write `set: {{{control.id}: {position}}}`, or give it `gestures:`"
    return f"describe `{gesture}:` under `gestures:` of `{control.id}`"
