"""Where the numerals of a strip stand, so that none covers another or the line that leads to it.

Arranged for the narrowest phone; on a wider page everything only moves apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count
from typing import Literal

WIDTH_PX = 288  # what a phone of 320 pixels leaves a page
ROW_PX = 24  # WCAG 2.2, 2.5.8 target size: 24 CSS pixels
SIGN_PX = 7.8  # of the font at 13 pixels, a little more than the mean sign
GAP_PX = 8
NUDGE_PX = 4

Anchor = Literal["middle", "start", "end"]
ANCHORS: tuple[Anchor, ...] = ("middle", "start", "end")


@dataclass(frozen=True, slots=True)
class Placed:
    """A numeral in its row, the first being next to the bands; `anchor` as in SVG."""

    row: int
    anchor: Anchor
    x: float
    left: float
    right: float

    @property
    def nudge_px(self) -> int:
        """How far it stands from its line."""
        return {"middle": 0, "start": NUDGE_PX, "end": -NUDGE_PX}[self.anchor]


def width_px(text: str) -> float:
    """About how wide a numeral is."""
    return len(text) * SIGN_PX


def arranged(labels: Iterable[tuple[float, float]]) -> list[Placed]:
    """Each numeral, given by its share of the width and its own width, in as few rows as can be.

    Where a numeral is wider than the page leaves room for, each gets a row of its own.
    """
    given = [(share * WIDTH_PX, width) for share, width in labels]
    for rows in range(1, len(given) + 1):
        found = next(_arranged(given, rows, []), None)
        if found is not None:
            return found
    return [
        _placed(row, "start", *one)
        for row, one in zip(count(len(given) - 1, -1), given, strict=False)
    ]


def _arranged(
    given: list[tuple[float, float]], rows: int, done: list[Placed]
) -> Iterator[list[Placed]]:
    """Every arrangement within so many rows, the plainest first."""
    if len(done) == len(given):
        yield done
        return
    for row in range(rows):
        for anchor in ANCHORS:
            one = _placed(row, anchor, *given[len(done)])
            if one.left >= 0 and one.right <= WIDTH_PX and not any(_clash(one, o) for o in done):
                yield from _arranged(given, rows, [*done, one])


def _placed(row: int, anchor: Anchor, x: float, width: float) -> Placed:
    left = {"middle": x - width / 2, "start": x + NUDGE_PX, "end": x - NUDGE_PX - width}[anchor]
    return Placed(row, anchor, x, left, left + width)


def _clash(one: Placed, other: Placed) -> bool:
    """Whether two numerals overlap, or the line to the farther one runs through the nearer."""
    if one.row == other.row:
        return one.left < other.right + GAP_PX and other.left < one.right + GAP_PX
    near, far = sorted((one, other), key=lambda placed: placed.row)
    return near.left - NUDGE_PX < far.x < near.right + NUDGE_PX
