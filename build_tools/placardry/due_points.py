"""Where each interval of a task falls due: pure arithmetic on running hours and dates.

Hours are exact fractions. Knows nothing of what is said about it: `due` judges.

Source: 14 CFR 91.409(b) for an overrun that is taken off the next interval, 14 CFR 91.409(a) for
a calendar interval that ends with the last day of its month.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction
from typing import Literal

from placardry.book.tasks import Series, Task
from placardry.finding import light
from placardry.quantity import Quantity
from placardry.units import UNITS, Dimension, convert

Part = Literal["hours", "calendar", "life"]
Missing = Literal[
    "hours-now", "date-now", "hours-done", "date-done", "date-new", "event", "severe", "wear"
]


@light
class Done:
    """Work that was carried out: at which running hours, on which day; either may be unknown.

    Attributes:
        due: the hours at which it had been due, where it was done late
        due_on: the day on which it had been due, where it was done late
    """

    hours: Fraction | None = None
    on: date | None = None
    due: Fraction | None = None
    due_on: date | None = None


@light
class Work:
    """What is known of the work of one task.

    Attributes:
        done: oldest first; for a life, when the part was fitted; empty if never since new, None if
            nothing was said
        happened: one of the events that call for it has happened since; None if not said
    """

    done: tuple[Done, ...] | None = None
    happened: bool | None = None


@light
class Now:
    """How things stand with the machine; None for what was not said.

    Attributes:
        new_hours: what the counter showed when the machine was new
        new_on: the day on which it was new
        severe: it is used hard, so its shorter intervals hold
    """

    hours: Fraction | None
    on: date | None
    new_hours: Fraction = Fraction(0)
    new_on: date | None = None
    severe: bool | None = False


@light
class Point:
    """Where one interval of a task falls due: at hours, or by a day.

    Attributes:
        once: it is one of the first points of a series
        interval: the interval that leads there, as written
        length: of the interval. Units: hours, or days
        assumed: nothing was said of earlier work, so it counts from when the machine was new,
            which is the earliest that it can be
    """

    part: Part
    interval: Quantity
    length: Fraction
    hours: Fraction | None = None
    on: date | None = None
    once: bool = False
    assumed: bool = False

    def left(self, hours: Fraction | None, on: date | None) -> Fraction | None:
        """Hours or days until it; None where what it counts in is not known."""
        if self.hours is not None:
            return self.hours - hours if hours is not None else None
        return Fraction((self.on - on).days) if self.on is not None and on is not None else None


def next_hours(due: Fraction, done: Fraction, every: Fraction, *, deducted: bool) -> Fraction:
    """The hours at which work is due again that was due at `due` and done at `done`.

    Work done early counts from when it was done; an overrun is taken off the next interval where
    it is deducted.

    Source: 14 CFR 91.409(b).
    """
    return (min(due, done) if deducted else done) + every


def next_date(done: date, months: int, *, end_of_month: bool) -> date:
    """The last day on which work done on a day may be done again.

    A day that the last month does not have becomes its last one.

    Source: 14 CFR 91.409(a) where the interval runs to the end of its month.
    """
    year, month = divmod(done.year * 12 + done.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, last if end_of_month else min(done.day, last))


def series_due(series: Series, history: Iterable[Fraction], *, deducted: bool) -> Fraction | None:
    """The hours at which a series falls due next; None where it has come to its end.

    Shape: `history` holds the hours at which the work was done, oldest first. Points count from
    new. What was done before the first of them is not known, so that one counts as done in time.
    Work that is done once may be done early; else work counts for no point that lies ahead of it.
    """
    points = [hours_of(point) for point in series.points]
    every = hours_of(series.every) if series.every is not None else None
    due: Fraction | None = points[0] if points else every
    for number, done in enumerate(history):
        ahead = [point for point in points if point > done]
        if ahead and not _is_once(series):
            due = ahead[0]
        elif every is None:
            return None
        else:
            was_due = due if number and due is not None else done
            due = next_hours(was_due, done, every, deducted=deducted)
    return due


def points_of(task: Task, work: Work, now: Now) -> tuple[list[Point], list[Missing]]:
    """Where the intervals of a task fall due, and what is not known of those left out.

    Of normal and hard use the point counts that comes first: hard use keeps the first points too.
    """
    points: list[Point] = []
    missing: list[Missing] = []
    for part, several in _intervals(task, now):
        falls = [_falls(task, part, one, work, now) for one in several]
        missing += [one for one in falls if isinstance(one, str)]
        known = [one for one in falls if isinstance(one, Point)]
        points += sorted(known, key=lambda one: (one.hours or 0, one.on or date.min))[:1]
    return points, missing


def hours_of(quantity: Quantity) -> Fraction:
    """Running hours of a quantity in hours, or of a counter."""
    return convert(quantity.value, quantity.unit, UNITS["h"])


def months_of(quantity: Quantity) -> int:
    """Whole months of a quantity in months or years; a part of one is dropped."""
    return int(convert(quantity.value, quantity.unit, UNITS["month"]))


def _intervals(task: Task, now: Now) -> Iterator[tuple[Part, list[Series]]]:
    harder = task.severe if now.severe else None
    for part, usual, hard in (
        ("hours", task.hours, harder and harder.hours),
        ("calendar", task.calendar, harder and harder.calendar),
    ):
        yield part, [one for one in (usual, hard) if one is not None]  # type: ignore[misc]
    if task.life is not None:
        yield "life", [Series((), task.life)]


def _falls(task: Task, part: Part, series: Series, work: Work, now: Now) -> Point | Missing | None:
    unit = (series.every or series.points[0]).unit
    by_date = unit.dimension is Dimension.CALENDAR
    return (_falls_on if by_date else _falls_at)(task, part, series, work, now)


def _falls_at(task: Task, part: Part, series: Series, work: Work, now: Now) -> Point | None:
    deducted = task.overrun == "deducted" and part != "life"  # a life counts from the fitting
    done = [
        (one.hours if one.due is None or not deducted else min(one.hours, one.due)) - now.new_hours
        for one in work.done or ()
        if one.hours is not None
    ]
    at = series_due(series, done, deducted=deducted)
    if at is None:
        return None
    once = next((point for point in series.points if hours_of(point) == at), None)
    interval = once or series.every or series.points[-1]
    assumed = not done and work.done != ()
    return Point(
        part, interval, hours_of(interval), at + now.new_hours, None, once is not None, assumed
    )


def _falls_on(
    task: Task, part: Part, series: Series, work: Work, now: Now
) -> Point | Missing | None:
    dated = [(one.on, one.due_on or one.on) for one in work.done or () if one.on is not None]
    last, was_due = max(dated, default=(None, None))
    if now.new_on is None and (last is None or series.points):
        return "date-done" if last is None and work.done != () else "date-new"
    if last is not None and _is_once(series):
        return None

    def point(start: date, interval: Quantity, *, once: bool) -> Point:
        to_the_end = task.end_of_month and part == "calendar"
        end = next_date(start, months_of(interval), end_of_month=to_the_end)
        assumed = last is None and work.done != ()
        return Point(part, interval, Fraction((end - start).days), None, end, once, assumed)

    first = [point(now.new_on, one, once=True) for one in series.points if now.new_on is not None]
    ahead = [one for one in first if last is None or (one.on is not None and one.on > last)]
    if ahead or series.every is None:
        return ahead[0] if ahead else None
    start = last or now.new_on
    if last is not None and was_due is not None and task.overrun == "deducted" and part != "life":
        start = min(last, was_due)
    return point(start, series.every, once=False) if start is not None else None


def _is_once(series: Series) -> bool:
    return len(series.points) == 1 and series.every is None
