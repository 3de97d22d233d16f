"""The ways through an instrument's screens: which key presses lead from its home to any screen."""

from __future__ import annotations

import re
from collections import deque
from functools import lru_cache

from placardry.book.instruments import Instrument

# One gesture: `press` or `hold`, and the keys that take part.
Gesture = tuple[str, tuple[str, ...]]

_GESTURE = re.compile(r"(press|hold) ([a-z0-9-]+(?: and [a-z0-9-]+)*)")


def gesture(text: str) -> Gesture | None:
    """The gesture that a key of `keys:` names: `press right`, `hold left and right`."""
    found = _GESTURE.fullmatch(text)
    return (found[1], tuple(found[2].split(" and "))) if found else None


def presses(instrument: Instrument, screen: str) -> tuple[Gesture, ...] | None:
    """The shortest way from the home screen to `screen`; None where none leads there."""
    return ways(_edges(instrument), instrument.home or "").get(screen)


def way(
    instrument: Instrument, screen: str, shown: str | None
) -> tuple[str, tuple[Gesture, ...]] | None:
    """Where to begin, and the shortest way to `screen` from there; None where none leads there.

    It begins at the screen that is shown, where that is known and a way leads on; else at home.
    """
    edges = _edges(instrument)
    for start in (shown, instrument.home):
        if start is not None and screen in (found := ways(edges, start)):
            return start, found[screen]
    return None


def led(instrument: Instrument, screen: str, made: Gesture) -> str:
    """The screen to which a gesture leads from another; an unlisted one stays there."""
    found = (instrument.screens or {}).get(screen)
    for keys, target in ((found.keys if found else None) or {}).items():
        listed = gesture(keys)
        if listed and (listed[0], set(listed[1])) == (made[0], set(made[1])):
            return target
    return screen


Edges = tuple[tuple[str, str, str], ...]


def _edges(instrument: Instrument) -> Edges:
    return tuple(
        (name, keys, target)
        for name, screen in (instrument.screens or {}).items()
        for keys, target in (screen.keys or {}).items()
    )


@lru_cache(maxsize=64)
def ways(edges: Edges, home: str) -> dict[str, tuple[Gesture, ...]]:
    """The shortest way from one screen, `home`, to every screen that can be reached.

    Shape: `edges` are (screen, gesture, screen that it leads to).
    """
    found: dict[str, tuple[Gesture, ...]] = {home: ()}
    pending = deque([home])
    while pending:
        here = pending.popleft()
        for start, keys, target in edges:
            step = gesture(keys)
            if start == here and target not in found and step is not None:
                found[target] = (*found[here], step)
                pending.append(target)
    return found
