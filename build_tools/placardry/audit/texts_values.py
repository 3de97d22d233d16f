"""What a quantity that was said is to the values of a figure: one of them, inside, or another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction
from typing import Any

from placardry.errors import Malformed
from placardry.interval import Nominal
from placardry.quantity import Quantity
from placardry.recognise import Recognised
from placardry.units import RATIO, UNITS, Unit, convert

Entry = Mapping[str, Any]
Reading = tuple[Unit, tuple[Quantity, ...]]

# What is said for short, and what it may be on a gauge.
_SHORT = {
    "deg": ("degC", "degF"),
    "turn": ("rpm",),
    "bar": ("bar(g)", "bar(a)"),
    "psi": ("psi(g)", "psi(a)"),
    "kPa": ("kPa(g)", "kPa(a)"),
}
LEAN = 10  # parts of petrol to one of oil at least: such a ratio is said either way round


class Relation(IntEnum):
    """What a quantity is to a figure, the closer the greater."""

    FAR = 0  # of another size, or a range where the figure is none: hardly meant
    OTHER = 1
    INSIDE = 2
    SAME = 3


_FAR = 4  # times as much, or as little


def readings(found: Recognised) -> Iterator[Reading]:
    """The units in which a quantity may be meant, each with the ends that it gives."""
    figure = found.figure
    if isinstance(figure, Quantity):
        ends = [figure]
    elif isinstance(figure, Nominal):
        ends = [figure.value]
    else:
        ends = [end for end in (figure.low, figure.high) if end]
    yield ends[0].unit, tuple(ends)
    if ends[0].unit is RATIO and all(end.value >= LEAN for end in ends):
        yield RATIO, tuple(Quantity.of(1 / end.value, RATIO) for end in ends)
    for symbol in _SHORT.get(ends[0].unit.symbol, ()):
        yield UNITS[symbol], tuple(ends)


@dataclass(frozen=True, slots=True)
class Values:
    """The values of a figure in one unit by `low`, `high` and `value`, as published and exact.

    Attributes:
        is_given: the unit is one that the manual gives the figure in
    """

    ends: Mapping[str, frozenset[Fraction]]
    is_given: bool

    @classmethod
    def of(cls, entry: Entry, unit: Unit) -> Values | None:
        """The values of a register entry; None where the unit is none of its kind."""
        exact, found = entry["exact"], {}
        own = UNITS.get(exact["unit"])
        published = entry["published"].get(unit.symbol, {})
        for name in ("low", "high", "value"):
            if name in exact:
                values = {_number(published[name])} if name in published else set()
                values.add(_converted(entry, _number(exact[name]), own, unit))
                found[name] = frozenset(value for value in values if value is not None)
        given = unit.symbol == exact["unit"] or unit.symbol in entry["published"]
        return cls(found, given) if any(found.values()) else None

    @property
    def is_lean(self) -> bool:
        """Whether it is as a ratio of oil to petrol is."""
        return all(0 < value * LEAN <= 1 for values in self.ends.values() for value in values)

    def relation(self, ends: Sequence[Quantity]) -> Relation:
        """What a quantity with such ends is to the figure.

        The value of a figure with a tolerance is its value alone, not an end of the tolerance; a
        range may be said whole, or by one of its ends.
        """
        whole = [values for name, values in self.ends.items() if name != "value"]
        middle = self.ends.get("value")
        same = [middle] if middle else whole
        if all(any(self._has(values, end) for values in same) for end in ends):
            return Relation.SAME
        if middle and len(ends) > 1 and all(any(self._has(v, end) for v in whole) for end in ends):
            return Relation.SAME
        if len(whole) == 2 and all(min(whole[0]) <= end.value <= max(whole[1]) for end in ends):
            return Relation.INSIDE
        known = [value for values in self.ends.values() for value in values]
        near = all(any(_is_near(end.value, value) for value in known) for end in ends)
        return Relation.OTHER if near and (len(ends) == 1 or len(whole) == 2) else Relation.FAR

    def is_half(self, ends: Sequence[Quantity]) -> bool:
        """Whether of a range that is said one end is that of the figure, and the other is not."""
        low, high = (self.ends.get(name, frozenset()) for name in ("low", "high"))
        return len(ends) == 2 and self._has(low, ends[0]) != self._has(high, ends[1])

    def _has(self, values: frozenset[Fraction], said: Quantity) -> bool:
        """Whether a value is the one said, or rounds to it in a unit of the speaker's own."""
        step = Fraction(1, 10**said.digits)
        return said.value in values or (
            not self.is_given and any(abs(said.value - value) < step for value in values)
        )


def _is_near(said: Fraction, value: Fraction) -> bool:
    opposite = said * value < 0
    return not opposite and abs(said) <= _FAR * abs(value) and abs(value) <= _FAR * abs(said)


def _converted(entry: Entry, value: Fraction | None, own: Unit | None, unit: Unit) -> Any:
    if value is None or own is None or (entry["kind"] == "change" and own.symbol != unit.symbol):
        return None
    try:
        return convert(value, own, unit)
    except Malformed:
        return None


def _number(text: str) -> Fraction | None:
    over, mark, under = text.partition(":")
    try:
        return Fraction(over) / Fraction(under) if mark else Fraction(text)
    except (ValueError, ZeroDivisionError):
        return None
