"""Rules on what a counter counts against what the task that it reminds of falls due by."""

from __future__ import annotations

import re
from collections.abc import Iterator

from placardry.book.tasks import Task
from placardry.finding import Family, Note, Severity
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rules.counters import lengths, timers
from placardry.rules.intervals import series
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.where import on_machines

_ENGINE = re.compile(r"engine|motor", re.IGNORECASE)
_WORDED = ("en", "de")  # the languages whose word for an engine we know


@rule(Severity.WARNING, Family.INTERVALS)
def counter_of_another_kind(subject: Subject) -> Iterator[Problem]:
    """A counter runs in hours and reminds of work that falls due by the calendar, or otherwise.

    An engine that stands still all winter moves no hour counter, and the work is forgotten.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            timers:
              service:
                name: service counter
                counts: while the engine runs
                resets: after the service
                direction: down
                interval: counter-hours
                serves: [coolant-change]
        procedures/tasks.yaml
            document: marl-manual
            facts:
              counter-hours: {maximum: 25 h, name: service counter, source: page 8}
            tasks:
              coolant-change:
                title: Change the coolant
                about: The dealer does it.
                calendar: every 24 months
                reminded-by: wren/service
                source: page 8
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            timers:
              service:
                name: service counter
                counts: while the engine runs
                resets: after the service
                direction: down
                interval: counter-hours
                serves: [coolant-change]
        procedures/tasks.yaml
            document: marl-manual
            facts:
              counter-hours: {maximum: 25 h, name: service counter, source: page 8}
            tasks:
              coolant-change:
                title: Change the coolant
                about: The dealer does it.
                hours: every 100 h
                calendar: every 24 months
                reminded-by: wren/service
                source: page 8
    """
    for manual in subject.manuals:
        for instrument, name, timer in timers(manual):
            figures = subject.figures[manual.id]
            for runs, _ in lengths(manual, figures, instrument, name, timer):
                for at, task in enumerate(manual.get(Task, served) for served in timer.serves):
                    if any(one.unit.mixes(runs.unit) for one in due(task)):
                        continue
                    place = instrument.places.at("timers", name, "serves", at)
                    message = f"the counter `{name}` runs for {runs}, and `{task.id}` does not "
                    message += f"fall due by {runs.unit}"
                    mend = f"take `{task.id}` out of `serves:`, or give it `hours:`"
                    note = Note(task.places.span, f"`{task.id}` is stated here")
                    yield Problem(place, message, mend, (note,))


def due(task: Task) -> Iterator[Quantity]:
    """Every length after which a task falls due."""
    for _, one in series(task):
        yield from one.points
        if one.every is not None:
            yield one.every
    if task.life is not None:
        yield task.life


@rule(Severity.WARNING, Family.INTERVALS)
def counter_of_another_time(subject: Subject) -> Iterator[Problem]:
    """A counter reminds of work that falls due by running hours, and does not count them.

    A counter that runs with the display counts waiting and set-up too, or stands still while
    the engine runs in the dark. `counts:` must name the engine (known in English and German).

    Source: common practice, no source.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            timers:
              service: {name: service counter, counts: while the display is on,
                        resets: after the service, serves: [service]}
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service: {title: Service the engine, about: The dealer does it., hours: every 25 h,
                        reminded-by: wren/service, source: page 8}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            timers:
              service: {name: service counter, counts: while the engine runs,
                        resets: after the service, serves: [service]}
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service: {title: Service the engine, about: The dealer does it., hours: every 25 h,
                        reminded-by: wren/service, source: page 8}
    """
    if subject.book.settings.language in _WORDED:
        yield from on_machines(_other_time(subject))


def _other_time(subject: Subject) -> Iterator[tuple[Manual, Problem]]:
    for manual in subject.manuals:
        for instrument, name, timer in timers(manual):
            served = [manual.get(Task, one) for one in timer.serves]
            due = next((one for one in served if one.hours is not None), None)
            if due is not None and not _ENGINE.search(timer.counts):
                message = f"`{name}` counts `{timer.counts}`, and `{due.id}` falls due by running "
                message += "hours"
                mend = "name the engine in `counts:`, or take the task out of `serves:`"
                place = instrument.places.at("timers", name, "counts")
                yield manual, Problem(place, message, mend)


@rule(Severity.ADVICE, Family.INTERVALS)
def interval_between_services(subject: Subject) -> Iterator[Problem]:
    """A task falls due between two services, so that the machine is opened twice.

    Intervals nest: each is a multiple or a part of that of the task which a counter reminds of.
    What does not nest is easily forgotten, for no counter calls for it.

    Source: common practice, no source.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            timers:
              service: {name: service counter, counts: while the engine runs,
                        resets: after the service, serves: [service]}
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service: {title: Service the engine, about: The dealer does it., hours: every 25 h,
                        reminded-by: wren/service, source: page 8}
              filter: {title: Clean the filter, about: Wash it., hours: every 40 h, source: page 8}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels: {coolant: {parameter: coolant-temperature}}
            screens:
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
            timers:
              service: {name: service counter, counts: while the engine runs,
                        resets: after the service, serves: [service]}
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service: {title: Service the engine, about: The dealer does it., hours: every 25 h,
                        reminded-by: wren/service, source: page 8}
              filter: {title: Clean the filter, about: Wash it., hours: every 50 h, source: page 8}
    """
    yield from on_machines(_between(subject))


def _between(subject: Subject) -> Iterator[tuple[Manual, Problem]]:
    for manual in subject.manuals:
        tasks = [(one, one.hours.every) for one in manual.of(Task).values() if one.hours]
        known = [
            (task, length) for task, length in tasks if length is not None and length.value > 0
        ]
        reminded = [(task, length) for task, length in known if task.reminded_by is not None]
        if not reminded:
            continue
        service, step = min(reminded, key=lambda pair: pair[1].value)
        for task, length in known:
            if task.reminded_by is not None or task.by != service.by:
                continue  # the dealer's visits go by a schedule of their own
            if not length.unit.mixes(step.unit):
                continue
            share = length.to(step.unit).value / step.value
            if share.denominator != 1 and share.numerator != 1:
                message = f"`{task.id}` is due every {length}, and `{service.id}` every {step}"
                mend = f"write a multiple or a part of {step}, if the source allows it"
                yield manual, Problem(task.places.at("hours"), message, mend)
