"""Where the ends of a figure went between two states, and which of two conditions is wider."""

from __future__ import annotations

from fractions import Fraction

from placardry.changes.state import FigureState

# By how much the low end, the high end and the value moved: up is 1, down is -1.
Moves = tuple[int, int, int]


def moves_of(before: FigureState, after: FigureState) -> Moves | None:
    """Whether low, high and value went up, down or stayed; None if they do not compare.

    A missing end lies without end; an open end lies a hair further in.
    """
    if not before.exact.unit.mixes(after.exact.unit):
        return None
    old, new = before.exact.values_in(after.exact.unit), after.exact.values
    if (old[2] is None) != (new[2] is None):
        old, new = _spread(old), _spread(new)  # a point became a span, or a span a point
    below, above = float("-inf"), float("inf")
    return (
        _move((old[0], before.open_low), (new[0], after.open_low), below),
        _move((old[1], -before.open_high), (new[1], -after.open_high), above),
        # Of an alarm the open end says whether it fires at its set-point or beyond it.
        _move(
            (old[2], before.open_low - before.open_high),
            (new[2], after.open_low - after.open_high),
            below,
        ),
    )


Ends = tuple[Fraction | None, Fraction | None, Fraction | None]


def _spread(ends: Ends) -> Ends:
    low, high, value = ends
    return (low if value is None else value, high if value is None else value, None)


def _move(
    old: tuple[Fraction | None, int], new: tuple[Fraction | None, int], missing: float
) -> int:
    was: tuple[Fraction | float, int] = (missing, 0) if old[0] is None else (old[0], old[1])
    now: tuple[Fraction | float, int] = (missing, 0) if new[0] is None else (new[0], new[1])
    return (now > was) - (now < was)


def is_inside(one: FigureState, other: FigureState) -> bool:
    """Whether the one holds only where the other holds too."""
    if one.box is None or other.box is None:
        return one.box is None
    mix = (
        other.box.spans[name].unit.mixes(span.unit)
        for name, span in one.box.spans.items()
        if name in other.box.spans
    )
    return all(mix) and one.box.inside(other.box)
