"""Which way a change of a figure goes: the one table of it.

What an owner may do after the change is compared with what he might do before. *Loosened*: he may
do more, or is warned later. *Tightened*: he may do less, or is warned earlier. *Undecided*: it
matters, and neither can be said. *Neutral*: nothing that an owner keeps to has changed.

Source: 14 CFR 25.1549 for the marks of an instrument: a red line is a limit, a yellow arc is a
caution that begins where the green arc ends. 14 CFR 91.409 for intervals: work falls due after
at most so many hours. All else is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum

from placardry.changes.moves import Moves, is_inside, moves_of
from placardry.changes.state import FigureState
from placardry.quantity import Quantity


class Direction(StrEnum):
    """Which way a change goes, the most dangerous first."""

    LOOSENED = "loosened"
    UNDECIDED = "undecided"
    TIGHTENED = "tightened"
    NEUTRAL = "neutral"

    @property
    def reversed(self) -> Direction:
        """The direction of the change taken back."""
        return _REVERSED.get(self, self)


LOOSENED, UNDECIDED, TIGHTENED, NEUTRAL = Direction
_REVERSED = {LOOSENED: TIGHTENED, TIGHTENED: LOOSENED}

# How the moves of the low end, the high end and the value are judged.
Judge = Callable[[Moves], Direction]


def together(*parts: Direction) -> Direction:
    """The direction of several at once: one that all share, else undecided."""
    said = {one for one in parts if one is not NEUTRAL}
    return said.pop() if len(said) == 1 else UNDECIDED if said else NEUTRAL


def _sign(number: int) -> Direction:
    return TIGHTENED if number > 0 else LOOSENED if number < 0 else NEUTRAL


def _kept_inside(moves: Moves) -> Direction:
    """A span to stay in: smaller is tighter, at each end by itself."""
    return together(_sign(moves[0]), _sign(-moves[1]))


def _kept_outside(moves: Moves) -> Direction:
    """A span to stay out of: larger is tighter."""
    return _kept_inside(moves).reversed


def _lower(moves: Moves) -> Direction:
    """Whatever of it moves down is tighter."""
    return together(*(_sign(-move) for move in moves))


def _higher(moves: Moves) -> Direction:
    """Whatever of it moves up is tighter."""
    return _lower(moves).reversed


def _aimed(moves: Moves) -> Direction:
    """A value to aim at: another value is undecided, the same with less tolerance is tighter."""
    return UNDECIDED if moves[2] else _kept_inside(moves)


def _unclear(moves: Moves) -> Direction:
    return UNDECIDED if any(moves) else NEUTRAL


def _free(moves: Moves) -> Direction:
    """What is usually seen binds nobody."""
    return NEUTRAL


class Row(StrEnum):
    """What a figure is to its owner: the rows of the table."""

    MAXIMUM = "maximum"
    MINIMUM = "minimum"
    RANGE = "range"
    AVOID = "avoid"
    CHANGE = "change"
    NOMINAL = "nominal"
    TYPICAL = "typical"
    GREEN = "green"
    CAUTION_BELOW = "yellow that begins at its low end"
    CAUTION_ABOVE = "yellow that begins at its high end"
    CAUTION = "yellow"
    FORBIDDEN = "red or avoid"
    ALARM_BELOW = "alarm below its limit"
    ALARM_ABOVE = "alarm above its limit"
    DELAY = "delay of an alarm"
    INTERVAL = "interval"
    OVERRUN = "tolerance of an interval"
    EQUIPMENT = "equipment"
    SETTING = "setting"
    CONDITION = "condition"


# How a moved end is judged, and what it is to add such a figure; to remove it is the reverse.
TABLE: Mapping[Row, tuple[Judge, Direction]] = {
    Row.MAXIMUM: (_lower, TIGHTENED),
    Row.MINIMUM: (_higher, TIGHTENED),
    Row.RANGE: (_kept_inside, TIGHTENED),
    Row.AVOID: (_kept_outside, TIGHTENED),
    Row.CHANGE: (_kept_inside, TIGHTENED),
    Row.NOMINAL: (_aimed, UNDECIDED),
    Row.TYPICAL: (_free, NEUTRAL),
    Row.GREEN: (_kept_inside, UNDECIDED),
    Row.CAUTION_BELOW: (_lower, TIGHTENED),
    Row.CAUTION_ABOVE: (_higher, TIGHTENED),
    Row.CAUTION: (_unclear, TIGHTENED),
    Row.FORBIDDEN: (_kept_outside, TIGHTENED),
    Row.ALARM_BELOW: (_lower, TIGHTENED),
    Row.ALARM_ABOVE: (_higher, TIGHTENED),
    Row.DELAY: (_lower, LOOSENED),
    Row.INTERVAL: (_lower, TIGHTENED),
    Row.OVERRUN: (_lower, LOOSENED),
    Row.EQUIPMENT: (_unclear, UNDECIDED),
    Row.SETTING: (_unclear, UNDECIDED),
    Row.CONDITION: (_unclear, UNDECIDED),
}
_BY_KIND = {
    "maximum": Row.MAXIMUM,
    "minimum": Row.MINIMUM,
    "range": Row.RANGE,
    "avoid": Row.AVOID,
    "change": Row.CHANGE,
    "nominal": Row.NOMINAL,
    "typical": Row.TYPICAL,
}
_BY_RECORD = {
    "instrument": Row.EQUIPMENT,
    "panel": Row.EQUIPMENT,
    "setting": Row.SETTING,
    "condition": Row.CONDITION,
    "example": Row.TYPICAL,
}


def row_of(state: FigureState) -> Row:
    """The row of the table by which a figure is judged."""
    if state.record in _BY_RECORD:
        return _BY_RECORD[state.record]
    if state.type == "alarm":
        below = Row.ALARM_BELOW if state.side == "below" else Row.ALARM_ABOVE
        return Row.DELAY if state.part == "delay" else below
    if state.type == "interval":
        return Row.OVERRUN if state.part == "tolerance" else Row.INTERVAL
    if state.kind != "cut":
        return _BY_KIND[state.kind]
    if state.colour == "yellow":
        begins = {"low": Row.CAUTION_BELOW, "high": Row.CAUTION_ABOVE}
        return begins.get(state.begins or "", Row.CAUTION)
    return Row.GREEN if state.colour == "green" else Row.FORBIDDEN


def direction(before: FigureState | None, after: FigureState | None) -> Direction:
    """Which way a figure goes from one state to the other: its value, condition and time at once.

    None is a figure that is not there. States of different rows, parameters or units that do not
    mix are undecided.
    """
    if before is None or after is None:
        there = after or before
        if there is None:
            return NEUTRAL
        added = TABLE[row_of(there)][1]
        return added if before is None else added.reversed
    parts = (value_direction, condition_direction, time_direction)
    return together(*(part(before, after) for part in parts))


def value_direction(before: FigureState, after: FigureState) -> Direction:
    """Which way the value itself goes."""
    row = row_of(after)
    if row is not row_of(before) or (before.parameter, before.guards) != (
        after.parameter,
        after.guards,
    ):
        return NEUTRAL if row is row_of(before) is Row.TYPICAL else UNDECIDED
    moves = moves_of(before, after)
    return UNDECIDED if moves is None else TABLE[row][0](moves)


def condition_direction(before: FigureState, after: FigureState) -> Direction:
    """Which way its condition goes: what binds under a wider condition is tighter."""
    wider, narrower = is_inside(before, after), is_inside(after, before)
    if wider and narrower:
        return NEUTRAL
    added = TABLE[row_of(after)][1]
    if wider or narrower:
        return added if wider else added.reversed
    return NEUTRAL if added is NEUTRAL else UNDECIDED


def time_direction(before: FigureState, after: FigureState) -> Direction:
    """Which way the time goes for which it is allowed: a shorter one is tighter."""
    old, new = before.within, after.within
    if old is None or new is None:
        return _sign((new is not None) - (old is not None))
    if not old.unit.mixes(new.unit):
        return UNDECIDED
    return _sign(_compared(old, new))


def _compared(old: Quantity, new: Quantity) -> int:
    was = old.to(new.unit).value
    return (was > new.value) - (was < new.value)
