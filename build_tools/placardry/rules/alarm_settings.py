"""Rules on alarms against the instruments on which they are set."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from placardry.finding import Family, Note, Severity
from placardry.quantity import Quantity
from placardry.rounding import Grid, round_set_point
from placardry.rules.guards import Guard, also_in, guards
from placardry.rules.registry import Problem, Subject, rule
from placardry.stated import guarded_side


@rule(Severity.ERROR, Family.INSTRUMENTS)
def alarm_on_unconnected_channel(subject: Subject) -> Iterator[Problem]:
    """An alarm watches a channel to which nothing is connected on this machine.

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
                unused: yes
                shows: "- - -"
                about: Nothing is connected to it.
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
              coolant: {parameter: coolant-temperature}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    """
    for one in guards(subject):
        if not one.manual.connects(one.channel):
            alarm = one.alarm
            needs = one.channel.needs
            why = "is unused" if one.channel.unused else f"needs `{needs}`, which is not fitted"
            message = f"`{alarm.id}` watches channel `{alarm.channel}`, which {why}"
            mend = "name a connected channel, or narrow the alarm's `applies:`"
            yield Problem(alarm.places.at("channel"), message, mend)


@rule(Severity.ERROR, Family.INSTRUMENTS)
def alarm_of_another_parameter(subject: Subject) -> Iterator[Problem]:
    """An alarm watches another parameter than the limit that it guards is on.

    Bad:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: engine-speed-maximum
                set-point: 88 degC
                fires: at-or-above
                shows: The field flashes.
                source: page 5
    Good:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: coolant.red
                set-point: 88 degC
                fires: at-or-above
                shows: The field flashes.
                source: page 5
    """
    for one in guards(subject):
        if one.channel.parameter != one.guarded.parameter:
            alarm = one.alarm
            message = (
                f"`{alarm.id}` watches `{one.channel.parameter}`, `{alarm.guards}` is on "
                f"`{one.guarded.parameter}`"
            )
            mend = "correct `channel:` or `guards:`"
            yield Problem(alarm.places.at("guards"), message, mend, (one.note,))


@rule(Severity.ERROR, Family.INSTRUMENTS)
def alarm_off_grid(subject: Subject) -> Iterator[Problem]:
    """A set-point cannot be set on the instrument: it lies off its steps or outside its span.

    The instrument stores alarms in one unit and in steps; a set-point between two steps ends
    up at whichever the person at the keys takes.

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
                alarm-grid: 5 degF
                alarm-range: 100 to 300 degF
              speed: {parameter: engine-speed}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
    Good:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: coolant.red
                set-point: 88 degC
                fires: at-or-above
                shows: The field flashes.
                source: page 5
    """
    for one in guards(subject):
        if one.parameter is None:
            continue
        for key, value in (("set-point", one.alarm.set_point), ("clears", one.alarm.clears)):
            wrong = _not_settable(one, value) if value is not None else None
            if wrong is not None:
                message = f"`{key}:` of `{one.alarm.id}` is {value}, {wrong[0]}"
                yield Problem(one.alarm.places.at(key), message, wrong[1], _grid_notes(one))


def _not_settable(one: Guard, value: Quantity) -> tuple[str, str] | None:
    """Why a value cannot be set, and what to write instead; None where it can."""
    span, step = one.channel.alarm_range, one.channel.alarm_grid
    if span is not None and span.unit.mixes(value.unit) and not span.contains(value):
        return f"outside what can be set: {span}", f"write a value of {span}"
    if step is None or step.value <= 0 or not step.unit.mixes(value.unit):
        return None
    stored = value.to(step.unit)
    low = span.low if span is not None and span.unit.mixes(step.unit) else None
    grid = Grid(step.value, low.to(step.unit).value if low is not None else Fraction(0))
    if stored.value in grid:
        return None
    nearest = round_set_point(stored.value, grid, guarded_side(one.alarm))
    return (
        f"{also_in(value, stored).strip()} off the steps of {step}".strip(),
        f"write `{Quantity.of(nearest, step.unit)}`, the next step on the safe side",
    )


def _grid_notes(one: Guard) -> tuple[Note, ...]:
    instrument = one.manual.records["instrument"][one.alarm.instrument]
    place = instrument.places.at("channels", one.alarm.channel, "alarm-grid")
    return (Note(place, "the steps of the instrument"),)


@rule(Severity.ERROR, Family.INSTRUMENTS)
def alarm_clears_beyond(subject: Subject) -> Iterator[Problem]:
    """An alarm clears further into the danger than it fires.

    Bad:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: coolant.red
                set-point: 85 degC
                clears: 88 degC
                fires: at-or-above
                shows: The field flashes.
                source: page 5
    Good:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: coolant.red
                set-point: 88 degC
                clears: 85 degC
                fires: at-or-above
                shows: The field flashes.
                source: page 5
    """
    for one in guards(subject):
        alarm, clears = one.alarm, one.alarm.clears
        if clears is None or not one.is_in_span or not clears.unit.mixes(alarm.set_point.unit):
            continue
        set_to = alarm.set_point.to(clears.unit).value
        if clears.value > set_to if one.is_high else clears.value < set_to:
            fires = alarm.fires.replace("-", " ")
            message = f"`{alarm.id}` fires {fires} {alarm.set_point} and clears at {clears}"
            side = "below" if one.is_high else "above"
            yield Problem(alarm.places.at("clears"), message, f"let it clear {side} its set-point")
