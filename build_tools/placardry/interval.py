"""Intervals and nominal values with a tolerance, as an author writes them.

Ground floor. Comparisons convert exactly, never round; `written` takes no part in equality.
"""

from __future__ import annotations

import re
from dataclasses import field, replace
from fractions import Fraction
from typing import ClassVar

from placardry.errors import Malformed
from placardry.finding import light
from placardry.notation import FIGURE_PATTERN as _FIGURE
from placardry.notation import MINUS, quoted, read_numeral
from placardry.notation import NUMBER_PATTERN as _NUMBER
from placardry.notation import UNIT_PATTERN as _UNIT
from placardry.quantity import Quantity, quantity_of, symbol_of
from placardry.units import COUNTER, PLAIN_COUNT, RATIO, Dimension, Unit, convert

_ONE_ENDED = re.compile(r"(above|below|at least|at most) (.*)", re.DOTALL)
_OTHER_WORDS = {
    "up to": "at most", "max": "at most", "max.": "at most", "maximum": "at most",
    "not above": "at most", "no more than": "at most", "under": "below", "less than": "below",
    "min": "at least", "min.": "at least", "minimum": "at least", "from": "at least",
    "not below": "at least", "no less than": "at least", "over": "above", "more than": "above",
    "≤": "at most", "<=": "at most", "≥": "at least", ">=": "at least", "<": "below", ">": "above",
}  # fmt: skip


@light
class Interval:
    """The values between two ends in one unit; None for no end, `open` for one left out."""

    low: Quantity | None
    high: Quantity | None
    low_open: bool = False
    high_open: bool = False
    written: str = field(default="", compare=False)

    SCHEMA_PATTERN: ClassVar[str] = (
        f"^(?:(?:{_NUMBER} to |above |below |at least |at most )?{_FIGURE}|{_FIGURE} to {_FIGURE})$"
    )
    EXAMPLES: ClassVar[tuple[str, ...]] = ("1.8 to 2.4 bar", "above 7400 rpm", "at most 15 V")

    @classmethod
    def parse(cls, text: str) -> Interval:
        """The interval that `text` states.

        Forms: `A to B unit`; `above`, `below`, `at least` or `at most` one figure; one figure
        alone, for a point.

        Raises:
            Malformed: of one of `notation.RULES`.
        """
        written = " ".join(text.split())
        if one_ended := _ONE_ENDED.fullmatch(written):
            word, end = one_ended[1], Quantity.parse(one_ended[2])
            if word in ("above", "at least"):
                return cls(end, None, low_open=word == "above", written=written)
            return cls(None, end, high_open=word == "below", written=written)
        _refuse_other_words(written)
        first, to, second = written.partition(" to ")
        if not to:
            point = Quantity.parse(written)
            return cls(point, point, written=written)
        low, high = read_numeral(first), Quantity.parse(second)
        if low.unit != high.unit and (low.unit or high.unit in (RATIO, COUNTER)):
            raise Malformed(
                f"`{quoted(written)}` has its two ends in different units",
                "write both ends in one unit, as in `1.8 to 2.4 bar`",
                "mixed-units",
            )
        start = quantity_of(low, high.unit, f"{low.text} {symbol_of(high.unit)}")
        return _ordered(start, high, written)

    @property
    def unit(self) -> Unit:
        """The unit of the ends."""
        end = self.low or self.high
        return end.unit if end else PLAIN_COUNT

    @property
    def is_point(self) -> bool:
        """Whether the interval is one single value."""
        return self.low is not None and self.high is not None and self.low.value == self.high.value

    def to(self, unit: Unit) -> Interval:
        """The same interval, exactly, in another unit.

        Raises:
            Malformed: of rule `units-that-do-not-mix`.
        """
        if unit == self.unit:
            return self
        low, high = self.low and self.low.to(unit), self.high and self.high.to(unit)
        return replace(self, low=low, high=high, written="")

    def as_difference(self) -> Interval:
        """The same interval of differences between two readings."""
        low, high = self.low and self.low.as_difference(), self.high and self.high.as_difference()
        return replace(self, low=low, high=high)

    def contains(self, quantity: Quantity) -> bool:
        """Whether the quantity lies in the interval; compared exactly, unrounded.

        Source: ASTM E29, absolute method.
        """
        value, unit, low, high = quantity.value, quantity.unit, self.low, self.high
        start = convert(low.value, low.unit, unit) if low else None
        end = convert(high.value, high.unit, unit) if high else None
        is_above = start is None or value > start or (value == start and not self.low_open)
        return is_above and (end is None or value < end or (value == end and not self.high_open))

    def within(self, other: Interval) -> bool:
        """Whether every value of this interval is also one of the other."""
        theirs = self._alike(other)
        return self._low_key >= theirs._low_key and self._high_key <= theirs._high_key

    def overlaps(self, other: Interval) -> bool:
        """Whether the two intervals share a value."""
        return self.intersect(other) is not None

    def intersect(self, other: Interval) -> Interval | None:
        """The values that both intervals hold, or None where they share none."""
        theirs = self._alike(other)
        lower = max(self, theirs, key=lambda interval: interval._low_key)
        upper = min(self, theirs, key=lambda interval: interval._high_key)
        both = Interval(lower.low, upper.high, lower.low_open, upper.high_open)
        (low, low_open), (high, high_open) = both._low_key, both._high_key
        return both if low < high or (low == high and low_open == high_open == 0) else None

    def _alike(self, other: Interval) -> Interval:
        """The other interval in the unit of this one, which may have no end and so no unit."""
        return other.to(self.unit) if self.low or self.high else other

    @property
    def _low_key(self) -> tuple[Fraction | float, int]:
        return (self.low.value if self.low else float("-inf"), int(self.low_open))

    @property
    def _high_key(self) -> tuple[Fraction | float, int]:
        return (self.high.value if self.high else float("inf"), -int(self.high_open))

    def __str__(self) -> str:
        if self.written:
            return self.written
        if self.is_point:
            return str(self.low)
        if self.low and self.high:
            return f"{str(self.low).removesuffix(f' {symbol_of(self.unit)}')} to {self.high}"
        if self.low:
            return f"{'above' if self.low_open else 'at least'} {self.low}"
        return f"{'below' if self.high_open else 'at most'} {self.high}" if self.high else "any"


@light
class Nominal:
    """A value to aim at, and the two ends of its tolerance band where one is stated."""

    value: Quantity
    low: Quantity | None = None
    high: Quantity | None = None
    written: str = field(default="", compare=False)

    SCHEMA_PATTERN: ClassVar[str] = (
        f"^(?:{_NUMBER}(?: ?± ?{_NUMBER}"
        rf"| ?\+{_NUMBER} ?/ ?[-\u2212]{_NUMBER}) ?{_UNIT}|{_FIGURE})$"
    )
    EXAMPLES: ClassVar[tuple[str, ...]] = ("25 N·m", "25 ± 2 N·m", "25 +2/-1 N·m")

    @classmethod
    def parse(cls, text: str) -> Nominal:
        """The nominal value that `text` states.

        Raises:
            Malformed: of one of `notation.RULES`.
        """
        written = " ".join(text.split())
        tolerance = _TOLERANCE.fullmatch(written)
        if tolerance is None:
            _refuse_spelt_sign(written)
            return cls(Quantity.parse(written), written=written)
        first, both, plus, minus, spelt = tolerance.groups()
        value, up = read_numeral(first), Quantity.parse(f"{both or plus}{spelt}", bare=True)
        down = read_numeral(both or minus)
        unit = value.unit if up.unit == PLAIN_COUNT else up.unit
        if unit is None:
            raise Malformed(
                f"`{quoted(written)}` has no unit",
                f"write the unit at the end, as in `{quoted(written)} N·m`",
                "number-without-unit",
            )
        percent_of_value = value.unit is None and unit.dimension is Dimension.PERCENTAGE
        if value.unit not in (None, unit) or percent_of_value or unit in (RATIO, COUNTER):
            raise Malformed(
                f"`{quoted(written)}` has its value and its tolerance in different units",
                "write the tolerance in the unit of the value, as in `25 ± 2 N·m`",
                "mixed-units",
            )
        whole = quantity_of(value, unit, f"{value.text} {symbol_of(unit)}")
        ends = (whole.value - down.value, whole.value + up.value)
        decimals = max(whole.digits, up.digits, down.decimals)
        low, high = (replace(Quantity.of(end, unit), digits=decimals) for end in ends)
        return cls(whole, low, high, written)

    @property
    def band(self) -> Interval | None:
        """The tolerance band as an interval, or None where no tolerance is stated."""
        return Interval(self.low, self.high) if self.low and self.high else None

    def to(self, unit: Unit) -> Nominal:
        """The same nominal value and band, exactly, in another unit.

        Raises:
            Malformed: of rule `units-that-do-not-mix`.
        """
        if unit == self.value.unit:
            return self
        low, high = self.low and self.low.to(unit), self.high and self.high.to(unit)
        return Nominal(self.value.to(unit), low, high)

    def __str__(self) -> str:
        return self.written or str(self.value)


_PLAIN = r"[0-9]+(?:\.[0-9]+)?"
_SPELT_SIGN = re.compile(r"([0-9]) ?(?:\+ ?/ ?-|\+-|-\+|plus or minus|plus/minus) ?(?=[0-9])")
_TOLERANCE = re.compile(
    rf"(.+?) ?(?:± ?({_PLAIN})|\+ ?({_PLAIN}) ?/ ?[-{MINUS}] ?({_PLAIN}))((?: ?[^0-9.,].*)?)"
)


def _refuse_other_words(written: str) -> None:
    """Refuse what the trade says for `at most` and its like, with the word to write instead."""
    word, figure = re.split(r"(?=[0-9\u2212+-]|$)", written, maxsplit=1)
    better = _OTHER_WORDS.get(word.strip().lower())
    if better:
        better = figure if " to " in figure else f"{better} {figure}"
        message = f"`{quoted(written)}` begins with `{word.strip()}`"
        raise Malformed(message, f"write `{quoted(better)}`", "malformed-figure")


def _refuse_spelt_sign(written: str) -> None:
    """Refuse what stands in for `±` where a keyboard has no such key, with the sign to copy."""
    better = _SPELT_SIGN.sub(r"\1 ± ", written)
    if better != written:
        message = f"`{quoted(written)}` spells the sign `±`"
        raise Malformed(message, f"write `{quoted(better)}`", "malformed-figure")


def _ordered(low: Quantity, high: Quantity, written: str) -> Interval:
    """The interval between two ends, which must stand in order, save that of two ratios."""
    if low.unit == RATIO:
        low, high = sorted((low, high), key=lambda end: end.value)
    if low.value > high.value:
        raise Malformed(
            f"`{quoted(written)}` begins with the higher value",
            f"write `{quoted(f'{high.written} to {low.written}')}`, or correct the figure",
            "reversed-interval",
        )
    return Interval(low, high, written=written)
