"""What controls and keys do to the state of one machine, as far as the book declares it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from placardry.book.conditions import ENGINE_STATES
from placardry.book.controls import Control
from placardry.book.instruments import Instrument
from placardry.finding import Note
from placardry.links import Link, follow_text
from placardry.menus import Gesture, gesture, led
from placardry.references import references
from placardry.resolve import Manual
from placardry.runs.state import DARK, ENGINE, State, screen_of


class Effects:
    """The controls and instruments of one manual as a small state machine."""

    def __init__(self, manual: Manual) -> None:
        self.manual = manual
        self.controls: Mapping[str, Control] = manual.of(Control)
        self.instruments: Mapping[str, Instrument] = manual.of(Instrument)
        self.fed: dict[str, list[Instrument]] = defaultdict(list)
        for instrument in self.instruments.values():
            for name in instrument.needs or ():
                self.fed[name].append(instrument)
        made = (one for control in self.controls.values() for one in _sets(control))
        self.engine_is_set = {one[ENGINE] for one in made if ENGINE in one}

    def values(self, name: str) -> Iterable[str]:
        """The values that a control or the engine can have."""
        if name == ENGINE:
            return ENGINE_STATES
        return (self.controls[name].positions or ()) if name in self.controls else ()

    @property
    def feeding(self) -> set[str]:
        """The controls that feed others or let the engine run."""
        needs = [one.needs or {} for one in self.controls.values()]
        needs += [one.needs or {} for one in self.instruments.values()]
        stopping = (
            name
            for name, control in self.controls.items()
            if any((one.sets or {}).get(ENGINE) for one in (control.positions or {}).values())
        )
        return {*(name for one in needs for name in one), *stopping}

    def unmet(self, state: State, needs: Mapping[str, str] | None) -> str | None:
        """The first need that is certainly not met."""
        return next(
            (
                name
                for name, value in (needs or {}).items()
                if value in self.values(name) and state.excludes(name, value)
            ),
            None,
        )

    def is_met(self, state: State, needs: Mapping[str, str] | None) -> bool:
        """Whether all the needs are certainly met."""
        return all(state.is_at(name, value) for name, value in (needs or {}).items())

    def put(self, state: State, name: str, values: Iterable[str], cause: Note | None) -> State:
        """The state in which a control, or the engine, is in one of these; screens follow."""
        possible = [value for value in values if value in self.values(name)]
        after = state.put(name, possible or None, cause)
        for instrument in self.fed.get(name, ()):
            screen = screen_of(instrument.id)
            if self.unmet(after, instrument.needs):
                after = after.put(screen, (DARK,), cause)
            elif state.known(screen) is None:
                continue
            elif not self.is_met(after, instrument.needs):
                after = after.put(screen, None, cause)
            elif state.is_at(screen, DARK):
                after = after.put(screen, [instrument.home] if instrument.home else None, cause)
        return after

    def set_to(self, state: State, name: str, position: str, cause: Note) -> State:
        """A control is put into a position, and that brings about what it sets."""
        after = self.put(state, name, (position,), cause)
        made = (self.controls[name].positions or {}).get(position)
        for other, value in ((made.sets if made else None) or {}).items():
            after = self.put(after, other, (value,), cause)
        return after

    def work(self, state: State, name: str, kind: str, times: int | None, cause: Note) -> State:
        """A control is pressed, held or pulled so many times; None for any number.

        Where it is open whether what the control needs is there, it may have had no effect.
        """
        control = self.controls[name]
        made = next((one for key, one in (control.gestures or {}).items() if key == kind), None)
        if made is None or self.unmet(state, control.needs):
            return state
        after = state
        if made.moves and control.positions:
            known = state.known(name) or frozenset(control.positions)
            after = self.put(after, name, _moved(known, made.moves, times), cause)
        for other, value in (made.sets or {}).items():
            after = self.put(after, other, (value,), cause)
        return after if self.is_met(state, control.needs) else state.join(after)

    def key(self, state: State, instrument: str, made: Gesture, cause: Note) -> State:
        """Keys of an instrument are pressed or held; an unlisted gesture stays on its screen."""
        name = screen_of(instrument)
        known = state.known(name)
        if known is None or state.is_at(name, DARK):
            return state
        return state.put(name, {self.led(instrument, screen, made) for screen in known}, cause)

    def led(self, instrument: str, screen: str, made: Gesture) -> str:
        """The screen to which a gesture leads from another."""
        return led(self.instruments[instrument], screen, made)

    def mentioned(self, state: State, *texts: str | None) -> State:
        """The state after an act in words, which may have worked whatever it names."""
        if not any(text and "{" in text for text in texts):
            return state
        keys: dict[str, set[str]] = defaultdict(set)
        for link in self.links(*texts):
            if link.kind == "control":
                control = self.controls[link.id]
                state = state.put(link.id, None, None)
                for name in (name for made in _sets(control) for name in made):
                    state = state.put(name, None, None)
                for instrument in self.fed.get(link.id, ()):
                    state = state.put(screen_of(instrument.id), None, None)
            elif link.nested == "button" and link.part is not None:
                keys[link.id].add(link.part)
        for name, pressed in keys.items():
            known = state.known(screen_of(name))
            if known is not None:
                reached = self._reached(name, known, pressed)
                state = state.put(screen_of(name), reached, state.causes.get(screen_of(name)))
        return state

    def links(self, *texts: str | None) -> Iterable[Link]:
        """What texts refer to."""
        for text in texts:
            for reference in references(text) if text else ():
                link = follow_text(reference, self.manual.records)
                if link is not None:
                    yield link

    def _reached(self, instrument: str, known: Iterable[str], pressed: set[str]) -> set[str]:
        """The screens that can be reached by these keys alone, any number of times."""
        screens = self.instruments[instrument].screens or {}
        reached: set[str] = set()
        pending = list(known)
        while pending:
            here = pending.pop()
            if here in reached:
                continue
            reached.add(here)
            for keys, target in ((screens[here].keys if here in screens else None) or {}).items():
                listed = gesture(keys)
                if listed and set(listed[1]) <= pressed:
                    pending.append(target)
        return reached


def _sets(control: Control) -> Iterator[Mapping[str, str]]:
    """What each position and each gesture of a control brings about."""
    yield from (one.sets or {} for one in (control.positions or {}).values())
    yield from (one.sets or {} for one in (control.gestures or {}).values())


def _moved(known: frozenset[str], moves: Mapping[str, str], times: int | None) -> frozenset[str]:
    """Where a control can stand after so many moves; None for any number but none."""
    if times is not None:
        for _ in range(times):
            known = frozenset(moves.get(one, one) for one in known)
        return known
    reached: frozenset[str] = frozenset()
    while True:
        known = frozenset(moves.get(one, one) for one in known)
        if known <= reached:
            return reached
        reached |= known
