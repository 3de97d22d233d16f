"""When work falls due, against the regulations' rule and their worked examples.

Source: 14 CFR 91.409(a) and (b), with the worked items of FAA knowledge tests (seen); the rows
stand in `data/intervals.csv`, each with its own source.
"""

from __future__ import annotations

import csv
import re
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from placardry.due_points import next_date, next_hours

DATA = (Path(__file__).parent / "data/intervals.csv").read_text("utf-8")
ROWS = {row["id"]: row for row in csv.DictReader(DATA.splitlines())}
HOURS = [row for row in ROWS.values() if row["topic"] == "interval"]
DATES = [
    row for row in ROWS.values() if row["topic"] == "interval-calendar" and row["unit"] == "date"
]


def named(row: dict[str, str]) -> str:
    return f"{row['id']} {row['source']}"


@pytest.mark.parametrize("row", HOURS, ids=named)
def test_an_overrun_is_taken_off_the_next_interval(row: dict[str, str]) -> None:
    read = re.fullmatch(r"due ([\d.]+), done ([\d.]+), interval ([\d.]+)", row["input"])
    assert read is not None
    due, done, every = map(Fraction, read.groups())
    again = next_hours(due, done, every, deducted=True)
    expected = Fraction(row["expected"])
    # One row gives the hours that are left, the others the hours at which it is due.
    assert (again - done if row["unit"] == "h available" else again) == expected


@pytest.mark.parametrize("row", DATES, ids=named)
def test_a_calendar_month_ends_with_its_last_day(row: dict[str, str]) -> None:
    start, months = re.match(r"(\S+) \+ (\d+) calendar months", row["input"]).groups()  # type: ignore[union-attr]
    again = next_date(date.fromisoformat(start), int(months), end_of_month=True)
    assert again.isoformat() == row["expected"]


def test_the_rows_are_all_there() -> None:
    assert len(HOURS) == 3
    assert len(DATES) == 2
