"""Instruments: channels, screens, timers, recorded extremes; their alarms and settings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from placardry.book.record import (
    AnyMarket,
    AnyOption,
    ConditionId,
    ControlId,
    FigureId,
    InstrumentId,
    ParameterId,
    Part,
    Record,
    ScreenId,
    TaskId,
    Text,
    record,
)
from placardry.book.sources import Source
from placardry.interval import Interval
from placardry.quantity import Quantity


@record
class Channel(Part):
    """One input of an instrument.

    Attributes:
        parameter: what it measures; an unused channel has none
        name: its name where the parameter's does not tell it apart
        needs: the option that connects it
        unused: nothing is connected on any machine
        shows: what the field shows while nothing is connected
        range: the span that it can display
        resolution: its smallest step
        reads_true: the span of the parameter in which it can be believed
        reads_true_when: the condition in which it can be believed
        alarm_grid: the step on which its alarm is set, in the unit the instrument stores
        alarm_range: the span in which its alarm can be set
    """

    parameter: ParameterId | None = None
    name: Text | None = None
    needs: AnyOption | None = None
    unused: bool = False
    shows: str | None = None
    range: Interval | None = None
    resolution: Quantity | None = None
    reads_true: Interval | None = None
    reads_true_when: ConditionId | None = None
    alarm_grid: Quantity | None = None
    alarm_range: Interval | None = None
    about: Text | None = None


@record
class ScreenField(Part):
    """One field of a screen: a channel, timer, extreme or a mark of its own.

    Attributes:
        mark: what the field shows, when it is none of the others (a battery symbol, a clock)
        label: the letters printed beside it on the screen
        about: what it tells the owner; needed for a mark
    """

    channel: str | None = None
    timer: str | None = None
    extreme: str | None = None
    mark: Text | None = None
    label: str | None = None
    about: Text | None = None


@record
class Screen(Part):
    """A screen or a menu entry, and where each key leads from it.

    Shape: `keys` maps a gesture to a screen: `{press right: engine, hold left and right: set-up}`.
    """

    title: Text
    fields: tuple[ScreenField, ...] = ()
    keys: Mapping[str, str] | None = None
    about: Text | None = None


@record
class Timer(Part):
    """Something that the instrument counts.

    Attributes:
        counts: what makes it run
        resets: what sets it back
        direction: up from zero, or down from its interval
        interval: the interval that it counts down from, a figure
        serves: the tasks that it reminds of
    """

    name: Text
    counts: Text
    resets: Text
    direction: Literal["up", "down"] = "up"
    interval: FigureId | None = None
    serves: tuple[TaskId, ...] = ()
    about: Text | None = None


@record
class Extreme(Part):
    """A recorded highest or lowest reading.

    Attributes:
        of: the channel that it records
        keeps: whether it is the highest or the lowest
        resets: what clears it
    """

    of: str
    keeps: Literal["highest", "lowest"] = "highest"
    resets: Text
    about: Text | None = None


@record
class Instrument(Record):
    """A panel display or other instrument.

    Attributes:
        needs: what must be so for it to have current: `{master: on}`
        buttons: its keys, with the words printed on them
        hold: how long a hold lasts, a figure
        home: the screen that it starts with
    """

    name: Text
    about: Text | None = None
    needs: Mapping[ControlId, str] | None = None
    buttons: Mapping[str, str] | None = None
    hold: FigureId | None = None
    home: str | None = None
    channels: Mapping[str, Channel] | None = None
    screens: Mapping[str, Screen] | None = None
    timers: Mapping[str, Timer] | None = None
    extremes: Mapping[str, Extreme] | None = None
    source: Source | None = None


@record
class Alarm(Record):
    """A set-point that warns the pilot before a limit is broken.

    Attributes:
        channel: the channel of the instrument that it watches
        guards: the limit, or the cut of a scale, that it stands before
        set_point: the reading at which it fires
        fires: how the reading is compared with the set-point
        clears: the reading at which it goes out
        delay: how long the reading must last
        shows: what the pilot sees
        sentence: what the owner must know because the alarm cannot tell the limit's condition
        setting: the screen on which it is set
    """

    name: Text
    instrument: InstrumentId
    channel: str
    guards: FigureId
    set_point: Quantity
    fires: Literal["above", "at-or-above", "below", "at-or-below"]
    clears: Quantity | None = None
    delay: Quantity | None = None
    shows: Text
    sentence: Text | None = None
    setting: ScreenId | None = None
    source: Source | None = None


@record
class Setting(Record):
    """Something that an owner can set on an instrument.

    Attributes:
        screen: the screen on which it is set
        change: what the keys do there
        allowed: the values it can have, as words
        span: the values it can have, as a span
        governs: what it sets: `pulses-per-revolution`, or one of the instrument's timers, whose
            interval it is
        factory: as it leaves the maker
        delivered: as the dealer hands it over, for all markets or market by market
        advised: why, and when the owner should change it
    """

    name: Text
    instrument: InstrumentId
    screen: str
    change: Text | None = None
    allowed: tuple[str, ...] = ()
    span: Interval | None = None
    governs: str | None = None
    factory: str
    delivered: str | None = None
    delivered_by_market: Mapping[AnyMarket, str] | None = None
    advised: Text | None = None
    source: Source | None = None
