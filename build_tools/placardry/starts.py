"""Which screen an instrument shows where a step calls up another, as the steps before it say.

The printed way and the run of a procedure both begin there; where it is open, at the home screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from placardry.book.instruments import Instrument
from placardry.book.procedures import (
    ChooseStep,
    DoStep,
    ForEachStep,
    GoToStep,
    HoldStep,
    PerformStep,
    PressStep,
    Procedure,
    SetStep,
    TogetherStep,
)
from placardry.links import follow_text
from placardry.menus import led
from placardry.references import references
from placardry.resolve import Manual, per_manual

Shown = dict[str, str]  # the screen of each instrument of which it is known


@per_manual
def starts(manual: Manual) -> Mapping[int, str]:
    """The screen shown before each step that goes to one, where it is known.

    Shape: by the identity of the step's `places`, which it keeps in every manual.
    """
    walk = _Walk(manual)
    for procedure in manual.of(Procedure).values():
        walk.steps(procedure.steps, {})
    return walk.found


class _Walk:
    """Goes through steps, and follows the screens that their keys lead to."""

    def __init__(self, manual: Manual) -> None:
        self.manual = manual
        self.instruments = manual.of(Instrument)
        self.found: dict[int, str] = {}

    def steps(self, steps: Iterable[Any], shown: Shown) -> Shown:
        """What is shown after the steps."""
        for step in steps:
            shown = self._step(step, dict(shown))
            if step.otherwise is not None and step.otherwise.returns:
                shown = {}
        return shown

    def _step(self, step: Any, shown: Shown) -> Shown:
        if isinstance(step, GoToStep):
            name, _, screen = step.go_to.partition("/")
            if name in shown:
                self.found[id(step.places)] = shown[name]
            return {**shown, name: screen}
        if isinstance(step, ChooseStep):
            ends = [self.steps(branch.steps, shown) for branch in step.choose]
            ends += [shown] if len(ends) == 1 else []  # it may not apply
            return dict(set.intersection(*(set(end.items()) for end in ends)))
        if isinstance(step, ForEachStep):
            self.steps(step.steps, {})  # it begins there again after its last step
            return {}
        if isinstance(step, PerformStep):
            return {}
        if isinstance(step, DoStep):
            return self._named(step.do, shown)
        kind, worked, is_once = _gesture(step)
        return self._work(kind, worked, shown, is_once=is_once)

    def _work(self, kind: str, worked: Iterable[str], shown: Shown, *, is_once: bool) -> Shown:
        """Keys are worked; an instrument that may lose its current is forgotten."""
        keys: dict[str, list[str]] = {}
        for name in worked:
            instrument, slash, key = name.partition("/")
            if slash:
                keys.setdefault(instrument, []).append(key)
            shown = self._without(name, shown)
        for name in keys.keys() & shown.keys():
            after = led(self.instruments[name], shown[name], (kind, tuple(keys[name])))
            if after != shown[name] and not is_once:
                del shown[name]
            else:
                shown[name] = after
        return shown

    def _named(self, text: str, shown: Shown) -> Shown:
        """An act in words may have worked the keys and the controls that it names."""
        for reference in references(text):
            link = follow_text(reference, self.manual.records)
            if link is not None and link.kind == "control":
                shown = self._without(link.id, shown)
            elif link is not None and link.nested == "button" and link.id in shown:
                screen = (self.instruments[link.id].screens or {}).get(shown[link.id])
                if screen is not None and screen.keys:
                    del shown[link.id]
        return shown

    def _without(self, control: str, shown: Shown) -> Shown:
        return {
            name: screen
            for name, screen in shown.items()
            if control not in (self.instruments[name].needs or {})
        }


def _gesture(step: Any) -> tuple[str, tuple[str, ...], bool]:
    """What a step works, and whether just once; nothing for steps without the hands."""
    if isinstance(step, PressStep):
        return "press", (step.press,), step.times is None
    if isinstance(step, HoldStep):
        return "hold", (step.hold,), True
    if isinstance(step, TogetherStep):
        return "hold", step.together, True
    return "set", tuple(step.set) if isinstance(step, SetStep) else (), True
