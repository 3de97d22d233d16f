"""Rules on the conditions of limits."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.conditions import ENGINE_STATES, Condition, StatesOrSpan
from placardry.book.controls import Control
from placardry.book.figures import Fact, Limit, Parameter, Scale
from placardry.conditions import box_of
from placardry.finding import Family, Note, Severity, did_you_mean
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import fits, was_taken_out


@rule(Severity.ERROR, Family.LIMITS)
def impossible_condition(subject: Subject) -> Iterator[Problem]:
    """A figure holds under conditions that exclude each other, so it never holds.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              idling: {short: at idle, engine-speed: below 2500 rpm}
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            limits:
              cruise-minimum:
                parameter: coolant-temperature
                minimum: 64 degC
                condition: [idling, cruise]
                source: page 9
                exceeded: Close the radiator flap.
    Good:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            limits:
              cruise-minimum:
                parameter: coolant-temperature
                minimum: 64 degC
                condition: cruise
                source: page 9
                exceeded: Close the radiator flap.
    """
    for manual in subject.views:
        held: list[Limit | Scale | Fact] = [
            *manual.of(Limit).values(),
            *manual.of(Scale).values(),
            *manual.of(Fact).values(),
        ]
        empty = {names for names in {one.condition for one in held} if _is_empty(manual, names)}
        for one in held:
            if one.condition in empty:
                conditions = manual.conditions(one.condition)
                together = " and ".join(f"`{name}`" for name in one.condition)
                message = f"`{one.id}` holds under {together}, which exclude each other"
                notes = tuple(Note(item.places.span, f"`{item.id}`") for item in conditions)
                mend = "name conditions that can hold at once"
                yield Problem(one.places.at("condition"), message, mend, notes)


def _is_empty(manual: Manual, names: tuple[str, ...]) -> bool:
    """Whether these conditions, none of which is wrong by itself, never hold together."""
    conditions = manual.conditions(names)
    return all(_fits(manual, one) for one in conditions) and box_of(conditions) is None


def _fits(manual: Manual, condition: Condition) -> bool:
    return all(
        item.span is None or (name in manual.of(Parameter) and fits(manual, name, item.span.unit))
        for name, item in condition.box.items()
    )


@rule(Severity.ERROR, Family.LIMITS)
def unknown_in_condition(subject: Subject) -> Iterator[Problem]:
    """A condition asks for a control, a position or a parameter that the machine lacks.

    It could never be met, so the limit under it would never hold.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-sped: 5000 to 6400 rpm}
            limits:
              cruise-minimum:
                parameter: coolant-temperature
                minimum: 64 degC
                condition: cruise
                source: page 9
                exceeded: Close the radiator flap.
    Good:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            limits:
              cruise-minimum:
                parameter: coolant-temperature
                minimum: 64 degC
                condition: cruise
                source: page 9
                exceeded: Close the radiator flap.
    """
    for manual in subject.manuals:
        for condition in manual.of(Condition).values():
            for name, item in condition.box.items():
                problem = _problem(subject, manual, name, item)
                if problem is not None:
                    what, mend = problem
                    message = f"condition `{condition.id}` {what}"
                    yield Problem(condition.places.at(name), message, mend)


def _problem(
    subject: Subject, manual: Manual, name: str, item: StatesOrSpan
) -> tuple[str, str] | None:
    controls, parameters = manual.of(Control), manual.of(Parameter)
    if name in parameters:
        if item.span is not None:
            return None
        return f"gives `{name}` no span", "write a span, such as `above 7400 rpm`"
    if name == "engine" or name in controls:
        states = ENGINE_STATES if name == "engine" else tuple(controls[name].positions or ())
        wrong = [state for state in item.states if state not in states]
        if item.span is None and not wrong:
            return None
        said = str(item.span) if item.span is not None else wrong[0]
        known = ", ".join(f"`{state}`" for state in states) or "none"
        mend = did_you_mean(said, states, f"write one of its positions: {known}")
        return f"wants `{name}` at `{said}`, which it does not have", mend
    if was_taken_out(subject.book, manual, name, ("control", "parameter")):
        return None
    names = ["engine", *controls, *parameters]
    mend = did_you_mean(name, names, "name a control, a parameter or `engine`")
    elsewhere = name in subject.book.of(Control) or name in subject.book.of(Parameter)
    where = f"is not there on `{manual.machine.id}`" if elsewhere else "is nothing known"
    return f"asks for `{name}`, which {where}", mend
