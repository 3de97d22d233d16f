"""The figures of limits, facts, scales, conditions, examples and formulas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any, Literal

from placardry.book.conditions import Condition
from placardry.book.figures import (
    FIGURE_KEYS,
    Band,
    Derived,
    Example,
    Fact,
    Limit,
    Parameter,
    Scale,
    Statement,
)
from placardry.derived import Reach, compute
from placardry.errors import Malformed
from placardry.figures import Exact, Figure, show
from placardry.interval import Interval, Nominal
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import Kind, Side
from placardry.stated.making import make, make_time
from placardry.units import base, unit

FIXED_KIND = {"drop": Kind.CHANGE, "rise": Kind.CHANGE}


def exact_of(key: str, value: Quantity | Interval | Nominal) -> tuple[Kind, Exact]:
    """What a statement's key and value say: the kind of figure, and its ends."""
    kind = FIXED_KIND.get(key) or Kind(key)
    if isinstance(value, Nominal):
        return kind, Exact(value.low, value.high, value.value, value.written)
    if isinstance(value, Quantity):
        return kind, Exact(high=value) if kind is Kind.MAXIMUM else Exact(low=value)
    if kind is Kind.CHANGE:
        value = value.as_difference()
    return kind, Exact.of(value)


def statement_of(record: Statement) -> tuple[str, Any] | None:
    """The one key of a statement that says its figure, and the figure."""
    given = [(key, getattr(record, key)) for key in FIGURE_KEYS if getattr(record, key) is not None]
    return given[0] if given else None


def parts_of(scale: Scale) -> list[str]:
    """The name of each band of a scale: its colour, with low or high where it comes twice."""
    colours = [band.colour for band in scale.bands]
    names: list[str] = []
    for at, colour in enumerate(colours):
        if colours.count(colour) == 1:
            names.append(colour)
        elif colours.count(colour) == 2:
            names.append(f"{'low' if colour not in colours[:at] else 'high'}-{colour}")
        else:
            names.append(f"{colour}-{colours[: at + 1].count(colour)}")
    return names


def statement(type_: str, manual: Manual, record: Limit | Fact) -> Iterator[Figure]:
    """The figure of a limit or a fact, and the time for which a limit is allowed."""
    given = statement_of(record)
    if given is None:
        return
    key, value = given
    kind, exact = exact_of(key, value)
    interval = value if isinstance(value, Interval) else None
    within = record.within if isinstance(record, Limit) else None
    held = {"conditions": tuple(manual.conditions(record.condition)), "within": within}
    yield make(
        manual,
        record,
        None,
        type_,
        kind,
        exact,
        key,
        about=kind is Kind.TYPICAL,
        open_low=bool(interval and interval.low_open),
        open_high=bool(interval and interval.high_open),
        exceeded=getattr(record, "exceeded", None),
        **held,
    )
    if within is not None:
        time = Exact(high=within)
        yield make_time(manual, record, "within", Kind.MAXIMUM, time)


# How safe it is to be in a band; between two, the cut moves so that the safer one gets shorter.
SAFETY = {"green": 0, None: 1, "yellow": 2, "avoid": 3, "red": 4}


def scale(manual: Manual, record: Scale) -> Iterator[Figure]:
    """The bands of a scale; neighbours share each rounded cut."""
    bands = record.bands
    starts = [band.start.unit for band in bands if band.start is not None]
    if not all(starts[0].mixes(other) for other in starts):
        return  # reported by the rule on units
    for at, (band, part) in enumerate(zip(bands, parts_of(record), strict=True)):
        above = bands[at + 1] if at + 1 < len(bands) else None
        below = bands[at - 1] if at else None
        exact = Exact(band.start, above.start if above else None)
        if exact.low is None and exact.high is None:
            continue
        kind = Kind.CUT
        if band.colour == "red" and (above is None) != (band.start is None):
            # The end of a scale is a limit in its own right (14 CFR 25.1549(a)).
            kind = Kind.MAXIMUM if above is None else Kind.MINIMUM
            cut = band.start if above is None else above.start if above else None
            exact = Exact(high=cut) if kind is Kind.MAXIMUM else Exact(low=cut)
        more: dict[str, Any] = {}
        if kind is Kind.CUT:  # a red end rounds as its neighbour's cut, for yellow is safer
            sides = (_safer(below, band), _safer(band, above))
            more = {"safer": sides, "begins": _begins(band, *sides)}
        yield make(
            manual,
            record,
            part,
            "limit",
            kind,
            exact,
            "bands",
            at,
            colour=band.colour,
            conditions=tuple(manual.conditions(record.condition)),
            exceeded=record.exceeded if band.colour == "red" else None,
            **more,
        )


def _begins(band: Band, low: Side, high: Side) -> Literal["low", "high"] | None:
    """At which end a caution band begins for somebody who comes from a safer one."""
    if band.colour != "yellow" or (low is Side.BELOW) == (high is Side.ABOVE):
        return None
    return "low" if low is Side.BELOW else "high"


def _safer(below: Band | None, above: Band | None) -> Side:
    """On which side of the cut between two bands the safer one lies."""
    lower = SAFETY[below.colour if below else None]
    upper = SAFETY[above.colour if above else None]
    return Side.BELOW if lower < upper else Side.ABOVE


def example(manual: Manual, record: Example) -> Iterator[Figure]:
    """A sample reading."""
    exact = Exact(value=record.reading)
    yield make(manual, record, None, "example", Kind.TYPICAL, exact, "reading", about=True)


def condition(manual: Manual, record: Condition) -> Iterator[Figure]:
    """The spans of a condition, by parameter."""
    for name, item in record.box.items():
        if item.span is None or name not in manual.of(Parameter):
            continue
        exact = Exact.of(item.span)
        if exact.value is not None:
            kind = Kind.NOMINAL
        elif exact.low and exact.high:
            kind = Kind.RANGE
        else:
            kind = Kind.MINIMUM if exact.low else Kind.MAXIMUM
        yield make(
            manual,
            record,
            name,
            "fact",
            kind,
            exact,
            name,
            parameter=name,
            open_low=item.span.low_open,
            open_high=item.span.high_open,
        )


def reach(figure: Figure) -> Reach:
    """The values that a figure may have, in base units, for a formula."""
    exact = figure.exact
    both = [one for one in (exact.low, exact.high) if one is not None]
    ends = both if len(both) == 2 or exact.value is None else [exact.value]
    factor, dimension = base(exact.unit)
    values = [one.value * factor for one in ends]
    return Reach(min(values), max(values), dimension)


def derived(
    manual: Manual, record: Derived, found: Mapping[tuple[str, str], Figure]
) -> Iterator[Figure]:
    """The safe end of what a formula gives; nothing where the formula has no result."""

    def value_of(name: str) -> Reach:
        id, _, part = name.partition(".")
        if (id, part) not in found:
            raise Malformed(
                f"`{name}` is no figure of this manual",
                "name a limit, a fact or one of their parts",
                "malformed-formula",
            )
        return reach(found[id, part])

    try:
        result = compute(record.formula, value_of)
        target = unit(record.unit)
    except Malformed:
        return  # reported by the rule on formulas, with its place
    factor, dimension = base(target)
    if dimension != result.dimension:
        return
    high_hurts = record.unsafe == "high"
    value = (result.low if high_hurts else result.high) / factor
    kind = Kind.MAXIMUM if high_hurts else Kind.MINIMUM
    quantity = Quantity.of(value, target)
    exact = Exact(high=quantity) if high_hurts else Exact(low=quantity)
    more: dict[str, Any] = {"about": True, "source": None}
    if record.parameter is None:
        more["shown"] = show(kind, exact, [(target, Fraction(1, 10))])
    yield make(manual, record, None, "derived", kind, exact, "formula", **more)
