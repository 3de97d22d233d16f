"""Steps in the menus of instruments: whether the screen is there from which they start."""

from __future__ import annotations

from collections.abc import Callable

from placardry.book.instruments import Setting
from placardry.book.procedures import AdjustStep, GoToStep
from placardry.finding import Note, Span
from placardry.menus import way
from placardry.runs.effects import Effects
from placardry.runs.met import Fault, What
from placardry.runs.readings import causes, said
from placardry.runs.state import DARK, State, screen_of
from placardry.starts import starts


class Screens:
    """Goes through the screens of one manual's instruments, and notes what goes wrong.

    Attributes:
        report: takes each fault
    """

    def __init__(self, effects: Effects, report: Callable[[Fault], object]) -> None:
        self.effects, self.report = effects, report

    def go_to(self, step: GoToStep, state: State) -> State:
        """A screen is called up by the keys that are printed: see `starts`."""
        span, (name, _, screen) = step.places.at("go-to"), step.go_to.partition("/")
        instrument, shown = self.effects.instruments.get(name), screen_of(name)
        if instrument is None or self.is_dark(span, name, state):
            return state
        known = state.known(shown)
        if known is not None and screen not in known:
            printed = way(instrument, screen, starts(self.effects.manual).get(id(step.places)))
            reached: list[str] = []
            for here in known:
                for made in printed[1] if printed else ():
                    here = self.effects.led(name, here, made)
                reached.append(here)
            if screen not in reached:
                self._wrong(span, name, state, f"the keys do not lead to `{screen}` from there")
        return state.put(shown, (screen,), Note(span, f"`{step.go_to}` is called up here"))

    def adjust(self, step: AdjustStep, state: State) -> State:
        """A setting is changed on its screen."""
        setting = self.effects.manual.of(Setting).get(step.adjust)
        span = step.places.at("adjust")
        if setting is not None and not self.is_dark(span, setting.instrument, state):
            self.on_screen(span, setting.instrument, {setting.screen}, step.adjust, state)
        return state

    def is_dark(self, span: Span, instrument: str, state: State) -> bool:
        """Whether an instrument certainly has no current; reported."""
        found = self.effects.instruments.get(instrument)
        need = self.effects.unmet(state, found.needs) if found is not None else None
        if found is None or need is None:
            return False
        wanted, at = (found.needs or {})[need], causes(state, need)
        self.report(Fault(What.NO_POWER, span, instrument, need, said(state, need), wanted, at))
        return True

    def on_screen(
        self, span: Span, instrument: str, screens: set[str], what: str, state: State
    ) -> None:
        """Note that something is not to be found on the screen that is shown."""
        known = state.known(screen_of(instrument))
        if known is not None and not known & screens:
            wanted = " or ".join(f"`{one}`" for one in sorted(screens))
            self._wrong(span, instrument, state, f"`{what}` is set on {wanted}")

    def _wrong(self, span: Span, instrument: str, state: State, why: str) -> None:
        known = state.known(screen_of(instrument)) or ()
        shown = " or ".join(f"`{one}`" for one in sorted(known) if one != DARK)
        at = causes(state, screen_of(instrument))
        self.report(Fault(What.WRONG_SCREEN, span, instrument, why, shown, "", at))
