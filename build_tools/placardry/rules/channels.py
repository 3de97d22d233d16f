"""Rules on the channels of instruments."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Limit, Scale
from placardry.book.instruments import Instrument
from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    channels,
    every,
    key_at,
)


@rule(Severity.WARNING, Family.INSTRUMENTS)
def channel_without_limit(subject: Subject) -> Iterator[Problem]:
    """A connected channel has neither a limit nor a word on what its reading is for.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
              air: {parameter: air-temperature}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}, {channel: air, label: AIR}]
        procedures/air.yaml
            parameters:
              air-temperature: {name: air temperature, units: {degC: 1, degF: 1}}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
              air: {parameter: air-temperature, about: In the sun it reads too high.}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}, {channel: air, label: AIR}]
        procedures/air.yaml
            parameters:
              air-temperature: {name: air temperature, units: {degC: 1, degF: 1}}
    """
    if any(name.startswith(("limit/", "scale/")) for name in subject.book.broken):
        return  # one that could not be read may be the limit
    for manual in subject.manuals:
        limited = {one.parameter for one in manual.of(Limit).values()}
        limited |= {one.parameter for one in manual.of(Scale).values()}
        for instrument, name, channel in channels(manual):
            if channel.parameter is None or channel.about or channel.parameter in limited:
                continue
            if manual.connects(channel):
                message = f"channel `{name}` has no limit and no word on what it is for"
                mend = f"state a limit or a scale of `{channel.parameter}`, or add `about:`"
                yield Problem(key_at(instrument, "channels", name), message, mend)


@rule(Severity.ERROR, Family.INSTRUMENTS)
def channel_of_nothing(subject: Subject) -> Iterator[Problem]:
    """A channel neither measures a parameter nor says that it is unused.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}, spare: {shows: "- - -"}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}, spare: {unused: yes}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    """
    for instrument in every(subject.book, Instrument):
        for name, channel in (instrument.channels or {}).items():
            if channel.parameter is None and not channel.unused:
                message = f"channel `{name}` measures nothing"
                mend = "add `parameter:`, or `unused: yes`"
                yield Problem(key_at(instrument, "channels", name), message, mend)


@rule(Severity.ERROR, Family.INSTRUMENTS)
def step_without_size(subject: Subject) -> Iterator[Problem]:
    """The resolution of a channel, or the step of its alarm, is not above zero.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature, alarm-grid: 0 degC}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature, alarm-grid: 2 degC}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    """
    for instrument in every(subject.book, Instrument):
        for name, channel in (instrument.channels or {}).items():
            steps = {"resolution": channel.resolution, "alarm-grid": channel.alarm_grid}
            for key, step in steps.items():
                if step is not None and step.value <= 0:
                    place = instrument.places.at("channels", name, key)
                    message = f"the steps of channel `{name}` are {step}"
                    yield Problem(place, message, f"write a step above zero under `{key}:`")


@rule(Severity.WARNING, Family.INSTRUMENTS)
def extreme_of_nothing(subject: Subject) -> Iterator[Problem]:
    """A record of the highest or lowest reading is of a channel to which nothing is connected.

    What stands there was never measured, and the owner is not told so.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
              spare: {unused: yes}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            extremes:
              highest-spare: {of: spare, resets: when the panel is switched off}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
              spare: {unused: yes}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            extremes:
              highest-coolant: {of: coolant, resets: when the panel is switched off}
    """
    for manual in subject.manuals:
        for instrument in manual.of(Instrument).values():
            for name, extreme in (instrument.extremes or {}).items():
                channel = (instrument.channels or {}).get(extreme.of)
                told = extreme.about or (channel and channel.about)
                if channel is not None and not manual.connects(channel) and not told:
                    message = f"`{name}` records `{extreme.of}`, to which nothing is connected"
                    place = instrument.places.at("extremes", name, "of")
                    mend = "name another channel, or say under `about:` that it means nothing here"
                    yield Problem(place, message, mend)
