"""Where runs begin and end: what procedures declare of it, against what is so."""

from __future__ import annotations

from collections.abc import Callable

from placardry.book.procedures import Procedure
from placardry.finding import Note, Span
from placardry.runs.effects import Effects
from placardry.runs.met import Fault, What
from placardry.runs.readings import causes, said
from placardry.runs.state import ENGINE, State, few, joined


class Bounds:
    """Judges the beginnings and ends of one manual's procedures.

    Attributes:
        report: takes each fault
    """

    def __init__(self, effects: Effects, report: Callable[[Fault], object]) -> None:
        self.effects, self.report = effects, report
        self.feeding = effects.feeding

    def begin(
        self, procedure: Procedure, live: list[State], called: tuple[Span, What] | None
    ) -> list[State]:
        """The states narrowed to what a procedure begins with."""
        for name, value in (procedure.begins or {}).items():
            if value not in self.effects.values(name):
                continue
            place = procedure.places.at("begins", name)
            if called and all(state.excludes(name, value) for state in live):
                found, at = said(joined(live), name), causes(live[0], name)
                related = (*at, Note(place, "what it begins with"))
                span, what = called
                self.report(Fault(what, span, procedure.id, name, found, value, related))
            cause = Note(place, f"`{procedure.id}` begins with `{name}` `{value}`")
            live = [
                state
                if state.is_at(name, value)
                else self.effects.put(state, name, (value,), cause)
                for state in live
            ]
        return few(state.within({}) for state in live)

    def reached(self, procedure: Procedure, state: State) -> None:
        """Compare the state in which the steps end with what the procedure says of it."""
        for name, value in (procedure.ends or {}).items():
            # What no control of the book is said to set can only be done in words.
            tracked = name != ENGINE or value in self.effects.engine_is_set
            if value in self.effects.values(name) and tracked and state.excludes(name, value):
                span, found = procedure.places.at("ends", name), said(state, name)
                at = causes(state, name)
                self.report(Fault(What.ENDS, span, name, procedure.id, found, value, at))

    def narrowed(self, procedure: Procedure, state: State) -> State:
        """The state with what a procedure says it ends with."""
        for name, value in (procedure.ends or {}).items():
            if not state.is_at(name, value):
                cause = Note(procedure.places.at("ends", name), f"`{procedure.id}` ends so")
                state = self.effects.put(state, name, (value,), cause)
        return state

    def left(self, procedure: Procedure, begun: list[State], state: State) -> None:
        """Note what a procedure leaves live without a word."""
        ends = procedure.ends or {}
        if procedure.hands_over:
            return
        place = procedure.places.at("procedure")
        if ENGINE not in ends and state.is_at(ENGINE, "running"):
            at = causes(state, ENGINE)
            self.report(Fault(What.LEFT, place, ENGINE, procedure.id, related=at))
        for name in sorted(self.feeding - set(ends)):
            rests, known = self.effects.controls[name].rests, state.known(name)
            moved = any(one.known(name) != known for one in begun)
            if rests is not None and moved and state.excludes(name, rests):
                found, at = said(state, name), causes(state, name)
                self.report(Fault(What.LEFT, place, name, procedure.id, found, rests, at))
