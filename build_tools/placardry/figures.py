"""Published figures: one exact figure, rounded once for every unit in which a manual shows it.

A figure knows what it is (kind), where it was written, under which condition it holds, and what
it becomes in each unit. How it is printed is for the writers; how it is found for `stated`.

Source: the rounding of each kind follows `rounding.ROUNDERS`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, field, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal

from placardry import units
from placardry.book.conditions import Condition
from placardry.book.figures import Parameter
from placardry.book.sources import Source
from placardry.finding import Span, light
from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.rounding import (
    Grid,
    Kind,
    Rounded,
    Side,
    round_cut,
    round_figure,
    round_nominal,
    round_set_point,
)
from placardry.units import Unit

MOST_APART = 100
"""How many times a market's unit may hold that of a figure, or be held by it, to stand for it."""


@light
class Exact:
    """A figure as written: its ends, or its value, or its value between its ends.

    Units: all in the unit of the first one given.

    Attributes:
        text: the whole figure as its author wrote it
    """

    low: Quantity | None = None
    high: Quantity | None = None
    value: Quantity | None = None
    text: str = field(default="", compare=False)

    @property
    def written(self) -> Quantity:
        """The quantity that carries the unit and the precision."""
        one: Quantity = self.value or self.low or self.high  # type: ignore[assignment]
        return one

    @property
    def unit(self) -> Unit:
        """The unit in which it was written."""
        return self.written.unit

    def __str__(self) -> str:
        """The figure as its author wrote it."""
        ends = [end for end in (self.value, self.low, self.high) if end]
        return self.text or " to ".join(str(end) for end in ends)

    @classmethod
    def of(cls, interval: Interval) -> Exact:
        """The ends of an interval; a point is a value."""
        if interval.is_point:
            return cls(value=interval.low, text=interval.written)
        return cls(interval.low, interval.high, text=interval.written)

    @property
    def is_even(self) -> bool:
        """Whether a tolerance reaches equally far to both sides."""
        low, high, value = self.values
        if low is None or high is None or value is None:
            return False
        return value - low == high - value

    @property
    def values(self) -> tuple[Fraction | None, Fraction | None, Fraction | None]:
        """The numbers of low, high and value."""
        low, high, value = (one.value if one else None for one in (self.low, self.high, self.value))
        return low, high, value

    def values_in(self, unit: Unit) -> tuple[Fraction | None, Fraction | None, Fraction | None]:
        """The numbers of low, high and value, exactly, in another unit."""
        low, high, value = (
            units.convert(one.value, one.unit, unit) if one else None
            for one in (self.low, self.high, self.value)
        )
        return low, high, value


@light
class Shown:
    """A figure in one unit, on multiples of `step`.

    Attributes:
        too_coarse: the step empties the range or eats more of it than is allowed
    """

    unit: Unit
    step: Fraction
    low: Fraction | None = None
    high: Fraction | None = None
    value: Fraction | None = None
    too_coarse: bool = False


@light
class Figure:
    """One figure of a manual.

    Attributes:
        id: the record that states it, and `part`, which of its figures it is
        type: limit, fact, derived, example, setting, alarm or interval
        kind: how it rounds
        exact: as written
        shown: by unit symbol, the unit printed first coming first
        begins: of a caution band, the end at which it begins, seen from the safer band
        open_low: the low end itself does not belong to it; likewise `open_high`
        about: it is printed with "about"
        conditions: those under which it holds, and `within`, the time for which it is allowed
        guards: the figure that it stands before
    """

    _: KW_ONLY
    id: str
    part: str | None
    type: str
    kind: Kind
    exact: Exact
    shown: Mapping[str, Shown]
    record: Any = field(compare=False, repr=False)
    span: Span = field(compare=False, repr=False)
    parameter: str | None = None
    colour: str | None = None
    begins: Literal["low", "high"] | None = None
    open_low: bool = False
    open_high: bool = False
    about: bool = False
    conditions: tuple[Condition, ...] = ()
    within: Quantity | None = None
    guards: str | None = None
    exceeded: str | None = None
    source: Source | None = None

    @property
    def key(self) -> tuple[str, str]:
        """The identity of the figure in its manual."""
        return (self.id, self.part or "")

    @property
    def anchor(self) -> str:
        """The identity as one word, for links and attributes: `coolant.red`."""
        return f"{self.id}.{self.part}" if self.part else self.id

    @property
    def first(self) -> Shown:
        """The figure in the unit that is printed first."""
        return next(iter(self.shown.values()))


def unit_order(
    exact: Exact, parameter: Parameter | None, market: tuple[str, ...]
) -> list[tuple[Unit, Fraction | None]]:
    """The units in which a figure is shown, the market's first, each with its display step.

    A parameter shows every unit that it declares. A figure without one shows the market's first
    unit of its dimension that is of a like size, then the unit in which it was written.
    """
    steps = None if parameter is None else tuple(parameter.units.items())
    return list(_order(exact.unit, steps, market))


@lru_cache(maxsize=1024)  # the figures of a parameter are written in few units
def _order(
    own: Unit, declared: tuple[tuple[str, str], ...] | None, market: tuple[str, ...]
) -> tuple[tuple[Unit, Fraction | None], ...]:
    wanted = [units.UNITS[symbol] for symbol in market if symbol in units.UNITS]
    if own.dimension is units.Dimension.TEMPERATURE_DIFFERENCE:
        wanted = [unit.difference for unit in wanted]
    same = [unit for unit in wanted if unit.mixes(own)]
    if declared is None:
        like = next((unit for unit in same if _is_like(unit, own)), own)
        return tuple((unit, None) for unit in dict.fromkeys((like, own)))
    steps = {_alike(symbol, own): Fraction(step) for symbol, step in declared}
    usable = {unit: step for unit, step in steps.items() if unit.mixes(own)}
    if not usable:
        return ((own, None),)
    ranked = sorted(usable, key=lambda unit: same.index(unit) if unit in same else len(same))
    return tuple((unit, usable[unit]) for unit in ranked)


def _is_like(unit: Unit, other: Unit) -> bool:
    """Whether one unit is at most a hundred times the other (our choice, no source).

    A plug gap in millimetres is no figure in feet, nor a spoon of oil one in gallons.
    """
    slope, _ = units.affine(unit.symbol, other.symbol)
    return Fraction(1, MOST_APART) <= abs(slope) <= MOST_APART


def _alike(symbol: str, unit: Unit) -> Unit:
    """The unit of this symbol, of differences where `unit` is one of differences."""
    found = units.unit(symbol)
    is_difference = unit.dimension is units.Dimension.TEMPERATURE_DIFFERENCE
    return found.difference if is_difference else found


def show(
    kind: Kind,
    exact: Exact,
    order: list[tuple[Unit, Fraction | None]],
    safer: tuple[Side | None, Side | None] = (None, None),
) -> dict[str, Shown]:
    """The figure rounded in each of these units."""
    return {unit.symbol: _shown(kind, exact, unit, step, safer) for unit, step in order}


def _shown(
    kind: Kind,
    exact: Exact,
    unit: Unit,
    display: Fraction | None,
    safer: tuple[Side | None, Side | None],
) -> Shown:
    if display is None and unit == exact.unit:
        return _as_written(exact)
    step = display or exact.written.step_in(unit)
    low, high, value = exact.values_in(unit)
    if kind is Kind.CUT:
        low, high = (
            None if cut is None or side is None else round_cut(cut, step, side)
            for cut, side in zip((low, high), safer, strict=True)
        )
        return Shown(
            unit, step, low, high, None, low is not None and high is not None and low >= high
        )
    if kind is Kind.NOMINAL and value is not None:
        rounded, band = round_nominal(value, low, high, step)
        shown = Shown(unit, step, band.low, band.high, rounded, band.is_too_coarse)
        return _evened(shown) if exact.is_even else shown
    if value is not None:
        point = round_figure(kind, value, value, step)
        return Shown(unit, step, None, None, point.low)
    ends: Rounded = round_figure(kind, low, high, step)
    return Shown(unit, step, ends.low, ends.high, None, ends.is_too_coarse)


def _evened(shown: Shown) -> Shown:
    """A tolerance that was written as one number stays one number: the smaller, inwards, of two."""
    low, high, value = shown.low, shown.high, shown.value
    if low is None or high is None or value is None:
        return shown
    half = min(value - low, high - value)
    return replace(shown, low=value - half, high=value + half)


def _as_written(exact: Exact) -> Shown:
    """The figure in its own unit without a display step: nothing is rounded."""
    digits = max(one.digits for one in (exact.low, exact.high, exact.value) if one)
    return Shown(exact.unit, Fraction(1, 10**digits), *exact.values)


def show_set_point(
    exact: Exact,
    grid: Grid,
    stored: Unit,
    side: Side,
    order: list[tuple[Unit, Fraction | None]],
) -> dict[str, Shown]:
    """A set-point on the instrument's grid in its stored unit first, then in the other units.

    The other units show the setting as it will really be, rounded to the same safe side.
    """
    value = units.convert(exact.written.value, exact.unit, stored)
    on_grid = round_set_point(value, grid, side)
    shown = {stored.symbol: Shown(stored, grid.step, value=on_grid)}
    setting = Exact(value=Quantity.of(on_grid, stored))
    kind = Kind.MAXIMUM if side is Side.BELOW else Kind.MINIMUM
    for unit, step in order:
        if unit.symbol != stored.symbol:
            shown[unit.symbol] = _shown(kind, setting, unit, step, (None, None))
    return shown
