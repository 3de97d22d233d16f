"""Rules on alarms against the limits that they guard."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Scale
from placardry.figures import Figure
from placardry.finding import Family, Note, Severity
from placardry.rules.guards import NO_LIMITS, Guard, also_in, guards, threshold
from placardry.rules.registry import Problem, Subject, rule


@rule(Severity.ERROR, Family.INSTRUMENTS)
def alarm_beyond_limit(subject: Subject) -> Iterator[Problem]:
    """An alarm fires only at or beyond the limit that it guards, or on the wrong side of it.

    An alarm must leave the pilot time before the limit is reached.

    Source: common practice, no source.

    Bad:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: coolant.red
                set-point: 90 degC
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
        if one.parameter is None or not one.is_in_span:
            continue
        alarm, limit = one.alarm, threshold(one.guarded, is_high=one.is_high)
        fires = alarm.fires.replace("-", " ")
        if limit is None:
            place = alarm.places.at("fires")
            message = f"`{alarm.id}` fires {fires}, but `{alarm.guards}` ends on the other side"
            mend = f"write `fires: {'at-or-below' if one.is_high else 'at-or-above'}`"
            yield Problem(place, message, mend, (one.note,))
            continue
        value = alarm.set_point.to(limit.unit).value
        if value >= limit.value if one.is_high else value <= limit.value:
            set_to = f"{alarm.set_point}{also_in(alarm.set_point, limit)}"
            message = f"`{alarm.id}` fires {fires} {set_to}; `{alarm.guards}` is {limit}"
            side = "below" if one.is_high else "above"
            mend = f"set it {side} {limit}{also_in(limit, alarm.set_point)}"
            yield Problem(alarm.places.at("set-point"), message, mend, (one.note,))


@rule(Severity.WARNING, Family.INSTRUMENTS)
def alarm_inside_green(subject: Subject) -> Iterator[Problem]:
    """An alarm fires while the reading is still in the green.

    An alarm that sounds in normal running is soon ignored, or the green is wrong.

    Source: 14 CFR 25.1549(b) (green is the normal operating range).

    Bad:
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: coolant.red
                set-point: 75 degC
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
                set-point: 85 degC
                fires: at-or-above
                shows: The field flashes.
                source: page 5
    """
    for one in guards(subject):
        for figure in one.figures.values():
            scale = figure.record
            if not isinstance(scale, Scale) or figure.colour != "green" or not one.is_in_span:
                continue
            concerns = scale is one.guarded.record or not scale.condition
            if scale.parameter == one.parameter and concerns and _inside(one, figure):
                alarm = one.alarm
                message = f"`{alarm.id}` fires at {alarm.set_point}, inside `{figure.anchor}`"
                note = Note(figure.span, f"`{figure.anchor}` is stated here")
                mend = "move the set-point out of the green"
                yield Problem(alarm.places.at("set-point"), message, mend, (note,))


def _inside(one: Guard, green: Figure) -> bool:
    low, high = green.exact.low, green.exact.high
    value = one.alarm.set_point.to(green.exact.unit).value
    above = low is None or value > low.value
    below = high is None or value < high.value
    return above and below


@rule(Severity.WARNING, Family.INSTRUMENTS)
def alarm_without_sentence(subject: Subject) -> Iterator[Problem]:
    """An alarm guards a limit with a condition and does not tell the owner about it.

    The alarm cannot know the condition: it fires also where the reading is normal. The owner
    needs a sentence that says so.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            limits:
              cruise-coolant:
                parameter: coolant-temperature
                maximum: 90 degC
                condition: cruise
                source: page 9
                exceeded: Reduce power.
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: cruise-coolant
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
        if one.guarded.conditions and one.alarm.sentence is None:
            names = ", ".join(f"`{condition.id}`" for condition in one.guarded.conditions)
            message = f"`{one.alarm.id}` cannot know {names}, and nobody tells the owner"
            mend = "add `sentence:` that says when it fires without need"
            yield Problem(one.alarm.places.span, message, mend, (one.note,))


@rule(Severity.ERROR, Family.INSTRUMENTS)
def alarm_guards_nothing(subject: Subject) -> Iterator[Problem]:
    """An alarm guards a figure that no reading can break.

    A usual value, a value to aim at and a difference of two readings are no limits: nobody can
    say whether the set-point is early enough.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              usual: {parameter: coolant-temperature, typical: 70 to 78 degC, source: page 9}
        procedures/alarms.yaml
            document: marl-manual
            alarms:
              coolant-alarm:
                name: coolant alarm
                instrument: wren
                channel: coolant
                guards: usual
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
        if one.guarded.kind in NO_LIMITS and one.channel.parameter == one.guarded.parameter:
            message = f"`{one.alarm.id}` guards `{one.alarm.guards}`, which is no limit"
            mend = "name the maximum, the minimum or the band that the alarm stands before"
            yield Problem(one.alarm.places.at("guards"), message, mend, (one.note,))
