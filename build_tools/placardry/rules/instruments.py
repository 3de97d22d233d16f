"""Rules on the names inside an instrument."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.finding import Family, Severity, Span, did_you_mean
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.settings import PULSES
from placardry.rules.statements import (
    every,
)

# What a field of an instrument leads to: the key there, and the key that holds the names.
FIELD_PARTS = {"channel": "channels", "timer": "timers", "extreme": "extremes"}


def broken_parts(one: Instrument) -> Iterator[tuple[Span, str, str, Mapping[str, object]]]:
    """Names inside an instrument that lead nowhere: place, what, the name, the names there are."""
    screens = one.screens or {}
    if one.home is not None and one.home not in screens:
        yield one.places.at("home"), "screen", one.home, screens
    for name, extreme in (one.extremes or {}).items():
        if extreme.of not in (one.channels or {}):
            place = one.places.at("extremes", name, "of")
            yield place, "channel", extreme.of, one.channels or {}
    for name, screen in screens.items():
        for at, field in enumerate(screen.fields):
            for key, there in FIELD_PARTS.items():
                wanted, known = getattr(field, key), getattr(one, there) or {}
                if wanted is not None and wanted not in known:
                    place = one.places.at("screens", name, "fields", at, key)
                    yield place, key, wanted, known
        for keys, target in (screen.keys or {}).items():
            if target not in screens:
                yield one.places.at("screens", name, "keys", keys), "screen", target, screens


@rule(Severity.ERROR, Family.INSTRUMENTS)
def unknown_part_of_instrument(subject: Subject) -> Iterator[Problem]:
    """A field, key, alarm or setting names a part that its instrument does not have.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
            screens:
              main: {title: Main screen, fields: [{channel: colant, label: WATER}]}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    """
    for one in every(subject.book, Instrument):
        for place, what, wanted, known in broken_parts(one):
            yield _unknown(one, place, what, wanted, known)
    for manual in subject.manuals:
        instruments = manual.of(Instrument)
        for alarm in manual.of(Alarm).values():
            one = instruments[alarm.instrument]
            if alarm.channel not in (one.channels or {}):
                place = alarm.places.at("channel")
                yield _unknown(one, place, "channel", alarm.channel, one.channels or {})
        for setting in manual.of(Setting).values():
            one = instruments[setting.instrument]
            if setting.screen not in (one.screens or {}):
                place = setting.places.at("screen")
                yield _unknown(one, place, "screen", setting.screen, one.screens or {})
            if setting.governs not in (None, PULSES, *(one.timers or {})):
                place, known = setting.places.at("governs"), {**(one.timers or {}), PULSES: None}
                yield _unknown(one, place, "timer", str(setting.governs), known)


def _unknown(
    one: Instrument, place: Span, what: str, wanted: str, known: Mapping[str, object]
) -> Problem:
    otherwise = "name one of " + (", ".join(f"`{name}`" for name in known) or "those it has")
    mend = did_you_mean(wanted, known, otherwise)
    return Problem(place, f"`{one.id}` has no {what} `{wanted}`", mend)
