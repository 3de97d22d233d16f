"""Rules on tasks: that they fall due, that there is work to do, and when parts wear out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from placardry.book.tasks import Task
from placardry.finding import Family, Note, Severity
from placardry.quantity import Quantity
from placardry.rounding import Kind
from placardry.rules.intervals import series
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
    figure_of,
)
from placardry.units import Dimension


@rule(Severity.ERROR, Family.INTERVALS)
def task_without_interval(subject: Subject) -> Iterator[Problem]:
    """A task never falls due.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change: {title: Change the oil, about: The dealer does it., source: page 8}
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 25 h
                source: page 8
    """
    for task in every(subject.book, Task):
        due = (task.hours, task.calendar, task.each, task.life, task.watch, task.reject)
        if not any(due) and not task.after:
            message = f"`{task.id}` has no interval, no event and no life"
            mend = "add `hours:`, `calendar:`, `each:`, `after:`, `life:` or `watch:`"
            yield Problem(task.places.span, message, mend)


@rule(Severity.WARNING, Family.INTERVALS)
def task_without_work(subject: Subject) -> Iterator[Problem]:
    """A task has neither a procedure nor a word on what is done.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change: {title: Change the oil, hours: every 25 h, source: page 8}
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 25 h
                source: page 8
    """
    for task in every(subject.book, Task):
        if task.procedure is None and task.about is None:
            message = f"`{task.id}` does not say what is done"
            yield Problem(task.places.span, message, "add `procedure:` or `about:`")


@rule(Severity.ERROR, Family.INTERVALS)
def watch_beyond_reject(subject: Subject) -> Iterator[Problem]:
    """Wear is watched only from the figure at which the part must be replaced, or later.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            parameters:
              belt-width: {name: belt width, units: {mm: 0.1, in: 0.01}}
            limits:
              belt-watch:
                {parameter: belt-width, minimum: 27 mm, name: watch, source: page 8,
                 exceeded: Order a belt.}
              belt-reject:
                {parameter: belt-width, minimum: 28 mm, name: reject, source: page 8,
                 exceeded: Do not fly.}
            tasks:
              belt:
                title: Measure the belt
                about: Use a caliper.
                hours: every 25 h
                watch: belt-watch
                reject: belt-reject
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            parameters:
              belt-width: {name: belt width, units: {mm: 0.1, in: 0.01}}
            limits:
              belt-watch:
                {parameter: belt-width, minimum: 29 mm, name: watch, source: page 8,
                 exceeded: Order a belt.}
              belt-reject:
                {parameter: belt-width, minimum: 28 mm, name: reject, source: page 8,
                 exceeded: Do not fly.}
            tasks:
              belt:
                title: Measure the belt
                about: Use a caliper.
                hours: every 25 h
                watch: belt-watch
                reject: belt-reject
                source: page 8
    """
    for manual in subject.manuals:
        figures = subject.figures[manual.id]
        for task in manual.of(Task).values():
            if task.watch is None or task.reject is None:
                continue
            watch = figure_of(manual, figures, task.watch)
            reject = figure_of(manual, figures, task.reject)
            if watch is None or reject is None:
                continue
            first, last = watch.exact.written, reject.exact.written
            if watch.kind is not reject.kind or not first.unit.mixes(last.unit):
                message = f"`{task.watch}` is a {watch.kind} of {first}, `{task.reject}` is a "
                message += f"{reject.kind} of {last}"
                mend = "name two figures of one kind and one parameter"
            elif _is_early(first, last, watch.kind):
                continue
            else:
                message = f"`{task.id}` watches from {first} and rejects at {last}"
                mend = "exchange the two, or correct one"
            notes = (
                Note(watch.span, f"`{task.watch}`"),
                Note(reject.span, f"`{task.reject}`"),
            )
            yield Problem(task.places.at("watch"), message, mend, notes)


def _is_early(watch: Quantity, reject: Quantity, kind: Kind) -> bool:
    """Whether wear passes the first figure before the second; unknown kinds pass."""
    here, there = watch.value, reject.to(watch.unit).value
    if kind is Kind.MAXIMUM:
        return here < there
    return here > there if kind is Kind.MINIMUM else True


LONGEST: Mapping[Dimension, Quantity] = {
    Dimension.DURATION: Quantity.parse("5000 h"),
    Dimension.CALENDAR: Quantity.parse("30 years"),
}
"""No light engine, wing or hose gets older (our choice, no source)."""


@rule(Severity.WARNING, Family.INTERVALS)
def implausible_interval(subject: Subject) -> Iterator[Problem]:
    """An interval or a life is longer than the machine will get old.

    A digit too many lets work never fall due: above 5000 h or 30 years it is taken for a slip.

    Source: common practice, no source.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 25000 h
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 25 h
                source: page 8
    """
    for task in every(subject.book, Task):
        lengths = [
            (place, value)
            for place, one in series(task)
            for value in (*one.points, one.every)
            if value is not None
        ]
        if task.life is not None:
            lengths.append((("life",), task.life))
        for place, value in lengths:
            most = LONGEST.get(value.unit.dimension)
            if most is not None and value.to(most.unit).value > most.value:
                message = f"`{task.id}` falls due at {value}, which is beyond {most}"
                yield Problem(task.places.at(*place), message, "correct the figure or its unit")
