"""Rules on the intervals of a task against its life, its tolerance and its calendar."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.tasks import Task
from placardry.finding import Family, Severity
from placardry.rules.intervals import series
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every


@rule(Severity.ERROR, Family.INTERVALS)
def calendar_rule_without_calendar(subject: Subject) -> Iterator[Problem]:
    """A task runs to the end of a month, and has no calendar interval.

    The rule on the month's end moves a date that does not exist.

    Source: 14 CFR 91.409(a)(1) counts calendar months (from memory).

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change: {title: Change the oil, about: The dealer does it., hours: every 25 h,
                           end-of-month: yes, source: page 8}
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change: {title: Change the oil, about: The dealer does it., hours: every 25 h,
                           calendar: every 12 months, end-of-month: yes, source: page 8}
    """
    for task in every(subject.book, Task):
        if task.end_of_month and task.calendar is None:
            message = f"`{task.id}` runs to the end of a month, and no `calendar:` says of which"
            mend = "add `calendar:` with the months, or remove `end-of-month:`"
            yield Problem(task.places.at("end-of-month"), message, mend)


@rule(Severity.ERROR, Family.INTERVALS)
def tolerance_of_another_kind(subject: Subject) -> Iterator[Problem]:
    """A tolerance is in a unit in which the task has no interval.

    Hours of tolerance on work that falls due by the calendar allow nothing, or anything.

    Source: common practice, no source.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change: {title: Change the oil, about: The dealer does it.,
                           calendar: every 12 months, tolerance: 2 h, source: page 8}
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change: {title: Change the oil, about: The dealer does it.,
                           calendar: every 12 months, tolerance: 1 month, source: page 8}
    """
    for task in every(subject.book, Task):
        tolerance = task.tolerance
        lengths = [
            value
            for _, one in series(task)
            for value in (*one.points, *([one.every] if one.every is not None else []))
        ]
        lengths += [task.life] if task.life is not None else []
        if tolerance is None or any(one.unit.mixes(tolerance.unit) for one in lengths):
            continue
        message = f"`{task.id}` has a tolerance of {tolerance}, and no interval in that unit"
        mend = "write the tolerance in the unit of its interval"
        yield Problem(task.places.at("tolerance"), message, mend)


@rule(Severity.ERROR, Family.INTERVALS)
def interval_beyond_life(subject: Subject) -> Iterator[Problem]:
    """A part is replaced before the work on it falls due for the first time.

    Either the life or the interval is a slip; as they stand, the work is never done.

    Source: common practice, no source.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              hoses: {title: Fit new hoses, about: The dealer does it., calendar: every 6 years,
                      life: 5 years, source: page 8}
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              hoses: {title: Fit new hoses, about: The dealer does it., hours: every 200 h,
                      life: 5 years, source: page 8}
    """
    for task in every(subject.book, Task):
        life = task.life
        for place, one in series(task):
            first = one.points[0] if one.points else one.every
            if life is None or first is None or not first.unit.mixes(life.unit):
                continue
            if first.to(life.unit).value >= life.value:
                message = f"`{task.id}` falls due after {first}, and its life is {life}"
                mend = "correct one of them, or leave the longer one out"
                yield Problem(task.places.at(*place), message, mend)


@rule(Severity.WARNING, Family.INTERVALS)
def watch_without_reject(subject: Subject) -> Iterator[Problem]:
    """Wear is watched, and no figure says when the part must be replaced.

    The owner measures on and on, and does not know when to stop flying.

    Source: common practice, no source.

    Bad:
        procedures/wear.yaml
            document: marl-manual
            parameters:
              wear: {name: wear, units: {mm: 0.1}}
            limits:
              belt-watch: {parameter: wear, minimum: 28 mm, source: page 9,
                           exceeded: Order a belt.}
            tasks:
              belt: {title: Measure the belt, about: With a caliper., hours: every 25 h,
                     watch: belt-watch, source: page 8}
    Good:
        procedures/wear.yaml
            document: marl-manual
            parameters:
              wear: {name: wear, units: {mm: 0.1}}
            limits:
              belt-watch: {parameter: wear, minimum: 28 mm, source: page 9,
                           exceeded: Order a belt.}
              belt-reject: {parameter: wear, minimum: 27 mm, name: reject, source: page 9,
                            exceeded: Do not fly. Fit a new belt.}
            tasks:
              belt: {title: Measure the belt, about: With a caliper., hours: every 25 h,
                     watch: belt-watch, reject: belt-reject, source: page 8}
    """
    for task in every(subject.book, Task):
        if task.watch is not None and task.reject is None:
            message = f"`{task.id}` watches `{task.watch}`, and nothing says when to replace"
            mend = "add `reject:` with the figure at which the part is replaced"
            yield Problem(task.places.at("watch"), message, mend)
