"""Works and times to judge what is due of: every kind of interval, the edges more often."""

from __future__ import annotations

import random
from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from typing import Any

from placardry.book.tasks import Task
from placardry.due_points import Done, Now, Work, points_of
from placardry.wording.phrases import Speaker
from tests.books import manual

CASES = 1500
EDGES = (-1, 0, 0, 1, 2, 5, 15, 28, 30, 31)  # from where work falls due. Units: hours, or days
SOURCE = "title: Do it, about: All of it., source: page 3"
# Every kind of interval, and those that meet in one task.
INTERVALS = (
    "hours: every 25 h",
    "hours: every 25 h, tolerance: 2 h",
    "hours: every 25 h, tolerance: 2 h, overrun: not-deducted",
    "hours: every 12:30:00, tolerance: 0:45:00",
    'hours: "at 1, 5, 10 h, then every 25 h"',
    'hours: "at 1, 5, 10 h, then every 25 h", overrun: not-deducted',
    "hours: at 10 h, tolerance: 2 h",
    'hours: "at 5, 10 h"',
    "calendar: every 1 month",
    "calendar: every 12 months, end-of-month: yes",
    "calendar: every 12 months, tolerance: 1 month",
    "calendar: every 2 years, tolerance: 1 month, overrun: not-deducted",
    "calendar: every 6 months, end-of-month: yes, tolerance: 1 month",
    'calendar: "at 1, 3 months, then every 6 months"',
    "calendar: at 12 months",
    "life: 5 years",
    "life: 40 h, tolerance: 2 h",
    "hours: every 48 h, calendar: every 1 month, tolerance: 20 h",
    "hours: every 25 h, calendar: every 12 months, severe: {when: flying at sea, hours: every 5 h}",
    "life: 200 h, hours: every 50 h, tolerance: 5 h",
    "life: 3 years, calendar: every 12 months, end-of-month: yes, tolerance: 1 month",
    "hours: every 50 h, calendar: every 12 months, tolerance: 5 h",
    "hours: every 100 h, calendar: every 24 months, life: 6 years, end-of-month: yes",
    "hours: every 25 h, severe: {when: flying from sand, hours: every 5 h}",
    'hours: "at 2 h, then every 40 h", severe: {when: flying from sand, hours: every 10 h}',
    "calendar: every 12 months, severe: {when: flying at sea, calendar: every 3 months}",
    "hours: every 30 h, severe: {when: flying at sea, calendar: every 3 months}",
    "after: [a hard landing]",
    "calendar: every 3 months, after: [a hard landing, a fall]",
    "hours: every 25 h, after: [a fall], severe: {when: flying from sand, hours: every 5 h}",
    "hours: at 10 h, after: [a fall]",
    "each: flying-day",
    "each: flight, hours: every 25 h",
    "reject: wear",
)
FACTS = "document: marl-manual\nfacts:\n  wear: {minimum: 3 mm, name: wear, source: page 3}\n"


@cache
def speaker() -> Speaker:
    """A manual with a task of every kind."""
    tasks = "".join(f"  t{at}: {{{SOURCE}, {one}}}\n" for at, one in enumerate(INTERVALS))
    shown = {"tasks2": f"document: marl-manual\ntasks:\n{tasks}", "facts2": FACTS}
    return Speaker(manual(**shown))


class Draw:
    """Works and times to judge, the edges more often than chance would."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)  # noqa: S311 - a draw, no secret

    def maybe(self, value: Any, share: float = 0.8) -> Any:
        return value if self.rng.random() < share else None

    def day(self) -> date:
        day = date(2019, 1, 1) + timedelta(days=self.rng.randrange(3000))
        if self.rng.random() < 0.4:  # the ends of months are where calendars differ
            day = day.replace(day=1) - timedelta(days=self.rng.choice([0, 1, 1, 2, 3]))
        return day

    def hours(self) -> Fraction:
        return Fraction(self.rng.randrange(3600 * 120), self.rng.choice([3600, 3600, 10, 100, 1]))

    def work(self, task: Task) -> Work:
        if self.rng.random() < 0.25:
            return Work(self.rng.choice([None, ()]), self.rng.choice([True, False, False, None]))
        hours = self.rng.choice([self.hours() / 4, Fraction(self.rng.choice([1, 5, 10]))])
        done = Done(
            self.maybe(hours), self.maybe(self.day()),
            self.maybe(self.hours() / 4, 0.3), self.maybe(self.day(), 0.3),
        )  # fmt: skip
        return Work((done,), self.rng.choice([True, False, False, False, None]))

    def now(self, task: Task, work: Work) -> Now:
        new = Fraction(self.rng.choice([0, 0, 0, 7]), 2)
        now = Now(
            None, None, new, self.maybe(self.day(), 0.6), self.rng.choice([True, False, None])
        )
        points, _ = points_of(task, work, Now(None, None, new, now.new_on, now.severe is not False))
        hours, on = self.maybe(self.hours(), 0.9), self.maybe(self.day(), 0.9)
        if points and self.rng.random() < 0.7:
            near = self.rng.choice(points)
            if self.rng.random() < 0.3:  # near two of them at once
                on = next((one.on + timedelta(days=3) for one in points if one.on), on)
            if near.hours is not None:
                far = self.rng.choice([-near.length, -near.length / 10, *map(Fraction, EDGES)])
                hours = max(near.hours + far + Fraction(self.rng.choice([0, 0, 1]), 3600), new)
            if near.on is not None:
                days = self.rng.choice([-int(near.length) // 10, *EDGES])
                on = near.on + timedelta(days=days)
        return Now(hours, on, new, now.new_on, now.severe)


def cases() -> list[tuple[Task, Work, Now]]:
    """The cases, always the same."""
    draw = Draw(20260501)
    tasks = list(speaker().manual.of(Task).values())
    found = [drawn_by_hand(*one) for one in BY_HAND]
    for at in range(CASES):
        task = tasks[at % len(tasks)]
        work = draw.work(task)
        found.append((task, work, draw.now(task, work)))
    return found


MARCH = date(2026, 3, 1)
# What the draw meets too seldom.
BY_HAND = (
    # An overdue day outweighs hours in their tolerance, however far they are over.
    ("every 48 h, calendar", Done(Fraction(0), MARCH), Now(Fraction(63), date(2026, 4, 4))),
    # Done on the very day of a first point.
    ('"at 1, 3 months', Done(on=date(2026, 4, 1)), Now(None, date(2026, 5, 1), new_on=MARCH)),
    # Two answers are missing, of which one decides about the other's interval.
    ("12 months, severe", Done(Fraction(10)), Now(Fraction(16), MARCH, severe=None)),
)


def drawn_by_hand(interval: str, done: Done, now: Now) -> tuple[Task, Work, Now]:
    name = next(f"t{at}" for at, one in enumerate(INTERVALS) if interval in one)
    return speaker().manual.get(Task, name), Work((done,)), now
