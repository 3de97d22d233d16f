"""Rules on limits against what the instruments of the machine can show."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Limit, Scale
from placardry.book.instruments import Channel, Instrument
from placardry.finding import Family, Note, Severity, Span
from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    as_interval,
    channels,
    is_plausible,
)
from placardry.stated import statement_of


def cuts(manual: Manual) -> Iterator[tuple[Limit | Scale, Quantity, Span]]:
    """Every figure that an owner compares a reading with, if it can be believed at all."""
    for record, value, span in _all_cuts(manual):
        if is_plausible(manual, record.parameter, as_interval(value)):
            yield record, value, span


def _all_cuts(manual: Manual) -> Iterator[tuple[Limit | Scale, Quantity, Span]]:
    for limit in manual.of(Limit).values():
        given = statement_of(limit)
        if given is not None and given[0] in ("maximum", "minimum", "range", "avoid"):
            interval = as_interval(given[1])
            for end in dict.fromkeys((interval.low, interval.high)):
                if end is not None:
                    yield limit, end, limit.places.at(given[0])
    for scale in manual.of(Scale).values():
        for at, band in enumerate(scale.bands):
            if band.start is not None:
                yield scale, band.start, scale.places.at("bands", at)


def shows(span: Interval | None, value: Quantity) -> bool:
    """Whether a value lies in the span of a display; yes where none is stated."""
    return span is None or not span.unit.mixes(value.unit) or span.contains(value)


Readers = tuple[tuple[Instrument, str, Channel], ...]


def _read(manual: Manual) -> Iterator[tuple[Limit | Scale, Quantity, Span, Readers]]:
    """The cuts of every parameter that an instrument of the machine reads, and what reads it."""
    readers: dict[str | None, Readers] = {}
    for found in channels(manual):
        if manual.connects(found[2]):
            name = found[2].parameter
            readers[name] = (*readers.get(name, ()), found)
    for record, value, span in cuts(manual) if readers else ():
        if record.parameter in readers:
            yield record, value, span, readers[record.parameter]


@rule(Severity.ERROR, Family.INSTRUMENTS)
def limit_beyond_display(subject: Subject) -> Iterator[Problem]:
    """A limit or a band begins where no instrument of the machine can show a reading.

    The owner can neither keep to it nor see that it is not kept.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cold-soak:
                parameter: coolant-temperature
                minimum: -30 degC
                source: page 9
                exceeded: Do not start.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cold-soak:
                parameter: coolant-temperature
                minimum: -10 degC
                source: page 9
                exceeded: Do not start.
    """
    for manual in subject.views:
        for record, value, span, readers in _read(manual):
            if not any(shows(channel.range, value) for *_, channel in readers):
                instrument, name, channel = readers[0]
                yield Problem(
                    span,
                    f"`{record.id}` says {value}, `{instrument.id}` shows {channel.range}",
                    "correct the figure or the display's range",
                    (Note(instrument.places.at("channels", name, "range"), "what it can show"),),
                )


@rule(Severity.WARNING, Family.INSTRUMENTS)
def limit_where_display_is_untrue(subject: Subject) -> Iterator[Problem]:
    """A limit or a band begins where no instrument of the machine reads true.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant:
                parameter: coolant-temperature
                range: -20 to 150 degC
                reads-true: 0 to 85 degC
              speed: {parameter: engine-speed, range: 0 to 9990 rpm}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}, {channel: speed, label: RPM}]
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant:
                parameter: coolant-temperature
                range: -20 to 150 degC
                reads-true: 0 to 125 degC
              speed: {parameter: engine-speed, range: 0 to 9990 rpm}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}, {channel: speed, label: RPM}]
    """
    for manual in subject.views:
        for record, value, span, readers in _read(manual):
            showing = [found for found in readers if shows(found[2].range, value)]
            if showing and not any(shows(channel.reads_true, value) for *_, channel in showing):
                instrument, name, channel = showing[0]
                place = instrument.places.at("channels", name, "reads-true")
                yield Problem(
                    span,
                    f"`{record.id}` says {value}, `{instrument.id}` is true only "
                    f"{channel.reads_true}",
                    "correct the figure or `reads-true:`, or let the owner measure it otherwise",
                    (Note(place, "where it reads true"),),
                )
