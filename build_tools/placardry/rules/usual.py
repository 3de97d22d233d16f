"""Rules on what is usually seen: against other such figures, and against alarms."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from placardry.book.figures import Fact, Limit
from placardry.finding import Family, Note, Severity
from placardry.resolve import Manual
from placardry.rules.guards import also_in, guards
from placardry.rules.regions import Region, box_here, regions
from placardry.rules.registry import Problem, Subject, rule
from placardry.stated import statement_of

AIMED = ("nominal", "typical")


@rule(Severity.WARNING, Family.LIMITS)
def two_usual_values(subject: Subject) -> Iterator[Problem]:
    """Two figures of one name say what is usual, under the same conditions.

    A condition was dropped or mistaken, or one of the two is left over. Two usual spans whose
    conditions can be met together are found too, unless one lies inside the other.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            facts:
              fuel-flow: {nominal: 4 L/h, parameter: fuel-flow, name: consumption, source: page 3}
              flow-climb: {nominal: 6 L/h, parameter: fuel-flow, name: consumption, source: page 3}
            parameters:
              fuel-flow: {name: fuel flow, units: {L/h: 0.1}}
    Good:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              full-power: {short: at full power, engine-speed: 6000 to 7500 rpm}
            facts:
              fuel-flow: {nominal: 4 L/h, parameter: fuel-flow, name: consumption, source: page 3}
              flow-climb: {nominal: 6 L/h, parameter: fuel-flow, name: consumption,
                           condition: full-power, source: page 3}
            parameters:
              fuel-flow: {name: fuel flow, units: {L/h: 0.1}}
    """
    for manual in subject.views:
        for first, second in (*_alike(manual), *_at_once(manual)):
            message = (
                f"`{second.id}` and `{first.id}` both say what is usual, and both hold at once"
            )
            mend = "give each its own condition, or remove the one that is wrong"
            note = Note(first.places.span, f"`{first.id}` is stated here")
            yield Problem(second.places.span, message, mend, (note,))


def _alike(manual: Manual) -> Iterator[tuple[Fact | Limit, Fact | Limit]]:
    """Two figures of one parameter, name and kind under the very same conditions."""
    known: dict[object, Fact | Limit] = {}
    stated: tuple[Fact | Limit, ...] = (*manual.of(Limit).values(), *manual.of(Fact).values())
    for one in stated:
        given = statement_of(one)
        if given is None or given[0] not in AIMED or one.parameter is None or one.name is None:
            continue
        key = (one.parameter, one.name, given[0], frozenset(one.condition))
        if key in known:
            yield known[key], one
        known[key] = one


def _at_once(manual: Manual) -> Iterator[tuple[Limit, Limit]]:
    """Two usual spans that hold at once under different conditions, neither inside the other."""
    together: dict[object, list[tuple[Region, Limit]]] = defaultdict(list)
    for region in regions(manual):
        if region.key == "typical" and isinstance(region.record, Limit):
            key = (region.parameter, region.record.name)
            together[key].append((region, region.record))
    for same in together.values():
        for (one, first), (other, second) in combinations(same, 2):
            if frozenset(first.condition) == frozenset(second.condition):
                continue  # found by their conditions already
            nested = one.allowed.within(other.allowed) or other.allowed.within(one.allowed)
            if not nested and one.box.meet(other.box) is not None:
                yield first, second


@rule(Severity.WARNING, Family.INSTRUMENTS)
def alarm_stays_on(subject: Subject) -> Iterator[Problem]:
    """An alarm that has fired stays on while the reading is back at what is usually seen.

    An alarm that goes on through healthy flight is one that owners learn to ignore.

    Source: IEC 62682:2014 and ANSI/ISA-18.2 on deadbands and stale alarms (from memory).

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
                guards: coolant.red
                set-point: 88 degC
                fires: at-or-above
                clears: 72 degC
                shows: The field flashes.
                source: page 5
    Good:
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
                guards: coolant.red
                set-point: 88 degC
                fires: at-or-above
                clears: 84 degC
                shows: The field flashes.
                source: page 5
    """
    for one in guards(subject):
        clears = one.alarm.clears
        if clears is None or one.parameter is None:
            continue
        for usual in regions(one.manual):
            if usual.key != "typical" or usual.parameter != one.parameter:
                continue
            here = box_here(one.manual, [condition.id for condition in one.guarded.conditions])
            end = usual.allowed.high if one.is_high else usual.allowed.low
            if end is None or here is None or not end.unit.mixes(clears.unit):
                continue
            if here.meet(usual.box) is None:
                continue  # the limit and what is usual are never seen together
            at, there = clears.to(end.unit).value, end.value
            if at < there if one.is_high else at > there:
                message = (
                    f"`{one.alarm.id}` clears at {clears}{also_in(clears, end)}, and up to then "
                    f"{usual.said} is usual"
                )
                mend = "let it clear between what is usual and its set-point"
                yield Problem(one.alarm.places.at("clears"), message, mend, (usual.note,))
