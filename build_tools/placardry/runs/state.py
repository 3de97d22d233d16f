"""What is known of a machine at one moment of a run: a box of states, and the steps behind it.

A name is a control, `engine`, or the screen that an instrument shows. A name that is absent is
unknown: the run covers every value that it can have.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from functools import reduce

from placardry.conditions import Box
from placardry.finding import Note, light
from placardry.interval import Interval

ENGINE = "engine"
DARK = ""  # the screen of an instrument that has no current
MOST = 8  # ways that are followed side by side; more of them are looked at as one


def screen_of(instrument: str) -> str:
    """The name under which a state keeps the screen of an instrument."""
    return f"{instrument}/screen"


@light
class State:
    """Everything that may be so at one moment of a run.

    Attributes:
        box: the positions that each control can be in, and the spans brought about
        warned: a safety message about the propeller has been read
        causes: by name, the step that decided it last
    """

    box: Box = field(default_factory=Box)
    warned: bool = False
    causes: Mapping[str, Note] = field(default_factory=dict, compare=False, repr=False)

    def known(self, name: str) -> frozenset[str] | None:
        """The values that a name can have; None where nothing is known."""
        return self.box.states.get(name)

    def excludes(self, name: str, value: str) -> bool:
        """Whether a name certainly has another value."""
        known = self.known(name)
        return known is not None and value not in known

    def is_at(self, name: str, *values: str) -> bool:
        """Whether a name certainly has just these values."""
        return self.known(name) == frozenset(values)

    def put(self, name: str, values: Iterable[str] | None, cause: Note | None) -> State:
        """The state in which a name has one of these values; None for any."""
        states, causes = dict(self.box.states), dict(self.causes)
        states.pop(name, None)
        causes.pop(name, None)
        if values is not None:
            states[name] = frozenset(values)
            if cause is not None:
                causes[name] = cause
        return State(Box(states, self.box.spans), self.warned, causes)

    def within(self, spans: Mapping[str, Interval]) -> State:
        """The state in which just these spans hold."""
        if not spans and not self.box.spans:
            return self
        return State(Box(self.box.states, spans), self.warned, self.causes)

    def join(self, other: State) -> State:
        """What is known whichever of the two states is the true one."""
        states = {
            name: values | other.box.states[name]
            for name, values in self.box.states.items()
            if name in other.box.states
        }
        spans = {
            name: span for name, span in self.box.spans.items() if other.box.spans.get(name) == span
        }
        causes = {name: cause for name, cause in self.causes.items() if name in states}
        return State(Box(states, spans), self.warned and other.warned, causes)

    @property
    def key(self) -> object:
        """What tells two states apart, for a table of states."""
        return (
            frozenset(self.box.states.items()),
            frozenset(self.box.spans.items()),
            self.warned,
        )


def few(states: Iterable[State]) -> list[State]:
    """The states without repetitions; one for all of them where they are too many to follow."""
    found = list(states)
    if len(found) > 1:
        found = list({state.key: state for state in found}.values())
    return found if len(found) <= MOST else [joined(found)]


def joined(states: Iterable[State]) -> State:
    """What is known whichever of the states is the true one."""
    return reduce(State.join, states)
