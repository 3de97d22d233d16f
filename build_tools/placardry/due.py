"""When maintenance work falls due: pure arithmetic on running hours and dates.

Hours are exact fractions. Of several intervals of a task the first to come counts.

Source: 14 CFR 91.409(b) for an overrun that is taken off the next interval, 14 CFR 91.409(a) for
a calendar interval that ends with the last day of its month.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from placardry.book.tasks import Series, Task
from placardry.quantity import Quantity
from placardry.units import UNITS, Dimension, convert

State = Literal["overdue", "in-tolerance", "due", "later", "every-time", "on-event", "unknown"]
# The most urgent first.
STATES: tuple[State, ...] = (
    "overdue", "in-tolerance", "due", "every-time", "later", "on-event", "unknown",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Done:
    """Work that was carried out: at which running hours, on which day; either may be unknown."""

    hours: Fraction | None = None
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Point:
    """Where one interval of a task falls due.

    Attributes:
        part: the interval: hours, calendar or life; once for the first points of a series
        interval: the interval that leads there, as written
        assumed: nothing was said of earlier work, so it counts from when the machine was new
    """

    part: str
    interval: Quantity
    hours: Fraction | None = None
    on: date | None = None
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Due:
    """What is to be said of one task.

    Attributes:
        points: where each of its intervals falls due
        first: the one that comes first
        left: hours, or days, until it; negative once it has passed
    """

    task: Task
    state: State
    points: tuple[Point, ...] = ()
    first: Point | None = None
    left: Fraction | None = None


def next_hours(due: Fraction, done: Fraction, every: Fraction, *, deducted: bool) -> Fraction:
    """The hours at which work is due again that was due at `due` and done at `done`.

    Work done early counts from when it was done; an overrun is taken off the next interval where
    it is deducted.

    Source: 14 CFR 91.409(b).
    """
    return (min(due, done) if deducted else done) + every


def next_date(done: date, months: int, *, end_of_month: bool) -> date:
    """The last day on which work done on a day may be done again.

    Source: 14 CFR 91.409(a) where the interval runs to the end of its month.
    """
    year, month = divmod(done.year * 12 + done.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, last if end_of_month else min(done.day, last))


def series_due(series: Series, history: Iterable[Fraction], *, deducted: bool) -> Fraction | None:
    """The hours at which a series falls due next; None where it has come to its end.

    Shape: `history` holds the hours at which the work was done, oldest first. Points count from
    new. What was done before the first of them is not known, so that one counts as done in time.
    """
    points = [_hours(point) for point in series.points]
    every = _hours(series.every) if series.every is not None else None
    due: Fraction | None = points[0] if points else every
    for number, done in enumerate(history):
        ahead = [point for point in points if point > done]
        if ahead:
            due = ahead[0]
        elif every is None:
            return None
        else:
            was_due = due if number and due is not None else done
            due = next_hours(was_due, done, every, deducted=deducted)
    return due


def due(task: Task, history: Iterable[Done], hours: Fraction, on: date, *, severe: bool) -> Due:
    """What is to be said of a task at these running hours on this day.

    Args:
        task: the task
        history: when it was done, oldest first; for a life, when the part was fitted
        hours: the machine's running hours
        on: the day
        severe: the machine is used hard, so its shorter intervals hold
    """
    points = tuple(_points(task, tuple(history), severe=severe))
    if not points:
        if task.each is not None:
            return Due(task, "every-time")
        return Due(task, "on-event" if task.after else "unknown")
    ranked = sorted(points, key=lambda point: _left(point, hours, on))
    first = ranked[0]
    left = _left(first, hours, on)
    return Due(task, _state(task, first, left), points, first, left)


def _points(task: Task, history: tuple[Done, ...], *, severe: bool) -> Iterable[Point]:
    harder = task.severe if severe else None
    series = (harder and harder.hours) or task.hours
    deducted = task.overrun == "deducted"
    if series is not None:
        done = [one.hours for one in history if one.hours is not None]
        at = series_due(series, done, deducted=deducted)
        if at is not None:
            once = next((point for point in series.points if _hours(point) == at), None)
            interval = once or series.every or series.points[-1]
            part = "hours" if once is None else "once"
            yield Point(part, interval, hours=at, assumed=not done)
    last = max((one.on for one in history if one.on is not None), default=None)
    months = (harder and harder.calendar) or task.calendar
    if months is not None and months.every is not None and last is not None:
        end = next_date(last, _months(months.every), end_of_month=task.end_of_month)
        yield Point("calendar", months.every, on=end)
    if task.life is None:
        return
    if task.life.unit.dimension is Dimension.CALENDAR:
        if last is not None:
            end = next_date(last, _months(task.life), end_of_month=task.end_of_month)
            yield Point("life", task.life, on=end)
    else:
        fitted = [one.hours for one in history if one.hours is not None]
        start = fitted[-1] if fitted else Fraction(0)
        yield Point("life", task.life, hours=start + _hours(task.life), assumed=not fitted)


def _hours(quantity: Quantity) -> Fraction:
    return convert(quantity.value, quantity.unit, UNITS["h"])


def _months(quantity: Quantity) -> int:
    return int(convert(quantity.value, quantity.unit, UNITS["month"]))


def _left(point: Point, hours: Fraction, on: date) -> Fraction:
    """Hours or days that are left; an hour counts as a day, for machines that fly now and then."""
    if point.hours is not None:
        return point.hours - hours
    return Fraction((point.on - on).days) if point.on is not None else Fraction(0)


def _state(task: Task, point: Point, left: Fraction) -> State:
    if left > 0:
        return "later"
    if left == 0:
        return "due"
    tolerance = task.tolerance
    in_hours = tolerance is not None and tolerance.unit.dimension is Dimension.DURATION
    if tolerance is not None and in_hours and point.hours is not None:
        return "in-tolerance" if -left <= _hours(tolerance) else "overdue"
    return "overdue"
