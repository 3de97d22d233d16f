"""Rounding against the worked examples of NIST, ASTM, ISO and ANSI."""

from __future__ import annotations

from fractions import Fraction

import pytest

from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.rounding import (
    Kind,
    decimal,
    nominal_step,
    round_even,
    round_figure,
    significant_step,
)
from placardry.units import UNITS, convert
from tests.reference.rows import Row, rows, symbol


@pytest.mark.parametrize("row", rows("round-half-even"))
def test_ties_go_to_even(row: Row) -> None:
    value = Fraction(row.input)
    step = significant_step(value, int(row.input_unit.split()[0]))
    assert decimal(round_even(value, step), step) == row.expected


@pytest.mark.parametrize("row", rows("round-nearest"))
def test_nearest(row: Row) -> None:
    step = Fraction(row.input_unit.removeprefix("to "))
    assert decimal(round_even(Fraction(row.input), step), step) == row.expected


@pytest.mark.parametrize("row", rows("round-converted"))
def test_converted_nominal_keeps_its_digits(row: Row) -> None:
    written, decimals = Fraction(row.input), len(row.input.partition(".")[2])
    source, target = UNITS[symbol(row.input_unit)], UNITS[symbol(row.expected_unit)]
    converted = convert(written, source, target)
    step = nominal_step(written, decimals, converted)
    assert decimal(round_even(converted, step), step) == row.expected
    assert Quantity.parse(f"{row.input} {source}").step_in(target) == step


@pytest.mark.parametrize("row", rows("limit-direction"))
def test_limit_rounds_to_its_safe_side(row: Row) -> None:
    decimals = len(row.expected.partition(".")[2])
    step = Fraction(1, 10**decimals)
    value = convert(
        Fraction(row.input), UNITS[symbol(row.input_unit)], UNITS[symbol(row.expected_unit)]
    )
    if row.expected_unit.endswith("min"):
        rounded = round_figure(Kind.MINIMUM, value, None, step).low
    else:
        rounded = round_figure(Kind.MAXIMUM, None, value, step).high
    assert rounded is not None
    assert decimal(rounded, step) == row.expected


def test_range_rounds_inwards() -> None:
    # IEEE/ANSI 268: 10.7 to 11.3 mm is 0.422 to 0.444 in, not 0.421 to 0.445 (second-hand)
    limits = Interval.parse("10.7 to 11.3 mm").to(UNITS["in"])
    assert limits.low is not None
    assert limits.high is not None
    step = Fraction(1, 1000)
    rounded = round_figure(Kind.RANGE, limits.low.value, limits.high.value, step)
    assert (rounded.low, rounded.high) == (Fraction("0.422"), Fraction("0.444"))


@pytest.mark.parametrize("row", rows("conformance-rounding-method"))
def test_reading_is_compared_unrounded(row: Row) -> None:
    # The rows are of E29's rounding method, which we do not use: they check `round_even`, and
    # that the absolute method of `Interval.contains` may well answer otherwise.
    _, limit, side, _, step = row.input_unit.split()
    rounded, verdict = row.expected.split()
    assert decimal(round_even(Fraction(row.input), Fraction(step)), Fraction(step)) == rounded
    words = "at least" if side == "min" else "at most"
    allowed = Interval.parse(f"{words} {limit} bar")
    assert allowed.contains(Quantity.parse(f"{rounded} bar")) is (verdict == "passes")
    assert not allowed.contains(Quantity.parse(f"{row.input} bar"))
