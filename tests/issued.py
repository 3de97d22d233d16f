"""Books with a card and issued editions, for tests of what was issued."""

from __future__ import annotations

from datetime import date

from placardry.prepared import Prepared, judge
from placardry.release import release, withdraw
from tests.books import files

CARD = """\
card: limits
title: Limits
size: A6 landscape
audience: pilot
place: on the panel
shows:
  - {scales: [coolant]}
  - {limits: [engine-speed-maximum]}
"""
Files = dict[str, bytes]


def start() -> Files:
    """The specimen with a card, nothing issued."""
    return {**files(), "procedures/cards/limits.yaml": CARD.encode()}


def edited(book: Files, old: str, new: str) -> Files:
    """The book with other words in its limits."""
    path = "procedures/coolant.yaml"
    assert old.encode() in book[path]
    return {**book, path: book[path].replace(old.encode(), new.encode())}


def prepared(book: Files) -> Prepared:
    """The book, which must be in order."""
    found = judge(book)
    assert [f"{one.span} {one.message}" for one in found.findings] == []
    return found


def issue(
    book: Files, day: str = "2026-02-01", summary: str = "First issue.", *, again: bool = False
) -> Files:
    """The book with the entry that issues it."""
    path, data = release(
        prepared(book),
        by="A. Reviewer",
        author="B. Writer",
        summary=summary,
        on=date.fromisoformat(day),
        again=again,
    )
    assert path not in book
    return {**book, path: data}


def withdrawn(book: Files, number: int, day: str = "2026-05-01") -> Files:
    """The book with the entry that withdraws an edition."""
    path, data = withdraw(
        prepared(book), number, by="A. Reviewer", because="Wrong.", on=date.fromisoformat(day)
    )
    assert path not in book
    return {**book, path: data}


def twice() -> Files:
    """Two editions; the second lowers the red line from 90 to 89 °C."""
    lower = edited(issue(start()), "red from 90 degC", "red from 89 degC")
    return issue(lower, "2026-03-01", "The red line is lower.")


def thrice() -> Files:
    """Three editions; the second and the third each lower the red line by one."""
    lower = edited(twice(), "red from 89 degC", "red from 88.5 degC")
    return issue(lower, "2026-04-01", "The red line is lower still.")
