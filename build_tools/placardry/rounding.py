"""Rounding that never moves a figure to its unsafe side; and the decimal numerals of the result.

Ground floor; pure arithmetic on `Fraction`. "Down" and "up" are on the signed number line. A
figure is converted exactly first and rounded here once, last.

Source: IEEE/ANSI 268 (a limit that may not be violated is rounded inwards), NIST SP 1038
section 4.4 (a minimum rounds up; digits of converted nominal values), NIST SP 811 B.7.1 (ties
go to even).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor
from types import MappingProxyType

from placardry.finding import light

Rounder = Callable[[Fraction, Fraction], Fraction]


class Kind(StrEnum):
    """What a figure is to its reader; it decides how the figure rounds."""

    MAXIMUM = "maximum"  # also a waiting time allowed, a maintenance interval
    MINIMUM = "minimum"  # also a waiting time needed
    RANGE = "range"
    AVOID = "avoid"
    CUT = "cut"
    SET_POINT = "set-point"
    NOMINAL = "nominal"
    TYPICAL = "typical"
    CHANGE = "change"


class Side(StrEnum):
    """A side of a value on the number line."""

    BELOW = "below"
    ABOVE = "above"


def round_down(value: Fraction, step: Fraction) -> Fraction:
    """The multiple of `step` at or next below `value`."""
    return floor(value / step) * step


def round_up(value: Fraction, step: Fraction) -> Fraction:
    """The multiple of `step` at or next above `value`."""
    return ceil(value / step) * step


def round_even(value: Fraction, step: Fraction) -> Fraction:
    """The multiple of `step` nearest to `value`; of two equally near, the even multiple.

    Source: NIST SP 811 B.7.1.
    """
    return round(value / step) * step


ROUNDERS: Mapping[Kind, tuple[Rounder, Rounder]] = MappingProxyType(
    {
        # kind: how its low end rounds, how its high end rounds
        Kind.MAXIMUM: (round_down, round_down),
        Kind.MINIMUM: (round_up, round_up),
        Kind.RANGE: (round_up, round_down),
        Kind.AVOID: (round_down, round_up),
        Kind.NOMINAL: (round_up, round_down),
        Kind.TYPICAL: (round_even, round_even),
        Kind.CHANGE: (round_up, round_down),
    }
)
"""The table of the kinds; cuts and set-points also need the side that is safe, see below."""

MOST_EATEN = Fraction(1, 4)
"""The share of a range that rounding may take before it is refused (our choice, no source)."""


@light
class Rounded:
    """The two ends of a figure after rounding; None where the figure has no such end.

    `eaten` is the share of the width that rounding inwards took: 0 where it took nothing,
    above 1 where nothing is left.
    """

    low: Fraction | None
    high: Fraction | None
    eaten: Fraction = Fraction(0)

    @property
    def is_empty(self) -> bool:
        """Whether no value is left between the ends."""
        return self.low is not None and self.high is not None and self.low > self.high

    @property
    def is_too_coarse(self) -> bool:
        """Whether the step empties the range or eats more of it than `MOST_EATEN`."""
        return self.is_empty or self.eaten > MOST_EATEN


def round_figure(
    kind: Kind, low: Fraction | None, high: Fraction | None, step: Fraction
) -> Rounded:
    """The figure of this kind on multiples of `step`, rounded to its safe side.

    A nominal's ends are its tolerance band; its value is for `round_nominal`.

    Raises:
        ValueError: for a cut or a set-point, which need `round_cut` and `round_set_point`.
    """
    if kind not in ROUNDERS:
        raise ValueError(f"a {kind} rounds to a side that must be given")
    round_low, round_high = ROUNDERS[kind]
    if low is None or high is None:
        return Rounded(
            None if low is None else round_low(low, step),
            None if high is None else round_high(high, step),
        )
    ends = round_low(low, step), round_high(high, step)
    eaten = 1 - (ends[1] - ends[0]) / (high - low) if low < high else Fraction(0)
    return Rounded(*ends, max(eaten, Fraction(0)))


def round_cut(value: Fraction, step: Fraction, safer: Side) -> Fraction:
    """A cut point of a scale, moved so that the band on its `safer` side gets shorter.

    Both bands take the one result, so there is neither gap nor overlap.
    """
    return round_down(value, step) if safer is Side.BELOW else round_up(value, step)


@light
class Grid:
    """The values that an instrument can be set to: `origin`, and every `step` from it."""

    step: Fraction
    origin: Fraction = Fraction(0)

    def __contains__(self, value: Fraction) -> bool:
        return (value - self.origin) % self.step == 0


def round_set_point(value: Fraction, grid: Grid, side: Side) -> Fraction:
    """The setting on the grid at `value`, or the next on the given side of it.

    `side` is where a setting is safe: below a maximum that it guards, above a minimum.
    """
    rounder = round_down if side is Side.BELOW else round_up
    return grid.origin + rounder(value - grid.origin, grid.step)


def round_nominal(
    value: Fraction, low: Fraction | None, high: Fraction | None, step: Fraction
) -> tuple[Fraction, Rounded]:
    """A nominal value rounded to the nearest, and its tolerance band rounded inwards.

    Where the nearest falls outside the rounded band the value takes the end of the band, so
    that it always lies inside unless the band is empty.
    """
    band = round_figure(Kind.NOMINAL, low, high, step)
    rounded = round_even(value, step)
    if not band.is_empty:
        rounded = rounded if band.low is None else max(rounded, band.low)
        rounded = rounded if band.high is None else min(rounded, band.high)
    return rounded, band


def significant_step(value: Fraction, digits: int) -> Fraction:
    """The place value of the last of `digits` significant digits of `value`."""
    return _power(_magnitude(value) - digits + 1)


def nominal_step(written: Fraction, decimals: int, converted: Fraction) -> Fraction:
    """The step of a converted figure that has no display step of its own.

    As many significant digits as were written (`decimals` of them behind the point), one more
    where the result's first digit is below the original's (NIST SP 1038 section 4.4 rule (ii)).
    """
    if not written or not converted:
        return _power(-decimals)
    digits = max(1, _magnitude(written) + decimals + 1)
    if _first_digit(converted) < _first_digit(written):
        digits += 1
    return significant_step(converted, digits)


def resolution_step(step: Fraction, slope: Fraction) -> Fraction:
    """The coarsest of the steps 1 and 5 times a power of ten that keeps the resolution `step`.

    For scales with different zero points, where significant digits mean nothing: whole
    degrees Fahrenheit (slope 5/9) give half degrees Celsius (NIST SP 1038 section 4.4).
    """
    kept = abs(step * slope)
    ten = _power(_magnitude(kept))
    return 5 * ten if 5 * ten <= kept else ten


def decimals_of(step: Fraction) -> int:
    """How many decimals the multiples of `step` need.

    Raises:
        ValueError: where no number of decimals is enough, as for a third.
    """
    parts, most = step.denominator, step.denominator.bit_length()
    if 10**most % parts:
        raise ValueError(f"{step} is no finite decimal")
    return next(decimals for decimals in range(most) if 10**decimals % parts == 0)


def decimal(value: Fraction, step: Fraction | None = None) -> str:
    """The canonical numeral: ASCII, a point, no grouping, as many decimals as `step` has.

    Without a step as many decimals as the value itself needs. Nothing is rounded.

    Raises:
        ValueError: where `value` does not end within those decimals.
    """
    decimals = decimals_of(value if step is None else step)
    scaled = abs(value) * 10**decimals
    if scaled.denominator != 1:
        raise ValueError(f"{value} is not a multiple of {_power(-decimals)}")
    digits = str(scaled.numerator).rjust(decimals + 1, "0")
    whole, part = digits[: len(digits) - decimals], digits[len(digits) - decimals :]
    sign = "-" if value < 0 else ""
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"


def exact(value: Fraction) -> str:
    """The exact value as in the register: `88/1`."""
    return f"{value.numerator}/{value.denominator}"


def _magnitude(value: Fraction) -> int:
    """The power of ten of the first significant digit; 0 for zero."""
    if not value:
        return 0
    value = abs(value)
    guess = len(str(value.numerator)) - len(str(value.denominator))
    return guess if value >= _power(guess) else guess - 1


def _first_digit(value: Fraction) -> int:
    return int(abs(value) / _power(_magnitude(value)))


def _power(exponent: int) -> Fraction:
    return Fraction(10) ** exponent
