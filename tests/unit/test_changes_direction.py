"""Every row of the table of directions.

Source: 14 CFR 25.1549 for the marks of an instrument, 14 CFR 91.409 for intervals; the other
rows are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from placardry.changes.direction import TABLE, Direction, Row, direction, row_of
from placardry.changes.state import FigureState
from placardry.conditions import Box
from placardry.figures import Exact
from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.units import UNITS

L, T, N, U = Direction.LOOSENED, Direction.TIGHTENED, Direction.NEUTRAL, Direction.UNDECIDED
End = int | None


def quantity(value: int | str, unit: str = "degC") -> Quantity:
    return Quantity.of(Fraction(value), UNITS[unit])


def exact(low: End = None, high: End = None, value: End = None) -> Exact:
    low_, high_, value_ = (quantity(x) if x is not None else None for x in (low, high, value))
    return Exact(low_, high_, value_)


def state(kind: str, ends: Exact, **more: str | None) -> FigureState:
    given: dict[str, Any] = {"record": "limit", "type": "limit", "part": None, **more}
    return FigureState(manual="m", machine="m", id="x", kind=kind, exact=ends, **given)


MAX, MIN = state("maximum", exact(high=88)), state("minimum", exact(low=88))
RANGE, AVOID = state("range", exact(60, 80)), state("avoid", exact(60, 80))
CHANGE = state("change", exact(60, 80))
NOMINAL, TYPICAL = state("nominal", exact(60, 80, 70)), state("typical", exact(60, 80))
GREEN = state("cut", exact(60, 80), colour="green")
RISING = state("cut", exact(60, 80), colour="yellow", begins="low")
FALLING = state("cut", exact(60, 80), colour="yellow", begins="high")
BETWEEN = state("cut", exact(60, 80), colour="yellow")
RED = state("cut", exact(60, 80), colour="red")
HIGH_ALARM = state("set-point", exact(value=70), type="alarm", record="alarm", side="below")
LOW_ALARM = replace(HIGH_ALARM, side="above")
DELAY = state("nominal", exact(value=70), type="alarm", record="alarm", part="delay")
INTERVAL = state("maximum", exact(high=70), type="interval", record="task", part="hours")
OVERRUN = replace(INTERVAL, part="tolerance")
EQUIPMENT = state("range", exact(60, 80), record="instrument", type="fact")
SETTING = state("nominal", exact(value=70), record="setting", type="setting")
CONDITION = state("range", exact(60, 80), record="condition", type="fact")

# row, a state, its ends after, the direction; each also judged the other way round.
VALUES = [
    (Row.MAXIMUM, MAX, exact(high=89), L),
    (Row.MAXIMUM, MAX, exact(high=87), T),
    (Row.MINIMUM, MIN, exact(low=89), T),
    (Row.RANGE, RANGE, exact(61, 80), T),
    (Row.RANGE, RANGE, exact(60, 81), L),
    (Row.RANGE, RANGE, exact(61, 81), U),
    (Row.RANGE, RANGE, exact(high=80), L),
    (Row.AVOID, AVOID, exact(59, 80), T),
    (Row.CHANGE, CHANGE, exact(60, 79), T),
    (Row.NOMINAL, NOMINAL, exact(61, 79, 70), T),
    (Row.NOMINAL, NOMINAL, exact(61, 81, 71), U),
    (Row.NOMINAL, NOMINAL, exact(value=70), L),
    (Row.TYPICAL, TYPICAL, exact(0, 100), N),
    (Row.GREEN, GREEN, exact(60, 79), T),
    (Row.CAUTION_BELOW, RISING, exact(59, 80), T),
    (Row.CAUTION_BELOW, RISING, exact(60, 81), L),
    (Row.CAUTION_ABOVE, FALLING, exact(60, 81), T),
    (Row.CAUTION_ABOVE, FALLING, exact(59, 80), L),
    (Row.CAUTION, BETWEEN, exact(60, 81), U),
    (Row.FORBIDDEN, RED, exact(60, 81), T),
    (Row.ALARM_BELOW, HIGH_ALARM, exact(value=71), L),
    (Row.ALARM_ABOVE, LOW_ALARM, exact(value=71), T),
    (Row.DELAY, DELAY, exact(value=71), L),
    (Row.INTERVAL, INTERVAL, exact(high=71), L),
    (Row.OVERRUN, OVERRUN, exact(high=71), L),
    (Row.EQUIPMENT, EQUIPMENT, exact(60, 81), U),
    (Row.SETTING, SETTING, exact(value=71), U),
    (Row.CONDITION, CONDITION, exact(60, 81), U),
]


@pytest.mark.parametrize(("row", "before", "ends", "expected"), VALUES)
def test_a_value_that_moved(
    row: Row, before: FigureState, ends: Exact, expected: Direction
) -> None:
    after = replace(before, exact=ends)
    assert row_of(before) is row
    assert direction(before, after) is expected
    assert direction(after, before) is expected.reversed
    assert direction(before, before) is N


def test_every_row_of_the_table_is_tried() -> None:
    assert {row for row, *_ in VALUES} == set(Row) == set(TABLE)


# What it is to add such a figure.
ADDED = [
    (MAX, T), (MIN, T), (RANGE, T), (AVOID, T), (CHANGE, T), (NOMINAL, U), (TYPICAL, N),
    (GREEN, U), (RISING, T), (FALLING, T), (BETWEEN, T), (RED, T), (HIGH_ALARM, T),
    (LOW_ALARM, T), (DELAY, L), (INTERVAL, T), (OVERRUN, L), (EQUIPMENT, U), (SETTING, U),
    (CONDITION, U),
]  # fmt: skip


@pytest.mark.parametrize(("one", "expected"), ADDED)
def test_to_add_and_to_remove(one: FigureState, expected: Direction) -> None:
    assert direction(None, one) is expected
    assert direction(one, None) is expected.reversed


def test_every_row_is_added() -> None:
    assert {row_of(one) for one, _ in ADDED} == set(Row)


NARROW = replace(MAX, box=Box({"throttle": frozenset(["full"])}))
SPAN = replace(MAX, box=Box(spans={"speed": Interval.parse("above 6000 rpm")}))


def test_a_wider_condition_is_tighter() -> None:
    assert direction(NARROW, MAX) is T
    assert direction(MAX, NARROW) is L
    assert direction(SPAN, NARROW) is U
    wider = replace(MAX, box=Box(spans={"speed": Interval.parse("above 5000 rpm")}))
    assert direction(SPAN, wider) is T


def test_a_shorter_time_is_tighter() -> None:
    five = replace(MAX, within=quantity(5, "min"))
    assert direction(five, replace(MAX, within=quantity(240, "s"))) is T
    assert direction(five, replace(MAX, within=quantity(300, "s"))) is N
    assert direction(five, MAX) is L


def test_what_goes_both_ways_is_undecided() -> None:
    assert direction(NARROW, replace(MAX, exact=exact(high=89))) is U


def test_an_end_that_is_left_out_is_tighter() -> None:
    assert direction(RANGE, replace(RANGE, open_high=True)) is T
    assert direction(HIGH_ALARM, replace(HIGH_ALARM, open_low=True)) is L


def test_another_unit_is_the_same_figure() -> None:
    there = replace(MAX, exact=Exact(high=MAX.exact.written.to(UNITS["degF"])))
    assert direction(MAX, there) is N


def test_what_cannot_be_compared_is_undecided() -> None:
    assert direction(MAX, MIN) is U
    assert direction(MAX, replace(MAX, parameter="speed")) is U
    assert direction(MAX, replace(MAX, exact=Exact(high=quantity(88, "bar")))) is U
