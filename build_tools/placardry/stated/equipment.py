"""The figures of instruments, panels, alarms, settings and tasks."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from fractions import Fraction
from functools import partial

from placardry.book.controls import Panel
from placardry.book.figures import Parameter
from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.book.tasks import Series, Task
from placardry.errors import Malformed
from placardry.figures import Exact, Figure, show, show_set_point, unit_order
from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import Grid, Kind, Side
from placardry.stated.making import make, make_time

CHANNEL_FIGURES = (
    ("range", Kind.RANGE),
    ("resolution", Kind.NOMINAL),
    ("reads-true", Kind.RANGE),
    ("alarm-grid", Kind.NOMINAL),
    ("alarm-range", Kind.RANGE),
)


def instrument(manual: Manual, record: Instrument) -> Iterator[Figure]:
    """The spans and steps of an instrument's channels: `coolant-range` and the like."""
    for name, channel in (record.channels or {}).items():
        if not manual.connects(channel):
            continue
        for key, kind in CHANNEL_FIGURES:
            value = getattr(channel, key.replace("-", "_"))
            if value is None:
                continue
            exact = Exact.of(value) if isinstance(value, Interval) else Exact(value=value)
            parameter = manual.get(Parameter, channel.parameter) if channel.parameter else None
            order = unit_order(exact, parameter, manual.market.units)
            if key in ("resolution", "alarm-grid"):
                order = [(exact.unit, None)]  # a step of the instrument is true only in its unit
            place = ("channels", name, key)
            shown = show(kind, exact, order)
            yield make(manual, record, f"{name}-{key}", "fact", kind, exact, *place, shown=shown)


def panel(manual: Manual, record: Panel) -> Iterator[Figure]:
    """The holes of a panel, by callout."""
    for number, item in enumerate(record.items, 1):
        if item.hole is not None:
            part, exact = f"hole-{number}", Exact(value=item.hole)
            figure = make(manual, record, part, "fact", Kind.NOMINAL, exact)
            yield dataclasses.replace(figure, span=item.places.at("hole"))


def guarded_side(alarm: Alarm) -> Side:
    """The side of its limit on which an alarm is safe: it must fire before the limit is reached."""
    return Side.BELOW if alarm.fires in ("above", "at-or-above") else Side.ABOVE


def alarm(manual: Manual, record: Alarm) -> Iterator[Figure]:
    """The set-point of an alarm on the grid of its instrument, where it clears, its delay."""
    channel = (manual.get(Instrument, record.instrument).channels or {}).get(record.channel)
    if channel is None:
        return
    parameter = manual.get(Parameter, channel.parameter) if channel.parameter else None
    side = guarded_side(record)
    for part, value in ((None, record.set_point), ("clears", record.clears)):
        if value is None:
            continue
        exact = Exact(value=value)
        order = unit_order(exact, parameter, manual.market.units)
        step, can_be = channel.alarm_grid, channel.alarm_range
        start = can_be.low if can_be is not None else None
        if step is not None and step.value > 0 and step.unit.mixes(value.unit):
            mixes = start is not None and start.unit.mixes(step.unit)
            origin = start.to(step.unit).value if start is not None and mixes else Fraction(0)
            grid = Grid(step.value, origin)
            shown = show_set_point(exact, grid, step.unit, side, order)
        else:
            shown = show(Kind.NOMINAL, exact, order)
        yield make(
            manual,
            record,
            part,
            "alarm",
            Kind.SET_POINT,
            exact,
            part or "set-point",
            parameter=channel.parameter,
            shown=shown,
            guards=record.guards,
        )
    if record.delay is not None:
        yield make_time(manual, record, "delay", Kind.NOMINAL, Exact(value=record.delay), "alarm")


def delivered(setting: Setting, market: str) -> str | None:
    """What a setting stands at when it is handed over in a market."""
    return (setting.delivered_by_market or {}).get(market, setting.delivered)


def asmake(words: str) -> Quantity | None:
    """The quantity that a setting's value is, if it is one; a bare number counts."""
    try:
        return None if words[:1].isalpha() else Quantity.parse(words, bare=True)
    except Malformed:
        return None


def setting(manual: Manual, record: Setting) -> Iterator[Figure]:
    """A setting as delivered, as from the maker, and what it may be."""
    state = partial(make, manual, record)
    values = [
        (None, delivered(record, manual.market.id), ("delivered",)),
        ("factory", record.factory, ("factory",)),
        *((f"allowed-{at + 1}", one, ("allowed", at)) for at, one in enumerate(record.allowed)),
    ]
    for part, words, at in values:
        quantity = asmake(words) if words is not None else None
        if quantity is not None:
            exact = Exact(value=quantity)
            shown = show(Kind.NOMINAL, exact, [(quantity.unit, None)])
            yield state(part, "setting", Kind.NOMINAL, exact, *at, shown=shown)
    if record.span is not None:
        exact = Exact.of(record.span)
        shown = show(Kind.RANGE, exact, [(exact.unit, None)])
        yield state("span", "setting", Kind.RANGE, exact, "span", shown=shown)


def task(manual: Manual, record: Task) -> Iterator[Figure]:
    """The intervals of a task, all of which round down: later than stated is overdue."""

    def interval(part: str, value: Quantity, *at: str | int) -> Figure:
        kind = Kind.MAXIMUM  # work that is due later than stated is work overdue
        exact = Exact(high=value)
        shown = show(kind, exact, [(value.unit, None)])
        return make(manual, record, part, "interval", kind, exact, *at, shown=shown)

    series: list[tuple[str, Series | None, tuple[str, ...]]] = [
        ("hours", record.hours, ("hours",)),
        ("calendar", record.calendar, ("calendar",)),
    ]
    if record.severe is not None:
        series += [
            ("severe", record.severe.hours, ("severe", "hours")),
            ("severe-calendar", record.severe.calendar, ("severe", "calendar")),
        ]
    for part, one, at in series:
        if one is None:
            continue
        for number, point in enumerate(one.points, 1):
            yield interval(f"{part}-{number}", point, *at)
        if one.every is not None:
            yield interval(part, one.every, *at)
    for part, value in (("life", record.life), ("tolerance", record.tolerance)):
        if value is not None:
            yield interval(part, value, part)
