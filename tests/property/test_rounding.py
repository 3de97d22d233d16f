"""Rounding never moves a figure to its unsafe side: for every kind, unit and step."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placardry.rounding import (
    Grid,
    Kind,
    Side,
    decimal,
    nominal_step,
    round_cut,
    round_even,
    round_figure,
    round_nominal,
    round_set_point,
    significant_step,
)
from placardry.units import Unit, convert
from tests.property.strategies import decimals, rationals, steps, unit_pairs

INWARDS = [Kind.RANGE, Kind.CHANGE, Kind.NOMINAL]


@given(decimals, unit_pairs, steps)
def test_one_ended_limits_keep_their_side(
    value: Fraction, pair: tuple[Unit, Unit], step: Fraction
) -> None:
    exact = convert(value, *pair)
    high = round_figure(Kind.MAXIMUM, None, exact, step).high
    low = round_figure(Kind.MINIMUM, exact, None, step).low
    assert high is not None
    assert low is not None
    assert exact - step < high <= exact <= low < exact + step
    # what an owner reads is safe in the unit of the source as well; a reversed scale has none
    assert convert(high, pair[1], pair[0]) <= value <= convert(low, pair[1], pair[0])


@pytest.mark.parametrize("kind", INWARDS)
@given(ends=st.tuples(decimals, decimals).map(sorted), pair=unit_pairs, step=steps)
def test_ranges_round_inwards(
    kind: Kind, ends: list[Fraction], pair: tuple[Unit, Unit], step: Fraction
) -> None:
    low, high = (convert(end, *pair) for end in ends)
    rounded = round_figure(kind, low, high, step)
    assert rounded.low is not None
    assert rounded.high is not None
    assert rounded.low >= low
    assert rounded.high <= high
    # empty exactly where no multiple of the step lies between the ends
    assert rounded.is_empty == (high // step < -(-low // step))
    assert not rounded.is_empty or rounded.is_too_coarse


@given(st.tuples(decimals, decimals).map(sorted), unit_pairs, steps)
def test_avoided_range_rounds_outwards(
    ends: list[Fraction], pair: tuple[Unit, Unit], step: Fraction
) -> None:
    low, high = (convert(end, *pair) for end in ends)
    rounded = round_figure(Kind.AVOID, low, high, step)
    assert rounded.low is not None
    assert rounded.high is not None
    assert rounded.low <= low <= high <= rounded.high
    assert not rounded.is_too_coarse


@given(rationals, steps, st.sampled_from(Side))
def test_cut_shortens_the_safer_band(value: Fraction, step: Fraction, safer: Side) -> None:
    cut = round_cut(value, step, safer)
    assert cut <= value if safer is Side.BELOW else cut >= value
    assert abs(cut - value) < step


@given(rationals, steps, rationals, st.sampled_from(Side))
def test_set_point_is_on_the_grid_and_on_its_side(
    value: Fraction, step: Fraction, origin: Fraction, side: Side
) -> None:
    grid = Grid(step, origin)
    setting = round_set_point(value, grid, side)
    assert setting in grid
    assert setting <= value if side is Side.BELOW else setting >= value
    assert abs(setting - value) < step


@given(st.tuples(rationals, rationals, rationals).map(sorted), steps)
def test_nominal_lies_in_its_rounded_band(values: list[Fraction], step: Fraction) -> None:
    low, value, high = values
    rounded, band = round_nominal(value, low, high, step)
    assert rounded % step == 0
    if not band.is_empty:
        assert low <= rounded <= high
    else:
        assert abs(rounded - value) <= step / 2


@given(rationals, steps)
def test_nearest_is_nearest_and_even(value: Fraction, step: Fraction) -> None:
    rounded = round_even(value, step)
    assert abs(rounded - value) <= step / 2
    if abs(rounded - value) == step / 2:
        assert (rounded / step) % 2 == 0


@given(rationals, steps)
def test_rounding_twice_is_rounding_once(value: Fraction, step: Fraction) -> None:
    for kind in (Kind.MAXIMUM, Kind.AVOID, Kind.RANGE, Kind.TYPICAL):
        once = round_figure(kind, value, value, step)
        again = round_figure(kind, once.low, once.high, step)
        assert (again.low, again.high) == (once.low, once.high)


@given(rationals, steps)
def test_numeral_says_the_value(value: Fraction, step: Fraction) -> None:
    rounded = round_even(value, step)
    text = decimal(rounded, step)
    assert Fraction(text) == rounded
    assert text.isascii()
    assert text != "-0"


@given(decimals.filter(bool), rationals.filter(bool))
def test_steps_are_powers_of_ten(written: Fraction, converted: Fraction) -> None:
    step = nominal_step(written, 4, converted)
    assert step == significant_step(step, 1)
    assert step <= abs(converted) * 10
