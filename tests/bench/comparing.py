"""Two states of a fleet compared, over loading both."""

from __future__ import annotations

import gc
from collections.abc import Callable, Mapping

from placardry.changes import Side, changes
from placardry.loader import load
from placardry.resolve import resolve
from tests.bench.generate import fleet
from tests.bench.timing import Ratio

Files = Mapping[str, bytes]


def ratio(
    name: str, edit: Callable[[Files], Files], size: tuple[int, int, int], most: float
) -> Ratio:
    """What comparing a fleet with itself after an edit costs, over loading the two."""
    before = fleet(*size)
    files = (before, edit(before))
    sides = [_side(one) for one in files]
    return Ratio(
        f"comparing a fleet after a change of {name}, over loading both sides",
        lambda: changes(*sides),
        lambda: _load(files),
        most,
        3,
    )


def _load(sides: tuple[Files, ...]) -> None:
    gc.disable()  # as `prepared.judge` does
    for files in sides:
        load(files)
    gc.enable()


def _side(files: Files) -> Side:
    book, _ = load(files)
    if book is None:
        raise SystemExit("the fleet cannot be read")
    return Side(book=book, manuals=resolve(book)[0])
