"""Every value that a manual's records give for a parameter, with its place.

No rules; what the rules on figures, physics and instruments have in common.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

from placardry.book import Book
from placardry.book.conditions import Condition
from placardry.book.figures import Example, Fact, Limit, Parameter, Scale, Statement
from placardry.book.instruments import Alarm, Channel, Instrument
from placardry.book.record import FIGURE_KINDS, Record, Refers
from placardry.context import contexts
from placardry.figures import Figure
from placardry.finding import Span, light
from placardry.interval import Interval, Nominal
from placardry.links import follow
from placardry.nodes import Mapping
from placardry.quantity import Quantity
from placardry.resolve import Manual, per_view
from placardry.stated import Figures, statement_of
from placardry.units import UNITS, Unit
from placardry.walk import per_record

R = TypeVar("R", bound=Record)

CHANNEL_SPANS = ("range", "resolution", "reads_true", "alarm_grid", "alarm_range")


@light
class Value:
    """One figure of a record that is a value of a parameter.

    Attributes:
        what: the record and the key, for messages
        change: it is a difference between two readings, or a step
        stated: the book vouches for it; not so what an instrument can display
    """

    record: Any
    what: str
    parameter: str
    interval: Interval
    span: Span
    change: bool = False
    stated: bool = True

    @property
    def unit(self) -> Unit:
        """The unit in which it was written."""
        return self.interval.unit


@per_record
def as_interval(value: Quantity | Interval | Nominal) -> Interval:
    """The values that a figure covers; a nominal one without tolerance is a point."""
    if isinstance(value, Interval):
        return value
    if isinstance(value, Nominal):
        return value.band or Interval(value.value, value.value, written=str(value))
    return Interval(value, value, written=str(value))


def every(book: Book, *kinds: type[R]) -> Iterator[R]:
    """Every statement of these kinds, on whatever machine it holds."""
    for kind in kinds:
        for statements in book.of(kind).values():
            yield from statements


@per_view
def values(manual: Manual) -> tuple[Value, ...]:
    """Every value of a parameter in the manual."""
    return tuple(_values(manual))


def _values(manual: Manual) -> Iterator[Value]:
    for one in (*manual.of(Limit).values(), *manual.of(Fact).values()):
        yield from _of_statement(one)
    for scale in manual.of(Scale).values():
        for at, band in enumerate(scale.bands):
            if band.start is not None:
                place = scale.places.at("bands", at)
                interval = as_interval(band.start)
                yield Value(scale, f"`{scale.id}`", scale.parameter, interval, place)
    for condition in manual.of(Condition).values():
        for name, item in condition.box.items():
            if item.span is not None and name in manual.of(Parameter):
                place = condition.places.at(name)
                yield Value(condition, f"condition `{condition.id}`", name, item.span, place)
    for example in manual.of(Example).values():
        if example.parameter is not None:
            interval, place = as_interval(example.reading), example.places.at("reading")
            what = f"example `{example.id}`"
            yield Value(example, what, example.parameter, interval, place, stated=False)
    yield from _of_equipment(manual)


@per_record
def _of_statement(one: Statement) -> tuple[Value, ...]:
    given = statement_of(one)
    if given is None or one.parameter is None:
        return ()
    key, value = given
    change = key in ("drop", "rise")
    interval, place = as_interval(value), one.places.at(key)
    return (Value(one, f"`{one.id}`", one.parameter, interval, place, change),)


def _of_equipment(manual: Manual) -> Iterator[Value]:
    for instrument in manual.of(Instrument).values():
        for name, channel in (instrument.channels or {}).items():
            if channel.parameter in manual.of(Parameter):
                yield from _of_channel(instrument, name, channel)
    for alarm in manual.of(Alarm).values():
        watched = channel_of(manual, alarm)
        if watched is None or watched.parameter is None:
            continue
        for key in ("set_point", "clears"):
            value = getattr(alarm, key)
            if value is not None:
                place = alarm.places.at(key.replace("_", "-"))
                what, interval = f"`{alarm.id}`", as_interval(value)
                yield Value(alarm, what, watched.parameter, interval, place, stated=False)


def _of_channel(instrument: Instrument, name: str, channel: Channel) -> Iterator[Value]:
    for key in CHANNEL_SPANS:
        value = getattr(channel, key)
        if value is not None and channel.parameter is not None:
            yaml = key.replace("_", "-")
            yield Value(
                instrument,
                f"`{yaml}` of channel `{name}`",
                channel.parameter,
                as_interval(value),
                instrument.places.at("channels", name, yaml),
                change=key in ("resolution", "alarm_grid"),
                stated=False,
            )


def key_at(record: Record, collection: str, name: str) -> Span:
    """Where the name of a part stands: it is pointed at by its name, not by all below it."""
    node = record.places.get(collection)
    key = node.key(name) if isinstance(node, Mapping) else None
    return key.span if key is not None else record.places.at(collection)


def channel_of(manual: Manual, alarm: Alarm) -> Channel | None:
    """The channel that an alarm watches."""
    instrument = manual.of(Instrument).get(alarm.instrument)
    return ((instrument.channels if instrument else None) or {}).get(alarm.channel)


def channels(manual: Manual) -> Iterator[tuple[Instrument, str, Channel]]:
    """Every channel of every instrument of the machine, with its name."""
    for instrument in manual.of(Instrument).values():
        for name, channel in (instrument.channels or {}).items():
            yield instrument, name, channel


def fits(manual: Manual, parameter: str, unit: Unit) -> bool:
    """Whether a figure in the unit can be a value of the parameter, or a difference of two."""
    shown = [UNITS[symbol] for symbol in manual.get(Parameter, parameter).units]
    return any(one.mixes(unit) or one.difference.mixes(unit) for one in shown)


def is_plausible(manual: Manual, parameter: str, interval: Interval) -> bool:
    """Whether the ends of the interval lie in the plausible span of the parameter."""
    return _is_inside(manual.get(Parameter, parameter), interval)


@per_record
def _is_inside(parameter: Parameter, interval: Interval) -> bool:
    span = parameter.plausible
    if span is None or not span.unit.mixes(interval.unit):
        return True
    return all(span.contains(end) for end in (interval.low, interval.high) if end is not None)


def figure_of(manual: Manual, figures: Figures, written: str) -> Figure | None:
    """The figure that a reference in a field of figures leads to, if it has such a part."""
    link = follow(written, Refers(FIGURE_KINDS), manual.records)
    return figures.get((link.id, link.part or "")) if link is not None else None


def was_taken_out(book: Book, manual: Manual, name: str, kinds: Iterable[str]) -> bool:
    """Whether a record of that name should be there and is missing for a fault of its own.

    That fault is reported where it is; nobody complains of what follows from it.
    """
    context = contexts(book)[manual.id]
    return any(
        f"{kind}/{name}" in book.broken
        or any(context.meets(one.applies) for one in book.records.get(kind, {}).get(name, ()))
        for kind in kinds
        if name not in manual.records.get(kind, {})
    )
