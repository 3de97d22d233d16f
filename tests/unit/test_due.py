from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import date, datetime, tzinfo
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from placardry import cli
from placardry.book.tasks import Series, Task
from placardry.cli import commands
from placardry.due import Due, due
from placardry.due_points import Done, Now, Work, next_date, series_due
from placardry.errors import PlacardryError
from placardry.files import write_tree
from placardry.schedule import MISSING, SAID, hours_of
from tests.books import files, manual

TASKS = """\
document: marl-manual
tasks:
  bolts:
    title: Torque the bolts
    about: With the wrench.
    hours: at 5, 10 h, then every 25 h
    tolerance: 2 h
    source: page 3
  drain:
    title: Change the coolant
    about: Drain it cold.
    hours: every 100 h
    calendar: every 24 months
    end-of-month: yes
    source: page 3
  belt:
    title: Fit a new belt
    about: See the maker's manual.
    life: 5 years
    source: page 3
  rope:
    title: Fit a new rope
    about: With its hooks.
    hours: every 108 h
    calendar: every 1 month
    life: 3 years
    end-of-month: yes
    tolerance: 10 h
    source: page 3
  hose: {title: Fit a new hose, about: Whole., hours: every 150 h, life: 200 h, tolerance: 5 h,
         source: page 3}
  papers: {title: Renew the papers, about: At the office., calendar: every 12 months,
           tolerance: 1 month, source: page 3}
  first: {title: First inspection, about: By the dealer., hours: at 10 h, source: page 3}
  knock: {title: Look for cracks, about: Everywhere., after: [a hard landing], source: page 3}
  filter:
    title: Clean the filter
    about: With air.
    hours: at 2 h, then every 40 h
    severe: {when: flying from sand, hours: every 25 h}
    source: page 3
  pads: {title: Look at the pads, about: By eye., reject: pads-worn, source: page 3}
  daily: {title: Look it over, about: Every part., each: flying-day, source: page 3}
  plug:
    title: Change the plug
    about: When it is cold.
    hours: every 50 h
    severe: {when: flying from sand, hours: every 25 h}
    overrun: not-deducted
    source: page 3
"""
FACTS = """\
document: marl-manual
facts:
  pads-worn: {minimum: 3 mm, name: pads, source: page 3}
"""
TODAY = date(2026, 5, 1)


@cache
def tasks() -> Mapping[str, Task]:
    return manual(tasks2=TASKS, facts2=FACTS).of(Task)


def judged(
    name: str,
    hours: float | None,
    *done: Done,
    said: bool = True,
    happened: bool | None = None,
    new_on: date | None = None,
    severe: bool | None = False,
) -> Due:
    """A task judged on `TODAY`; without `said` nothing is known of earlier work."""
    counted = None if hours is None else Fraction(str(hours))
    now = Now(counted, TODAY, new_on=new_on, severe=severe)
    return due(tasks()[name], Work(done if said else None, happened), now)


def at(hours: float, **more: Any) -> Done:
    return Done(Fraction(str(hours)), **more)


@pytest.mark.parametrize(
    ("text", "history", "deducted", "expected"),
    [
        ("every 25 h", [], True, 25),
        ("every 25 h", [27], True, 52),  # what was done before is not known
        ("every 25 h", [27, 53], True, 77),  # due at 52, the hour over is taken off
        ("every 25 h", [27, 53], False, 78),
        ("every 25 h", [27, 50], True, 75),  # early: from when it was done
        ("at 1, 5, 10 h, then every 25 h", [], True, 1),
        ("at 1, 5, 10 h, then every 25 h", [Fraction(11, 10)], True, 5),
        ("at 1, 5, 10 h, then every 25 h", [1, 5, 10], True, 35),
        ("at 1, 5, 10 h, then every 25 h", [1, 5, 10, 36], True, 60),
        ("at 1, 5, 10 h, then every 25 h", [36], True, 61),
        ("at 10 h", [10], True, None),
        ("at 10 h", [9], True, None),  # early, but done
        ("at 5, 10 h", [9], True, 10),
        ("at 5, 10 h", [5, 10], True, None),
    ],
)
def test_a_series(text: str, history: list[Fraction], deducted: bool, expected: int | None) -> None:
    assert series_due(Series.parse(text), history, deducted=deducted) == expected


def test_the_first_to_come_counts() -> None:
    done = at(10, on=date(2024, 5, 20))
    found = judged("drain", 40, done)
    assert found.first is not None
    assert (found.state, found.first.on) == ("soon", date(2026, 5, 31))
    found = judged("drain", 112, done)
    assert found.first is not None
    assert found.state == "overdue"
    assert [found.first.hours, found.left] == [110, -2]


def test_an_overdue_day_outweighs_hours_in_their_tolerance() -> None:
    found = judged("rope", 119, at(10, on=date(2026, 3, 30)))
    assert (found.state, found.first and found.first.part) == ("overdue", "calendar")


@pytest.mark.parametrize(
    ("hours", "state"),
    [(32, "later"), (32.5, "soon"), (34.9, "soon"), (35, "due"), (37, "in-tolerance"),
     (37.1, "overdue")],
)  # fmt: skip
def test_a_tolerance_is_said_as_such(hours: float, state: str) -> None:
    assert judged("bolts", hours, at(10)).state == state


@pytest.mark.parametrize(("day", "state"), [(1, "in-tolerance"), (31, "overdue")])
def test_a_tolerance_of_months_holds_for_days(day: int, state: str) -> None:
    done = Done(on=date(2025, 3 if day == 31 else 4, day))
    assert judged("papers", 20, done).state == state


def test_severe_use_shortens_the_interval() -> None:
    normal, severe = (judged("plug", 60, at(50), severe=severe) for severe in (False, True))
    assert [one.first and one.first.hours for one in (normal, severe)] == [100, 75]


def test_hard_use_keeps_the_first_points() -> None:
    found = judged("filter", 3, severe=True)
    assert found.first is not None
    assert (found.state, found.first.hours) == ("overdue", Fraction(2))


def test_a_late_work_is_taken_off_the_next_interval() -> None:
    for name, expected in (("bolts", 60), ("plug", 87)):
        found = judged(name, 40, at(37, due=Fraction(35)))
        assert found.first is not None
        assert found.first.hours == expected


def test_a_life_counts_from_when_the_part_was_fitted() -> None:
    found = judged("belt", 60, at(0, on=date(2021, 4, 30)))
    assert found.first is not None
    assert (found.state, found.first.on) == ("overdue", date(2026, 4, 30))


def test_no_tolerance_and_no_end_of_a_month_lengthens_a_life() -> None:
    found = judged("rope", 20, at(10, on=date(2026, 4, 30)))
    life = found.points[-1]
    assert (life.part, life.on) == ("life", date(2029, 4, 30))
    assert judged("hose", 201, at(0)).state == "overdue"


def test_what_is_done_every_time_has_no_date() -> None:
    assert judged("daily", 60, said=False).state == "every-time"


def test_what_is_done_once_is_not_due_again() -> None:
    assert judged("first", 40, at(9.5)).state == "done"
    assert judged("first", 40).state == "overdue"
    assert judged("first", 9.5, said=False).state == "soon"


@pytest.mark.parametrize(
    ("found", "missing"),
    [
        (lambda: judged("bolts", 30, said=False), ["hours-done"]),
        (lambda: judged("bolts", None, at(10)), ["hours-now"]),
        (lambda: judged("drain", 30, at(10)), ["date-done"]),
        (lambda: judged("drain", 30), ["date-new"]),
        (lambda: judged("papers", 30, said=False, new_on=date(2020, 1, 1)), ["date-done"]),
        (lambda: judged("knock", 30, said=False), ["event"]),
        (lambda: judged("plug", 80, at(50), severe=None), ["severe"]),
        (lambda: judged("pads", 80, at(50)), ["wear"]),
    ],
)
def test_what_is_missing_is_asked_for(found: Callable[[], Due], missing: list[str]) -> None:
    one = found()
    assert (one.state, list(one.missing)) == ("unknown", missing)
    assert set(missing) <= set(MISSING)
    assert one.state in SAID


def test_what_cannot_be_due_whatever_is_missing_is_later() -> None:
    assert judged("bolts", 1, said=False).state == "later"  # the first point is 5 h
    assert judged("plug", 60, at(50), severe=None).state == "later"
    assert judged("drain", 111, at(10)).state == "overdue"  # whatever the date


def test_an_event_calls_for_its_work() -> None:
    assert judged("knock", 30, said=False, happened=True).state == "due"
    assert judged("knock", 30, said=False, happened=False).state == "on-event"


@pytest.mark.parametrize(
    ("done", "months", "end", "expected"),
    [
        (date(2026, 1, 31), 1, False, date(2026, 2, 28)),
        (date(2026, 12, 15), 1, False, date(2027, 1, 15)),
        (date(2024, 2, 29), 12, False, date(2025, 2, 28)),
        (date(2024, 2, 29), 12, True, date(2025, 2, 28)),
    ],
)
def test_months_have_their_own_length(done: date, months: int, end: bool, expected: date) -> None:
    assert next_date(done, months, end_of_month=end) == expected


@pytest.fixture
def book(tmp_path: Path) -> str:
    write_tree(tmp_path, files(tasks2=TASKS, facts2=FACTS))
    return str(tmp_path)


def test_the_command_lists_the_most_urgent_first(
    book: str, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["due", "--book", book, "--machine", "tern", "--hours", "38:30:00"]
    arguments += ["--on", str(TODAY)]
    assert cli.main([*arguments, "--done", "bolts=10,2026-01-05"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("overdue\n  Torque the bolts (bolts): at 35.0 h (every 25 h)\n")
    assert max(map(len, out.splitlines())) <= 80
    assert cli.main([*arguments, "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["hours"] == "77/2"
    assert {one["task"]: one["state"] for one in told["due"]}["daily"] == "every-time"


def test_today_is_what_the_clock_says_not_the_date_of_the_book(
    book: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    class Clock(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> Clock:
            return cls(2031, 7, 2, 12, tzinfo=tz)

    monkeypatch.setattr(commands, "datetime", Clock)
    arguments = ["due", "--book", book, "--machine", "tern", "--hours", "38.5", "--format", "json"]
    assert cli.main([*arguments, "--done", "papers=3,2030-05-01"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["on"] == "2031-07-02"
    assert {one["task"]: one["state"] for one in told["due"]}["papers"] == "overdue"
    assert cli.main([*arguments, "--done", "papers=3,2031-07-03"]) == 2
    assert "after the date of today, 2031-07-02" in capsys.readouterr().err


def test_the_command_is_told_what_never_was_and_what_happened(
    book: str, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["due", "--book", book, "--machine", "tern", "--hours", "38.5", "--on", str(TODAY)]
    arguments += ["--new", "2026-01-31", "--done", "papers=never", "--done", "bolts=never"]
    assert cli.main([*arguments, "--event", "knock=yes"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "overdue Torque the bolts (bolts): at 5.0 h from new" in out
    assert "due now Look for cracks (knock): called for by an event" in out
    assert "Renew the papers (papers): by 2027-01-31 (every 12 months)" in out
    assert "--done filter=HOURS,DATE, or --done filter=never" in out


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["--machine", "turn", "--hours", "3"], "did you mean `tern`"),
        (["--machine", "tern", "--hours", "3,5"], "`3.5`"),
        (["--machine", "tern", "--hours", "3", "--done", "bolt=1"], "did you mean `bolts`"),
        (["--machine", "tern", "--hours", "3", "--done", "bolts=1,soon"], "2026-05-01"),
        (["--machine", "tern", "--hours", "3", "--event", "knock=maybe"], "`knock=yes`"),
        (["--machine", "tern", "--hours", "3", "--done", "bolts=3.1"], "engine hours now, 3.0"),
        (
            [
                "--machine",
                "tern",
                "--hours",
                "3",
                "--on",
                "2026-05-01",
                "--done",
                "bolts=,2026-05-02",
            ],
            "after the date of today, 2026-05-01",
        ),
        (
            ["--machine", "tern", "--hours", "3", "--on", "2026-05-01", "--new", "2036-05-01"],
            "the machine was new on 2036-05-01, after",
        ),
    ],
)
def test_a_wrong_word_is_refused_with_a_mend(
    book: str, given: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["due", "--book", book, *given]) == 2
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("text", ["-5", "x", "3 kg"])
def test_hours_are_as_the_counter_shows_them(text: str) -> None:
    with pytest.raises(PlacardryError, match=r"such as `25\.5`"):
        hours_of(text)
