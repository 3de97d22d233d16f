"""What was not said is never taken for good news."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

from placardry.book.tasks import Task
from placardry.due import PRESSING, due
from placardry.due_points import Done, Now, Work
from tests.due_cases import Draw, speaker

TASKS = list(speaker().manual.of(Task).values())


def said(draw: Draw, work: Work, now: Now) -> tuple[Work, Now]:
    """Everything that was left out, said in some way that can be."""
    on = now.on or date(2030, 1, 1)
    hours = now.hours if now.hours is not None else now.new_hours + draw.hours()
    dated = [day for one in work.done or () for day in (one.on, one.due_on) if day is not None]
    newest = min([on, *dated])
    age = draw.rng.randrange(draw.rng.choice([100, 3000]))  # first points ask for a young machine
    new_on = now.new_on or newest - timedelta(days=age)
    severe = draw.rng.random() < 0.5 if now.severe is None else now.severe
    happened = draw.rng.random() < 0.5 if work.happened is None else work.happened
    done = work.done
    if done is None:
        done = () if draw.rng.random() < 0.3 else (Done(),)
    if done:
        one = done[0]
        share = Fraction(draw.rng.randrange(101), 100)
        at = one.hours if one.hours is not None else now.new_hours + (hours - now.new_hours) * share
        day = one.on or new_on + timedelta(days=draw.rng.randrange((on - new_on).days + 1))
        done = (replace(one, hours=at, on=day),)
    return Work(done, happened), Now(hours, on, now.new_hours, new_on, severe)


def is_possible(work: Work, now: Now) -> bool:
    """Whether nothing that was said lies after now, or before the machine was new."""
    one = work.done[0] if work.done else Done()
    days = [day for day in (now.new_on, one.due_on, one.on, now.on) if day is not None]
    counted = [now.new_hours, one.due, one.hours, now.hours]
    hours = [hours for hours in counted if hours is not None]
    return days == sorted(days) and hours == sorted(hours)


@pytest.mark.parametrize("seed", range(5))
def test_what_is_later_is_later_whatever_is_still_said(seed: int) -> None:
    draw = Draw(seed)
    tried = 0
    for task in TASKS * 20:
        work = draw.work(task)
        if draw.rng.random() < 0.5:
            work = Work(None, work.happened)
        now = draw.now(task, work)
        if not is_possible(work, now) or due(task, work, now).state in (*PRESSING, "unknown"):
            continue
        for _ in range(3):
            whole = said(draw, work, now)
            assert due(task, *whole).state not in PRESSING, (task.id, work, now, whole)
            tried += 1
    assert tried > 100
