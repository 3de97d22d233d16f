"""Rules on the counters of instruments against the tasks that they remind of."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.instruments import Instrument, Setting, Timer
from placardry.book.tasks import Task
from placardry.finding import Family, Note, Severity, Span
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import figure_of
from placardry.stated import Figures, delivered
from placardry.stated.equipment import asmake


def timers(manual: Manual) -> Iterator[tuple[Instrument, str, Timer]]:
    """Every timer of the manual's instruments."""
    for instrument in manual.of(Instrument).values():
        for name, timer in (instrument.timers or {}).items():
            yield instrument, name, timer


@rule(Severity.ERROR, Family.INTERVALS)
def counter_later_than_due(subject: Subject) -> Iterator[Problem]:
    """A service counter runs longer than the interval of a task that it reminds of.

    The owner trusts the counter and does the work too late.

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
                serves: [service]
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service:
                title: Service the engine
                about: The dealer does it.
                hours: every 25 h
                reminded-by: wren/service
                source: page 8
            settings:
              counter:
                name: service interval
                instrument: wren
                screen: main
                governs: service
                span: 5 to 250 h
                factory: 50 h
                delivered: 30 h
                source: page 9
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
                serves: [service]
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service:
                title: Service the engine
                about: The dealer does it.
                hours: every 25 h
                reminded-by: wren/service
                source: page 8
            settings:
              counter:
                name: service interval
                instrument: wren
                screen: main
                governs: service
                span: 5 to 250 h
                factory: 50 h
                delivered: 25 h
                source: page 9
    """
    for manual in subject.manuals:
        for instrument, name, timer in timers(manual):
            for runs, span in lengths(manual, subject.figures[manual.id], instrument, name, timer):
                for task in (manual.get(Task, served) for served in timer.serves):
                    due = task.hours.every if task.hours is not None else None
                    if due is None or not due.unit.mixes(runs.unit):
                        continue
                    if runs.to(due.unit).value > due.value:
                        message = f"the counter `{name}` runs for {runs}, `{task.id}` is due every "
                        message += str(due)
                        note = Note(task.places.at("hours"), f"`{task.id}` is due every {due}")
                        yield Problem(span, message, f"write {due}", (note,))


def lengths(
    manual: Manual, figures: Figures, instrument: Instrument, name: str, timer: Timer
) -> Iterator[tuple[Quantity, Span]]:
    """How long a counter runs: as its record says, and as its setting is delivered."""
    if timer.interval is not None:
        figure = figure_of(manual, figures, timer.interval)
        if figure is not None:
            yield figure.exact.written, instrument.places.at("timers", name, "interval")
    for setting in manual.of(Setting).values():
        words = delivered(setting, manual.market.id)
        if setting.instrument == instrument.id and setting.governs == name and words is not None:
            value = asmake(words)
            if value is not None:
                yield value, setting.places.at("delivered")


@rule(Severity.WARNING, Family.INTERVALS)
def one_sided_reminder(subject: Subject) -> Iterator[Problem]:
    """A task names a counter that does not serve it, or a counter a task that does not name it.

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
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service:
                title: Service the engine
                about: The dealer does it.
                hours: every 25 h
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
                serves: [service]
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              service:
                title: Service the engine
                about: The dealer does it.
                hours: every 25 h
                reminded-by: wren/service
                source: page 8
    """
    for manual in subject.manuals:
        served = {
            (f"{instrument.id}/{name}", task): instrument.places.at("timers", name, "serves", at)
            for instrument, name, timer in timers(manual)
            for at, task in enumerate(timer.serves)
        }
        for task in manual.of(Task).values():
            if task.reminded_by is not None and (task.reminded_by, task.id) not in served:
                message = f"`{task.id}` is reminded of by `{task.reminded_by}`, which does not "
                message += "serve it"
                place = task.places.at("reminded-by")
                yield Problem(place, message, f"add `{task.id}` to `serves:` of the timer")
        for (timer_name, name), place in served.items():
            if manual.get(Task, name).reminded_by is None:
                message = f"`{timer_name}` serves `{name}`, which does not name it"
                yield Problem(place, message, f"add `reminded-by: {timer_name}` to `{name}`")


@rule(Severity.WARNING, Family.INTERVALS)
def countdown_without_interval(subject: Subject) -> Iterator[Problem]:
    """A timer counts down, but nothing says from where.

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
    """
    for manual in subject.manuals:
        governed = {(one.instrument, one.governs) for one in manual.of(Setting).values()}
        for instrument, name, timer in timers(manual):
            missing = timer.interval is None and (instrument.id, name) not in governed
            if timer.direction == "down" and missing:
                message = f"the timer `{name}` counts down from nothing"
                place = instrument.places.at("timers", name, "direction")
                yield Problem(place, message, "add `interval:` with the figure it counts from")
