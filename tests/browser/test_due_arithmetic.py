"""The script of the due calculator says of every case what `placardry due` says."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest
from dateutil.relativedelta import relativedelta  # type: ignore[import-untyped]

from placardry.book.tasks import Task
from placardry.due import STATES, Due, due
from placardry.due_points import Now, Point, Work, next_date
from placardry.errors import PlacardryError
from placardry.schedule import hours_of
from placardry.site.due_page import task_data
from tests.architecture.source import PACKAGE
from tests.due_cases import Draw, cases, speaker

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def script(chromium: Browser) -> Iterator[Page]:
    """An empty page that has the arithmetic."""
    page = chromium.new_page()
    page.add_script_tag(path=PACKAGE / "site" / "due.js")
    yield page
    page.close()


def sent(task: Task, work: Work, now: Now) -> Mapping[str, Any]:
    """A case as the page would give it to the script."""
    done = work.done[0] if work.done else None
    return {
        "task": data_of(task.id),
        "never": work.done == (),
        "happened": work.happened,
        "done": done and [text(done.hours), text(done.on), text(done.due), text(done.due_on)],
        "now": [text(now.hours), text(now.on), text(now.new_hours), text(now.new_on)],
        "severe": now.severe,
    }


@cache
def data_of(name: str) -> Mapping[str, Any]:
    """A task as its page states it."""
    return task_data(speaker(), speaker().manual.get(Task, name), {}, {})


def text(value: Fraction | date | None) -> str | None:
    return None if value is None else str(value)


JUDGE = """text => JSON.parse(text).map(({ task, never, happened, done, now, severe }) => {
    const hours = (text) => text === null ? null : due.fraction(text);
    const day = (text) => text === null ? null : due.dayOf(text);
    const work = { never, happened, done: done && {
        hours: hours(done[0]), on: day(done[1]), due: hours(done[2]), dueOn: day(done[3]) } };
    const found = due.judge(task, work, { hours: hours(now[0]), on: day(now[1]),
        newHours: hours(now[2]), newOn: day(now[3]), severe });
    const said = (fraction) => fraction && fraction.join("/");
    return { state: found.state, missing: found.missing, left: said(found.left),
        first: found.points.indexOf(found.first),
        points: found.points.map((one) => [one.part, one.once, one.assumed, said(one.hours),
            one.on === null ? null : due.isoOf(one.on)]) };
})"""


def said(found: Due) -> Mapping[str, Any]:
    """What Python says, in the shape of the script's answer."""
    return {
        "state": found.state,
        "missing": list(found.missing),
        "left": found.left,
        "first": -1 if found.first is None else found.points.index(found.first),
        "points": [pointed(one) for one in found.points],
    }


def pointed(one: Point) -> list[Any]:
    on = None if one.on is None else one.on.isoformat()
    return [one.part, one.once, one.assumed, one.hours, on]


def exact(answer: dict[str, Any]) -> Mapping[str, Any]:
    """The script's answer with its fractions in lowest terms."""

    def fraction(text: str | None) -> Fraction | None:
        over, _, under = (text or "").partition("/")
        return Fraction(int(over), int(under)) if text else None

    points = [[*one[:3], fraction(one[3]), one[4]] for one in answer["points"]]
    return {**answer, "left": fraction(answer["left"]), "points": points}


def test_every_verdict_is_that_of_the_command(script: Page) -> None:
    drawn = cases()
    answers = script.evaluate(JUDGE, json.dumps([sent(*case) for case in drawn]))
    states: Counter[str] = Counter()
    for case, answer in zip(drawn, answers, strict=True):
        found = due(*case)
        assert exact(answer) == said(found), json.dumps(sent(*case), indent=1)
        states[found.state] += 1
    assert set(states) == set(STATES), "the draw leaves a verdict out"
    assert min(states.values()) >= 15, states


def test_months_are_those_of_an_independent_library(script: Page) -> None:
    """Source: dateutil's relativedelta; `day=31` is its way to the last day of a month."""
    draw = Draw(7)
    drawn = [(draw.day(), draw.rng.randrange(1, 130), draw.rng.random() < 0.5) for _ in range(500)]
    answers = script.evaluate(
        "cases => cases.map(([day, months, end]) => "
        "due.isoOf(due.nextDay(due.dayOf(day), months, end)))",
        [[day.isoformat(), months, end] for day, months, end in drawn],
    )
    for (day, months, end), answer in zip(drawn, answers, strict=True):
        expected = day + relativedelta(months=months, **({"day": 31} if end else {}))
        assert date.fromisoformat(answer) == expected
        assert next_date(day, months, end_of_month=end) == expected


@pytest.mark.parametrize(
    ("written", "hours"),
    [
        ("12.5", "25/2"), ("12,5", "25/2"), (" 12,50 h ", "25/2"), ("0", "0"), ("0.25", "1/4"),
        ("25:30", "51/2"), ("25:30:00", "51/2"), ("0:00:36", "1/100"), ("1250", "1250"),
        ("-5", "negative"), ("\u22125", "negative"), ("1,234", "ambiguous"),
        ("1.234,5", "hours"), ("1 234", "ambiguous"), ("25:70", "hours"), ("12 5", "hours"),
        ("twelve", "hours"), ("12.5.1", "hours"), ("1e3", "hours"), ("٢٥", "hours"),
    ],
)  # fmt: skip
def test_a_counter_is_read_as_people_write_it(script: Page, written: str, hours: str) -> None:
    found = script.evaluate(
        """text => {
        const found = due.hoursOf(text);
        return typeof found === "string" ? found : found.join("/");
    }""",
        written,
    )
    if hours[0].isdigit():
        assert Fraction(found) == Fraction(hours)
        try:  # what the command reads too, it reads alike
            assert hours_of(written.strip()) == Fraction(hours)
        except PlacardryError:
            assert "," in written or written.count(":") == 1
    else:
        assert found == hours


@pytest.mark.parametrize(
    "day", ["2026-02-30", "2025-02-29", "2026-13-01", "0026-05-01", "1.5.2026", ""]
)
def test_a_day_that_there_is_not_is_refused(script: Page, day: str) -> None:
    assert script.evaluate("day => due.dayOf(day)", day) is None
    assert script.evaluate("due.isoOf(due.dayOf('2024-02-29'))") == "2024-02-29"
