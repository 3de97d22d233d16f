"""The run of a procedure: from every allowed beginning, through every branch, to its ends."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from placardry.book.procedures import (
    AdjustStep,
    ChooseStep,
    DoStep,
    ForEachStep,
    GoToStep,
    HoldStep,
    LookStep,
    PerformStep,
    PressStep,
    Procedure,
    ProcedureSequence,
    PullStep,
    ReadStep,
    SetStep,
    TogetherStep,
)
from placardry.finding import Note, Span
from placardry.resolve import Manual
from placardry.runs import readings
from placardry.runs.acts import Acts, brought
from placardry.runs.bounds import Bounds
from placardry.runs.effects import Effects
from placardry.runs.met import Event, Fault, What
from placardry.runs.readings import causes, said
from placardry.runs.state import ENGINE, State, few, joined
from placardry.stated import Figures

DEEPEST = 12  # procedures that perform each other, one inside the other
WIDEST = 24  # different beginnings from which one procedure is called
OFTEN = 2  # times that a repetition is gone through; what is wrong shows in the second

# Steps that cannot fail to be done, so that only an expected response can.
_SURE = (
    SetStep,
    PressStep,
    PullStep,
    HoldStep,
    TogetherStep,
    GoToStep,
    AdjustStep,
    ReadStep,
    LookStep,
    DoStep,
)

Number = tuple[int, ...]


class Walk:
    """Runs the procedures and sequences of one manual.

    Attributes:
        faults: what was met, each once, by kind, place and name
        events: the rows of the procedures that were run by themselves, if they are recorded
        entered: by procedure of a sequence, whether a message about the propeller stood before it
    """

    def __init__(self, manual: Manual, figures: Figures, *, recording: bool = False) -> None:
        self.recording = recording
        self.procedures = manual.of(Procedure)
        self.effects = Effects(manual)
        self.acts = Acts(self.effects, figures, self.report)
        self.bounds = Bounds(self.effects, self.report)
        self.figures = figures
        self.faults: dict[tuple[object, ...], Fault] = {}
        self.events: list[Event] = []
        self.entered: dict[str, set[bool]] = defaultdict(set)
        self._stack: list[Procedure] = []
        self._calls: list[Note] = []
        self._known: dict[str, dict[object, list[State]]] = defaultdict(dict)

    def report(self, fault: Fault) -> None:
        """Keep a fault, with the calls that led to its place."""
        procedure = self._stack[-1] if self._stack else None
        if fault.what is What.UNWARNED and procedure is not None:
            if procedure.chapter == "emergency":
                return
            fault = replace(fault, name=procedure.id)
        fault = replace(fault, related=(*fault.related, *self._calls))
        self.faults.setdefault((fault.what, fault.span, fault.name), fault)

    def alone(self, name: str) -> list[State]:
        """Run a procedure by itself, from everything that it may begin with."""
        procedure = self.procedures[name]
        begun = self.bounds.begin(procedure, [State()], None)
        ends = self._inside(procedure, begun)
        for state in ends:
            self.bounds.left(procedure, begun, state)
        return ends

    def sequence(self, sequence: ProcedureSequence) -> None:
        """Run the procedures of a sequence, each from where the one before it ended."""
        live = [State()]
        for at, name in enumerate(sequence.procedures):
            span = sequence.places.at("procedures", at)
            self.entered[name] |= {state.warned for state in live}
            live = self.call(name, live, span, What.FOLLOWS if at else What.CALLED)
            # A message has served its turn once the engine runs.
            live = [
                replace(one, warned=one.warned and not one.is_at(ENGINE, "running")) for one in live
            ]

    def call(self, name: str, live: list[State], span: Span, what: What) -> list[State]:
        """Go through another procedure from these states; the states in which it ends."""
        procedure = self.procedures.get(name)
        if procedure is None or not live:
            return live
        begun = self.bounds.begin(procedure, live, (span, what))
        known = self._known[name]
        key = frozenset(state.key for state in begun)
        if key in known:
            return known[key]
        inside = any(one is procedure for one in self._stack)
        if inside or len(self._stack) >= DEEPEST or len(known) >= WIDEST:
            return [self.bounds.narrowed(procedure, State(warned=joined(live).warned))]
        self._calls.append(Note(span, f"`{name}` is called for here"))
        known[key] = self._inside(procedure, begun)
        self._calls.pop()
        return known[key]

    def _inside(self, procedure: Procedure, live: list[State]) -> list[State]:
        self._stack.append(procedure)
        ends = self._steps(procedure.steps, live, ())
        for state in ends:
            self.bounds.reached(procedure, state)
        self._stack.pop()
        return few(self.bounds.narrowed(procedure, state) for state in ends)

    def _steps(self, steps: Iterable[Any], live: list[State], number: Number) -> list[State]:
        for at, step in enumerate(steps, 1):
            if not live:
                break
            live = self._step(step, live, (*number, at))
        return live

    def _step(self, step: Any, live: list[State], number: Number) -> list[State]:
        row = self._row(number, step, "", live)
        if isinstance(step, ChooseStep):
            after = self._choose(step, live, number)
        elif isinstance(step, ForEachStep):
            after = live
            for again in range(min(len(step.for_each), OFTEN)):
                # A second round would only repeat the rows of the first one.
                after = self._steps(step.steps, after, number if not again else (*number, 0))
        elif isinstance(step, PerformStep):
            after = self.call(step.perform, live, step.places.at("perform"), What.CALLED)
        else:
            after = [self.acts.act(step, state) for state in live]
        noted = [self.effects.mentioned(one, step.note) for one in after] if step.note else after
        expected = noted
        if step.expect is not None or isinstance(step, ReadStep):
            expected = [self._expected(step, state) for state in noted]
        if row is not None:
            self.events[row] = replace(self.events[row], after=joined(expected or live))
        if step.otherwise is None:
            return few(expected)
        return few([*expected, *self._otherwise(step, live, noted, number)])

    def _choose(self, step: ChooseStep, live: list[State], number: Number) -> list[State]:
        after = list(live) if len(step.choose) < 2 else []
        seen: set[str] = set()
        for at, branch in enumerate(step.choose, 1):
            if branch.when in seen:
                self.report(Fault(What.NEVER, branch.places.at("when"), branch.when, "case"))
            seen.add(branch.when)
            self._row((*number, at), None, branch.when, live, live)
            after += self._steps(branch.steps, live, (*number, at))
        return after

    def _expected(self, step: Any, state: State) -> State:
        """The state in which the expected response was seen."""
        for fault in readings.faults(self.effects, self.figures, step, state, self._later(step)):
            self.report(fault)
        for name, value in ((step.expect.position if step.expect else None) or {}).items():
            if value not in self.effects.values(name):
                continue
            span = step.places.at("expect", "position", name)
            if state.excludes(name, value):
                found, at = said(state, name), causes(state, name)
                self.report(Fault(What.OTHER_POSITION, span, name, "", found, value, at))
            if not state.is_at(name, value):
                cause = Note(span, f"`{name}` is expected at `{value}` here")
                state = self.effects.put(state, name, (value,), cause)
        return state

    def _later(self, step: Any) -> set[str]:
        """The conditions that later steps of the procedure bring about."""
        if step.expect is None or step.expect.limit is None:
            return set()
        here = step.places.span
        return {one.bring for one in brought(self._stack[-1].steps) if one.places.span > here}

    def _otherwise(
        self, step: Any, before: list[State], after: list[State], number: Number
    ) -> list[State]:
        """Go through the branch of a response that did not come; where it leads on from.

        After a procedure or a fault the run ends there, unless the step says that one returns.
        """
        other = step.otherwise
        if step.expect is None and isinstance(step, _SURE):
            self.report(Fault(What.NEVER, step.places.at("otherwise"), "otherwise"))
        failed = joined([*before, *after])
        if isinstance(step, SetStep):  # it stands where it was set, whatever did not follow
            for name, position in step.set.items():
                cause = Note(step.places.at("set", name), f"`{name}` is set here")
                if position in self.effects.values(name):
                    failed = failed.put(name, (position,), cause)
        row = self._row((*number, 0), step, "otherwise", [failed])
        if other.do is not None:
            span = step.places.at("otherwise", "do")
            ends = self.call(other.do, [failed], span, What.CALLED)
            if row is not None and ends:
                self.events[row] = replace(self.events[row], after=joined(ends))
            return ends if other.returns else []
        if other.see is not None:
            return []
        told = self.effects.mentioned(failed, other.text)
        if row is not None:
            self.events[row] = replace(self.events[row], after=told)
        return [told]

    def _row(
        self,
        number: Number,
        step: Any,
        head: str,
        before: list[State],
        after: list[State] | None = None,
    ) -> int | None:
        """Begin a row of the procedure that is run by itself; its place in the list."""
        alone = self.recording and len(self._stack) == 1 and not self._calls
        if not alone or not before or 0 in number[:-1]:
            return None
        ends = joined(after) if after else None
        self.events.append(Event(number, step, head, joined(before), ends))
        return len(self.events) - 1
