from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from placardry import cli
from placardry.book.tasks import Series, Task
from placardry.due import Done, due, next_date, series_due
from placardry.errors import PlacardryError
from placardry.files import write_tree
from placardry.schedule import hours_of
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
  daily: {title: Look it over, about: Every part., each: flying-day, source: page 3}
  plug:
    title: Change the plug
    about: When it is cold.
    hours: every 50 h
    severe: {when: flying from sand, hours: every 25 h}
    overrun: not-deducted
    source: page 3
"""
TODAY = date(2026, 5, 1)


def task(name: str) -> Task:
    return manual(tasks2=TASKS).get(Task, name)


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
    ],
)
def test_a_series(text: str, history: list[Fraction], deducted: bool, expected: int | None) -> None:
    assert series_due(Series.parse(text), history, deducted=deducted) == expected


def test_the_first_to_come_counts() -> None:
    done = [Done(Fraction(10), date(2024, 5, 20))]
    found = due(task("drain"), done, Fraction(40), TODAY, severe=False)
    assert found.first is not None
    assert (found.state, found.first.on) == ("later", date(2026, 5, 31))
    found = due(task("drain"), done, Fraction(112), TODAY, severe=False)
    assert found.first is not None
    assert found.state == "overdue"
    assert [found.first.hours, found.left] == [110, -2]


def test_a_tolerance_is_said_as_such() -> None:
    done = [Done(Fraction(10))]
    states = [
        due(task("bolts"), done, Fraction(hours), TODAY, severe=False).state
        for hours in (34, 35, 37, 38)
    ]
    assert states == ["later", "due", "in-tolerance", "overdue"]


def test_severe_use_shortens_the_interval() -> None:
    done = [Done(Fraction(50))]
    normal = due(task("plug"), done, Fraction(60), TODAY, severe=False)
    severe = due(task("plug"), done, Fraction(60), TODAY, severe=True)
    assert [one.first and one.first.hours for one in (normal, severe)] == [100, 75]


def test_a_life_counts_from_when_the_part_was_fitted() -> None:
    fitted = [Done(Fraction(0), date(2021, 4, 30))]
    found = due(task("belt"), fitted, Fraction(60), TODAY, severe=False)
    assert found.first is not None
    assert (found.state, found.first.on) == ("overdue", date(2026, 4, 30))
    assert due(task("belt"), [], Fraction(60), TODAY, severe=False).state == "unknown"


def test_what_is_done_every_time_has_no_date() -> None:
    assert due(task("daily"), [], Fraction(60), TODAY, severe=False).state == "every-time"


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
    write_tree(tmp_path, files(tasks2=TASKS))
    return str(tmp_path)


def test_the_command_lists_the_most_urgent_first(
    book: str, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["due", "--book", book, "--machine", "tern", "--hours", "38:30:00"]
    assert cli.main([*arguments, "--done", "bolts=10,2026-01-05"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("overdue\n  Torque the bolts (bolts): at 35.0 h (every 25 h)\n")
    assert max(map(len, out.splitlines())) <= 80
    assert cli.main([*arguments, "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["hours"] == "77/2"
    assert {one["task"]: one["state"] for one in told["due"]}["daily"] == "every-time"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["--machine", "turn", "--hours", "3"], "did you mean `tern`"),
        (["--machine", "tern", "--hours", "3,5"], "`3.5`"),
        (["--machine", "tern", "--hours", "3", "--done", "bolt=1"], "did you mean `bolts`"),
        (["--machine", "tern", "--hours", "3", "--done", "bolts=1,soon"], "2026-05-01"),
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
