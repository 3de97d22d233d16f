"""Rules on what a counter counts against what the task that it reminds of falls due by."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.tasks import Task
from placardry.finding import Family, Note, Severity
from placardry.quantity import Quantity
from placardry.rules.counters import lengths, timers
from placardry.rules.intervals import series
from placardry.rules.registry import Problem, Subject, rule


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
