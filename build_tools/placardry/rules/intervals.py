"""Rules on the intervals of tasks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from placardry.book.tasks import Series, Task
from placardry.finding import Family, Severity
from placardry.quantity import Quantity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
)
from placardry.units import COUNTER, UNITS, Dimension, Unit

Place = tuple[str, ...]


def series(task: Task) -> Iterator[tuple[Place, Series]]:
    """The series of a task with their places: normal use first, then severe use."""
    for key in ("hours", "calendar"):
        for holder, above in ((task, ()), (task.severe, ("severe",))):
            one: Series | None = getattr(holder, key, None)
            if one is not None:
                yield (*above, key), one


def _quantities(one: Series) -> tuple[Quantity, ...]:
    return (*one.points, *([one.every] if one.every is not None else []))


def _is_running_time(unit: Unit) -> bool:
    return unit in (UNITS["h"], COUNTER)


def _is_calendar(unit: Unit) -> bool:
    return unit.dimension is Dimension.CALENDAR


@rule(Severity.ERROR, Family.INTERVALS)
def interval_in_another_unit(subject: Subject) -> Iterator[Problem]:
    """An interval stands in a unit that its key does not count in.

    `hours:` counts running hours, `calendar:` months or years; a life or a tolerance counts
    either. Only so can the counter and the schedule be compared.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 12 months
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                calendar: every 12 months
                source: page 8
    """
    for task in every(subject.book, Task):
        for place, one in series(task):
            counts_hours = place[-1] == "hours"
            fit = _is_running_time if counts_hours else _is_calendar
            wrong = next((value for value in _quantities(one) if not fit(value.unit)), None)
            if wrong is not None:
                message = f"`{task.id}` counts `{place[-1]}:` in {wrong.unit or 'no unit'}"
                mend = "write it in h" if counts_hours else "write it in months or years"
                yield Problem(task.places.at(*place), message, mend)
        for key, value in (("life", task.life), ("tolerance", task.tolerance)):
            if value is not None and not (_is_running_time(value.unit) or _is_calendar(value.unit)):
                message = f"`{task.id}` counts its {key} in {value.unit}"
                yield Problem(task.places.at(key), message, "write it in h, months or years")


@rule(Severity.ERROR, Family.INTERVALS)
def series_out_of_order(subject: Subject) -> Iterator[Problem]:
    """The points of a series do not rise, or lie beyond the interval that follows them.

    `at 1, 5, 10 h, then every 25 h` is due at 1, 5, 10, 25, 50 hours; a first point beyond 25
    would jump back.

    Source: common practice, no source.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              propeller-bolts:
                title: Re-torque the propeller bolts
                about: The dealer does it.
                hours: at 1, 10, 5 h, then every 25 h
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              propeller-bolts:
                title: Re-torque the propeller bolts
                about: The dealer does it.
                hours: at 1, 5, 10 h, then every 25 h
                source: page 8
    """
    for task in every(subject.book, Task):
        for place, one in series(task):
            values = _quantities(one)
            if not all(value.unit.mixes(values[0].unit) for value in values):
                continue
            steps = list(pairwise(values))
            back = next(
                (two for two in steps if two[1].to(two[0].unit).value <= two[0].value), None
            )
            if back is not None:
                message = f"`{task.id}` is due at {back[0]} and then at {back[1]}"
                mend = "write the points in rising order, all below `every`"
                yield Problem(task.places.at(*place), message, mend)


@rule(Severity.ERROR, Family.INTERVALS)
def interval_without_length(subject: Subject) -> Iterator[Problem]:
    """An interval, a life or a tolerance is not above zero.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 0 h
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
        lengths = [(place, value) for place, one in series(task) for value in _quantities(one)]
        lengths += [((key,), getattr(task, key)) for key in ("life", "tolerance")]
        for place, value in lengths:
            if value is not None and value.value <= 0:
                message = f"`{place[-1]}:` of `{task.id}` says {value}"
                yield Problem(task.places.at(*place), message, "write a figure above zero")


@rule(Severity.ERROR, Family.INTERVALS)
def tolerance_too_wide(subject: Subject) -> Iterator[Problem]:
    """The tolerance of a task is as long as its interval, or longer.

    A whole interval, or the first one, could be left out without anyone overrunning it.

    Source: 14 CFR 91.409(b) grants 10 h on 100 h, as a measure.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 25 h
                tolerance: 25 h
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                about: The dealer does it.
                hours: every 25 h
                tolerance: 2 h
                source: page 8
    """
    for task in every(subject.book, Task):
        rounds = [value for _, one in series(task) for value in _quantities(one)]
        tolerance = task.tolerance
        if tolerance is None:
            continue
        alike = [one for one in rounds if one.unit.mixes(tolerance.unit)]
        shortest = min(alike, key=lambda one: one.to(tolerance.unit).value, default=None)
        if shortest is not None and tolerance.value >= shortest.to(tolerance.unit).value:
            message = f"`{task.id}` may be overrun by {tolerance}, it is due after {shortest}"
            yield Problem(task.places.at("tolerance"), message, "write a tolerance well below it")


@rule(Severity.ERROR, Family.INTERVALS)
def severe_interval_longer(subject: Subject) -> Iterator[Problem]:
    """Hard use has a longer interval than normal use.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              air-filter:
                title: Clean the air filter
                about: The dealer does it.
                hours: every 25 h
                severe: {when: flying from sand, hours: every 50 h}
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              air-filter:
                title: Clean the air filter
                about: The dealer does it.
                hours: every 25 h
                severe: {when: flying from sand, hours: every 10 h}
                source: page 8
    """
    for task in every(subject.book, Task):
        for key in ("hours", "calendar"):
            normal: Series | None = getattr(task, key)
            severe: Series | None = getattr(task.severe, key, None)
            if normal is None or severe is None or normal.every is None or severe.every is None:
                continue
            if not normal.every.unit.mixes(severe.every.unit):
                continue
            if severe.every.to(normal.every.unit).value >= normal.every.value:
                message = f"`{task.id}` is due every {severe.every} in hard use, every "
                message += f"{normal.every} in normal use"
                mend = "write the shorter interval under `severe:`"
                yield Problem(task.places.at("severe", key), message, mend)
