"""Rules on the settings of instruments."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.instruments import Setting
from placardry.finding import Family, Note, Severity, did_you_mean
from placardry.quantity import Quantity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
)
from placardry.stated import delivered
from placardry.stated.equipment import asmake
from placardry.units import SPELLINGS, UNITS, Unit, tidy

PULSES = "pulses-per-revolution"

# What a display calls a whole system of units, by the temperature that it then shows.
SYSTEMS = {"metric": UNITS["degC"], "us": UNITS["degF"], "imperial": UNITS["degF"]}


@rule(Severity.ERROR, Family.INSTRUMENTS)
def setting_out_of_range(subject: Subject) -> Iterator[Problem]:
    """A setting's value, from the maker or as delivered, is not one that it can have.

    Bad:
        procedures/settings.yaml
            document: marl-manual
            settings:
              backlight:
                name: backlight
                instrument: wren
                screen: main
                allowed: [low, high]
                factory: low
                delivered: medium
                source: page 7
    Good:
        procedures/settings.yaml
            document: marl-manual
            settings:
              backlight:
                name: backlight
                instrument: wren
                screen: main
                allowed: [low, high]
                factory: low
                delivered: high
                source: page 7
    """
    for one in every(subject.book, Setting):
        given = [(one.factory, one.places.at("factory"))]
        if one.delivered is not None:
            given.append((one.delivered, one.places.at("delivered")))
        for market, words in (one.delivered_by_market or {}).items():
            given.append((words, one.places.at("delivered-by-market", market)))
        for words, place in given:
            if not _is_allowed(one, words):
                can = str(one.span) if one.span else ", ".join(one.allowed)
                message = f"`{one.id}` stands at `{words}`; it can be {can}"
                mend = did_you_mean(words, one.allowed, f"write a value out of {can}")
                yield Problem(place, message, mend)


def _is_allowed(setting: Setting, words: str) -> bool:
    if words in setting.allowed or not (setting.allowed or setting.span):
        return True
    value = asmake(words)
    span = setting.span
    return bool(value and span and span.unit.mixes(value.unit) and span.contains(value))


@rule(Severity.ERROR, Family.INSTRUMENTS)
def setting_without_delivery(subject: Subject) -> Iterator[Problem]:
    """A setting is delivered market by market, and one market is missing.

    The owner there would not know how their machine came.

    Bad:
        procedures/settings.yaml
            document: marl-manual
            settings:
              backlight:
                name: backlight
                instrument: wren
                screen: main
                allowed: [low, high]
                factory: low
                delivered-by-market: {us: high}
                source: page 7
            markets:
              us: {name: United States, units: [degF], rules: Ask your national authority.}
    Good:
        procedures/settings.yaml
            document: marl-manual
            settings:
              backlight:
                name: backlight
                instrument: wren
                screen: main
                allowed: [low, high]
                factory: low
                delivered-by-market: {us: high, eu: low}
                source: page 7
            markets:
              us: {name: United States, units: [degF], rules: Ask your national authority.}
    """
    for manual in subject.manuals:
        for one in manual.of(Setting).values():
            market = manual.market.id
            if one.delivered_by_market is not None and delivered(one, market) is None:
                message = f"`{one.id}` is not given for the market `{market}`"
                mend = f"add `{market}:` with its value, or `delivered:` for all other markets"
                yield Problem(one.places.at("delivered-by-market"), message, mend)


@rule(Severity.ERROR, Family.INSTRUMENTS)
def wrong_pulses(subject: Subject) -> Iterator[Problem]:
    """An instrument is delivered with a number of pulses per revolution not that of the engine.

    The display divides the ignition pulses by its setting: set to two on an engine of one
    pulse it shows half the true speed, and every limit on speed is overrun unseen.

    Source: by definition, speed = 60 · pulse frequency / pulses per revolution.

    Bad:
        procedures/settings.yaml
            document: marl-manual
            settings:
              pulses:
                name: pulses per revolution
                instrument: wren
                screen: main
                governs: pulses-per-revolution
                allowed: ["1", "2", "4"]
                factory: "2"
                delivered: "2"
                source: page 7
    Good:
        procedures/settings.yaml
            document: marl-manual
            settings:
              pulses:
                name: pulses per revolution
                instrument: wren
                screen: main
                governs: pulses-per-revolution
                allowed: ["1", "2", "4"]
                factory: "2"
                delivered: "1"
                source: page 7
    """
    for manual in subject.manuals:
        for one in manual.of(Setting).values():
            words = delivered(one, manual.market.id)
            value = asmake(words) if one.governs == PULSES and words is not None else None
            needed = manual.engine.pulses_per_revolution
            if value is None or value.value in (0, needed):
                continue
            yield Problem(
                one.places.at("delivered" if one.delivered else "delivered-by-market"),
                f"`{one.id}` is delivered at {value.value}, but `{manual.engine.id}` gives "
                f"{needed} for each turn, so the display shows {shown_speed(value, needed)}",
                f'write `delivered: "{needed}"`',
                (Note(manual.engine.places.at(PULSES), f"{needed} for each turn"),),
            )


def shown_speed(set_to: Quantity, needed: int) -> str:
    """What a display shows when its pulses per revolution are wrong, in words."""
    share = needed / set_to.value
    names = {"1/2": "half", "2": "twice", "1/4": "a quarter of", "4": "four times"}
    return f"{names.get(str(share), f'{share} of')} the true speed"


@rule(Severity.WARNING, Family.INSTRUMENTS)
def unit_unlike_cards(subject: Subject) -> Iterator[Problem]:
    """An instrument is delivered in another unit than the market's cards and manual print first.

    The owner compares a reading in one unit with a limit in another, in flight.

    Bad:
        procedures/settings.yaml
            document: marl-manual
            settings:
              unit:
                name: unit of temperature
                instrument: wren
                screen: main
                allowed: [degC, degF]
                factory: degF
                delivered: degF
                source: page 7
    Good:
        procedures/settings.yaml
            document: marl-manual
            settings:
              unit:
                name: unit of temperature
                instrument: wren
                screen: main
                allowed: [degC, degF]
                factory: degF
                delivered: degC
                source: page 7
    """
    for manual in subject.manuals:
        first = [UNITS[symbol] for symbol in manual.market.units]
        for one in manual.of(Setting).values():
            choices = [_unit(words) for words in one.allowed]
            words = delivered(one, manual.market.id)
            chosen = _unit(words) if words is not None else None
            if chosen is None or len(choices) < 2 or None in choices:
                continue
            wanted = next((known for known in first if known.mixes(chosen)), chosen)
            if wanted != chosen and wanted in choices:
                message = f"`{one.id}` is delivered at {words}, and `{manual.market.id}` prints "
                message += f"{wanted} first"
                own = one.places.at("delivered-by-market", manual.market.id)
                place = one.places.at("delivered") if one.delivered else own
                note = Note(manual.market.places.at("units"), "the units of the market")
                right = one.allowed[choices.index(wanted)]
                mend = f"deliver it at {right}, or market by market under `delivered-by-market:`"
                yield Problem(place, message, mend, (note,))


def _unit(words: str) -> Unit | None:
    """The unit that a setting names, or the temperature of the system that it names."""
    return SPELLINGS.get(tidy(words)) or SYSTEMS.get(words.lower())
