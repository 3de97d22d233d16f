"""What is to be said of maintenance work: overdue, due, soon, later, or not known.

Of several intervals of a task the first to come counts. What was not said is never taken for good
news: a task is later only where it is so whatever the answer. `site/due.js` holds the same
arithmetic for owners; a test compares every verdict of the two.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from placardry.book.tasks import Task
from placardry.due_points import (
    Missing,
    Now,
    Point,
    Work,
    hours_of,
    months_of,
    next_date,
    points_of,
)
from placardry.units import Dimension

State = Literal[
    "overdue", "in-tolerance", "due", "soon", "unknown", "every-time", "later", "on-event", "done"
]
# The most urgent first.
STATES: tuple[State, ...] = (
    "overdue", "in-tolerance", "due", "soon", "unknown", "every-time", "later", "on-event", "done",
)  # fmt: skip
PRESSING: frozenset[State] = frozenset(["overdue", "in-tolerance", "due"])
# Due soon: a tenth of the interval is left, or less (our choice, no source).
SOON = Fraction(1, 10)


@dataclass(frozen=True, slots=True)
class Due:
    """What is to be said of one task.

    Attributes:
        points: where each of its intervals falls due
        first: the most urgent of them; None where an event decides, or where it is not known
        left: hours, or days, until it; negative once it has passed
        missing: what would have to be said, where it is not known
    """

    task: Task
    state: State
    points: tuple[Point, ...] = ()
    first: Point | None = None
    left: Fraction | None = None
    missing: tuple[Missing, ...] = ()


def due(task: Task, work: Work, now: Now) -> Due:
    """What is to be said of a task, as things stand.

    Where it was not said whether the machine is used hard, both are tried.
    """
    if task.severe is None or now.severe is not None:
        return _due(task, work, now)
    hard, usual = (_due(task, work, replace(now, severe=severe)) for severe in (True, False))
    if hard.state in PRESSING and usual.state not in PRESSING:
        missing: tuple[Missing, ...] = (*usual.missing, "severe")
        return Due(task, "unknown", usual.points, missing=missing)
    return usual if usual.state in PRESSING else hard


def _due(task: Task, work: Work, now: Now) -> Due:
    points, missing = points_of(task, work, now)
    known: list[tuple[int, Fraction, Point]] = []
    for point in points:
        left = point.left(now.hours, now.on)
        state = _state(task, point, left) if left is not None else "unknown"
        by_hours = point.hours is not None
        if left is None:
            missing.append("hours-now" if by_hours else "date-now")
        elif point.assumed and state in PRESSING:
            missing.append("hours-done" if by_hours else "date-done")
        else:
            known.append((STATES.index(state), left, point))
    # An hour counts as a day, for machines that fly now and then.
    worst = min(known, key=lambda one: one[:2], default=None)
    state = STATES[worst[0]] if worst else _without_points(task)
    if state not in PRESSING:
        if task.after and work.happened:
            return Due(task, "due", tuple(points))
        if task.after and work.happened is None:
            missing.append("event")
        if state == "unknown" and not missing:
            missing.append("wear")
        if missing:
            return Due(task, "unknown", tuple(points), missing=tuple(dict.fromkeys(missing)))
    _, left, first = worst or (0, None, None)
    return Due(task, state, tuple(points), first, left)


def _without_points(task: Task) -> State:
    """What is said of a task of which nothing falls due at known hours or on a known day."""
    if task.each is not None:
        return "every-time"
    if task.after:
        return "on-event"
    return "done" if task.hours or task.calendar or task.life else "unknown"


def _state(task: Task, point: Point, left: Fraction) -> State:
    if left > 0:
        return "soon" if left <= point.length * SOON else "later"
    if left == 0:
        return "due"
    tolerance = task.tolerance
    # A life is a limit: no tolerance makes it longer.
    if tolerance is None or point.part == "life":
        return "overdue"
    allowed: Fraction | None = None
    if tolerance.unit.dimension is not Dimension.CALENDAR:
        allowed = hours_of(tolerance) if point.hours is not None else None
    elif point.on is not None:
        end = next_date(point.on, months_of(tolerance), end_of_month=False)
        allowed = Fraction((end - point.on).days)
    return "in-tolerance" if allowed is not None and -left <= allowed else "overdue"
