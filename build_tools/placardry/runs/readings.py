"""Readings in a run: whether the instrument has current and reads true, and the limit can hold."""

from __future__ import annotations

from collections.abc import Container, Iterator
from typing import Any

from placardry.book.conditions import Condition
from placardry.book.instruments import Channel
from placardry.book.procedures import ReadStep
from placardry.conditions import Box, box_of
from placardry.figures import Figure
from placardry.finding import Note
from placardry.interval import Interval
from placardry.rounding import Kind
from placardry.runs.effects import Effects
from placardry.runs.met import Fault, What
from placardry.runs.state import State
from placardry.stated import Figures


def faults(
    effects: Effects, figures: Figures, step: Any, state: State, later: Container[str]
) -> Iterator[Fault]:
    """What is wrong with a step as a reading, in this state.

    A limit may be asked for ahead of its condition; `later` are the conditions still to come.
    """
    name, _, part = (step.expect.limit if step.expect and step.expect.limit else "").partition(".")
    figure = figures.get((name, part))
    parameter: str | None = None
    if isinstance(step, ReadStep):
        parameter = step.reading
        instrument, _, channel_name = (step.read or "").partition("/")
        found = effects.instruments.get(instrument)
        channel = ((found.channels if found else None) or {}).get(channel_name)
        if found is not None:
            parameter = channel.parameter if channel else None
            need = effects.unmet(state, found.needs)
            if need is not None:
                yield Fault(
                    What.NO_POWER,
                    step.places.at("read"),
                    step.read or "",
                    need,
                    said(state, need),
                    (found.needs or {})[need],
                    causes(state, need),
                )
            # An error of the instrument falls out of a difference between two of its readings.
            elif channel and (figure is None or figure.kind is not Kind.CHANGE):
                yield from _untrue(effects, step, channel, state)
    if figure is not None and not any(one.id in later for one in figure.conditions):
        yield from _unkept(step, figure, parameter, state)


def _untrue(effects: Effects, step: ReadStep, channel: Channel, state: State) -> Iterator[Fault]:
    span, name = step.places.at("read"), step.read or ""
    if channel.reads_true_when is not None:
        condition = effects.manual.of(Condition).get(channel.reads_true_when)
        box = box_of([condition]) if condition is not None else None
        against = clash(state, box) if box is not None else None
        if against is not None:
            yield Fault(
                What.UNTRUE,
                span,
                name,
                f"while `{channel.reads_true_when}` holds",
                f"`{against}` is {said(state, against)}",
                related=(
                    *causes(state, against),
                    Note(channel.places.at("reads-true-when"), "when it reads true"),
                ),
            )
            return
    held = state.box.spans.get(channel.parameter or "")
    if held is not None and channel.reads_true is not None and apart(held, channel.reads_true):
        yield Fault(
            What.UNTRUE,
            span,
            name,
            f"{channel.reads_true}",
            f"`{channel.parameter}` is {held}",
            related=(
                *causes(state, channel.parameter or ""),
                Note(channel.places.at("reads-true"), "where it reads true"),
            ),
        )


def _unkept(step: Any, figure: Figure, parameter: str | None, state: State) -> Iterator[Fault]:
    """A limit that does not hold in this state, or that the reading cannot keep."""
    span, name = step.places.at("expect", "limit"), step.expect.limit
    place = Note(figure.span, f"`{name}` says so")
    box = box_of(figure.conditions)
    against = clash(state, box) if box is not None else None
    if against is not None:
        yield Fault(
            What.OUTSIDE,
            span,
            name,
            "holds only " + " and ".join(f"`{one.id}`" for one in figure.conditions),
            f"`{against}` is {said(state, against)}",
            related=(*causes(state, against), place),
        )
        return
    held = state.box.spans.get(parameter or "")
    stays = figure.kind in (Kind.MAXIMUM, Kind.MINIMUM, Kind.RANGE, Kind.CUT)
    if held is not None and stays and figure.parameter == parameter:
        wanted = Interval(figure.exact.low, figure.exact.high)
        if apart(held, wanted):
            yield Fault(
                What.OUTSIDE,
                span,
                name,
                f"is {wanted}",
                f"`{parameter}` is {held}",
                related=(*causes(state, parameter or ""), place),
            )


def clash(state: State, box: Box) -> str | None:
    """The first name on which a state and a box certainly disagree."""
    for name, allowed in box.states.items():
        known = state.known(name)
        if known is not None and not known & allowed:
            return name
    for name, span in box.spans.items():
        held = state.box.spans.get(name)
        if held is not None and apart(held, span):
            return name
    return None


def apart(one: Interval, other: Interval) -> bool:
    """Whether two spans share no value; no where their units do not mix."""
    return one.unit.mixes(other.unit) and not one.overlaps(other)


def said(state: State, name: str) -> str:
    """What a name can be in a state, as words."""
    if name in state.box.spans:
        return str(state.box.spans[name])
    return " or ".join(f"`{value}`" for value in sorted(state.known(name) or ())) or "not known"


def causes(state: State, *names: str) -> tuple[Note, ...]:
    """The steps that decided names."""
    return tuple(state.causes[name] for name in names if name in state.causes)
