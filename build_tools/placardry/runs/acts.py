"""What one step does to a state, and whether it can be done there."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from placardry.book.conditions import Condition
from placardry.book.instruments import Alarm
from placardry.book.procedures import (
    AdjustStep,
    BringStep,
    ChooseStep,
    DoStep,
    ForEachStep,
    GoToStep,
    HazardStep,
    HoldStep,
    PressStep,
    PullStep,
    SetStep,
    TogetherStep,
    WaitStep,
    WaitUntilStep,
)
from placardry.conditions import box_of
from placardry.finding import Note, Span
from placardry.runs.effects import Effects
from placardry.runs.met import Fault, What
from placardry.runs.readings import causes, said
from placardry.runs.screens import Screens
from placardry.runs.state import ENGINE, State
from placardry.stated import Figures

_PROPELLER = re.compile(r"propeller|airscrew|luftschraube|\bprop\b", re.IGNORECASE)
_WORDED = ("en", "de")  # the languages whose word for the propeller we know


class Acts:
    """Does the steps of one manual's procedures, and notes what goes wrong.

    Attributes:
        report: takes each fault
    """

    def __init__(
        self, effects: Effects, figures: Figures, report: Callable[[Fault], object]
    ) -> None:
        self.effects, self.figures, self.report = effects, figures, report
        self.screens = Screens(effects, report)

    def act(self, step: Any, state: State) -> State:
        """The state after a step; the same for one that changes nothing that is tracked."""
        done = _ACTS.get(type(step))
        return done(self, step, state) if done is not None else state

    def hazard(self, step: HazardStep, state: State) -> State:
        """A safety message is read."""
        one = step.hazard
        told = f"{one.hazard} {one.consequence} {one.avoid}"
        grave = one.signal in ("danger", "warning")
        spoken_of = self.effects.manual.language not in _WORDED or _PROPELLER.search(told)
        return replace(state, warned=True) if grave and spoken_of else state

    def put(self, step: SetStep, state: State) -> State:
        """Controls are put into positions."""
        state = state.within({})
        for name, position in step.set.items():
            span, control = step.places.at("set", name), self.effects.controls.get(name)
            if control is None:
                continue
            need = self.effects.unmet(state, control.needs)
            # A lever stays where it is put and may act later; a button's modes do not.
            if need and control.kind == "button" and position != control.rests:
                self._no_effect(span, name, need, control.needs or {}, state)
                continue
            cause = Note(span, f"`{name}` is set to `{position}` here")
            state = self._worked(span, state, self.effects.set_to(state, name, position, cause))
        return state

    def press(self, step: PressStep, state: State) -> State:
        """A button is pressed shortly."""
        span = step.places.at("press")
        return self._gesture(span, "press", (step.press,), self._times(step.times), state)

    def pull(self, step: PullStep, state: State) -> State:
        """A handle is pulled."""
        span = step.places.at("pull")
        return self._gesture(span, "pull", (step.pull,), self._times(step.times), state)

    def hold(self, step: HoldStep, state: State) -> State:
        """A button is held."""
        return self._gesture(step.places.at("hold"), "hold", (step.hold,), 1, state)

    def together(self, step: TogetherStep, state: State) -> State:
        """Several buttons are held at once."""
        return self._gesture(step.places.at("together"), "hold", step.together, 1, state)

    def _gesture(
        self, span: Span, kind: str, names: tuple[str, ...], times: int | None, state: State
    ) -> State:
        state, keys = state.within({}), defaultdict[str, list[str]](list)
        for name in names:
            instrument, slash, key = name.partition("/")
            if slash:
                keys[instrument].append(key)
            elif name in self.effects.controls:
                state = self._work(span, kind, name, times, state)
        for instrument, pressed in keys.items():
            if self.screens.is_dark(span, instrument, state):
                continue
            cause = Note(span, "keys are worked here")
            for _ in range(min(times or 1, 99)):
                state = self.effects.key(state, instrument, (kind, tuple(pressed)), cause)
        return state

    def _work(self, span: Span, kind: str, name: str, times: int | None, state: State) -> State:
        needs = self.effects.controls[name].needs
        need = self.effects.unmet(state, needs)
        if need is not None:
            self._no_effect(span, name, need, needs or {}, state)
            return state
        cause = Note(span, f"`{name}` is worked here")
        return self._worked(span, state, self.effects.work(state, name, kind, times, cause))

    def _worked(self, span: Span, before: State, after: State) -> State:
        """The state after a control was worked; starting the engine wants a message before it."""
        known = after.known(ENGINE)
        starts = known is not None and "running" in known and before.excludes(ENGINE, "running")
        if starts and not after.warned:
            self.report(Fault(What.UNWARNED, span, ENGINE, related=causes(before, ENGINE)))
        return after

    def _times(self, figure: str | None) -> int | None:
        """How often; None where the figure leaves it open."""
        if figure is None:
            return 1
        name, _, part = figure.partition(".")
        found = self.figures.get((name, part))
        value = found.exact.value if found is not None else None
        whole = value is not None and value.value.denominator == 1 and 0 < value.value < 100
        return int(value.value) if value is not None and whole else None

    def do(self, step: DoStep, state: State) -> State:
        """Anything in words; it may have worked the controls and keys that it names."""
        state = state.within({})
        if "{" not in step.do:
            return state
        span = step.places.at("do")
        links = list(self.effects.links(step.do))
        keys = {link.id for link in links if link.nested == "button"}
        wanted: dict[str, set[str]] = defaultdict(set)
        for link in links:
            if link.kind == "alarm":
                alarm = self.effects.manual.get(Alarm, link.id)
                instrument, _, screen = (alarm.setting or "").partition("/")
                if instrument in keys and screen:
                    wanted[instrument].add(screen)
        for instrument in sorted(keys):
            self.screens.is_dark(span, instrument, state)
        for instrument, screens in wanted.items():
            self.screens.on_screen(span, instrument, screens, " and ".join(sorted(screens)), state)
        return self.effects.mentioned(state, step.do)

    def bring(self, step: BringStep, state: State) -> State:
        """A condition is brought about: controls are moved, an engine is not started."""
        condition = self.effects.manual.of(Condition).get(step.bring)
        box, span = (box_of([condition]) if condition else None), step.places.at("bring")
        if box is None:
            return state
        cause = Note(span, f"`{step.bring}` is brought about here")
        for name, allowed in box.states.items():
            known = state.known(name)
            if name == ENGINE and known is not None and not known & allowed:
                wanted, at = " or ".join(sorted(allowed)), causes(state, name)
                found = said(state, name)
                self.report(Fault(What.OUT_OF_REACH, span, step.bring, name, found, wanted, at))
            elif known is None or not known <= allowed:
                state = self.effects.put(state, name, allowed, cause)
        held = state.within(box.spans)
        return replace(held, causes={**held.causes, **dict.fromkeys(box.spans, cause)})

    def wait(self, step: WaitStep | WaitUntilStep, state: State) -> State:
        """Time goes by, and readings with it."""
        return state.within({})

    def _no_effect(
        self, span: Span, name: str, need: str, needs: Mapping[str, str], state: State
    ) -> None:
        found, at = said(state, need), causes(state, need)
        self.report(Fault(What.NO_EFFECT, span, name, need, found, needs[need], at))


_ACTS: Mapping[type[Any], Callable[[Acts, Any, State], State]] = {
    HazardStep: Acts.hazard,
    SetStep: Acts.put,
    PressStep: Acts.press,
    PullStep: Acts.pull,
    HoldStep: Acts.hold,
    TogetherStep: Acts.together,
    GoToStep: lambda acts, step, state: acts.screens.go_to(step, state),
    AdjustStep: lambda acts, step, state: acts.screens.adjust(step, state),
    DoStep: Acts.do,
    BringStep: Acts.bring,
    WaitStep: Acts.wait,
    WaitUntilStep: Acts.wait,
}


def brought(steps: Iterable[Any]) -> Iterator[BringStep]:
    """The steps, and those inside them, that bring about a condition."""
    for step in steps:
        if isinstance(step, BringStep):
            yield step
        if isinstance(step, ForEachStep):
            yield from brought(step.steps)
        if isinstance(step, ChooseStep):
            for branch in step.choose:
                yield from brought(branch.steps)
