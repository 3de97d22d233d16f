"""The demo book holds what a real one would, and nothing is wrong with it."""

from __future__ import annotations

from collections import Counter

import pytest

from placardry.book.cards import Card
from placardry.book.controls import Control
from placardry.book.figures import Fact, Limit, Parameter, Scale
from placardry.book.instruments import Instrument
from placardry.book.machines import Airframe, Engine, Machine, ManualEntry, Option
from placardry.book.pages import Page
from placardry.book.procedures import Procedure
from placardry.book.record import Record
from placardry.book.sources import Document
from placardry.book.tasks import Fault, Task
from placardry.prepared import Prepared
from placardry.stated import parts_of


def count(demo: Prepared, kind: type[Record]) -> int:
    assert demo.book is not None
    return sum(map(len, demo.book.of(kind).values()))


def test_nothing_is_wrong_with_it(demo: Prepared) -> None:
    assert [f"{one.span} {one.message}" for one in demo.findings] == []


@pytest.mark.parametrize(
    ("kind", "least"),
    [
        (Airframe, 2),
        (Engine, 2),
        (Instrument, 2),
        (Machine, 3),
        (ManualEntry, 4),
        (Parameter, 14),
        (Fact, 60),
        (Control, 14),
        (Procedure, 20),
        (Task, 16),
        (Fault, 12),
        (Card, 8),
        (Document, 6),
        (Page, 10),
    ],
)
def test_it_is_large_enough_to_show_everything(
    demo: Prepared, kind: type[Record], least: int
) -> None:
    assert count(demo, kind) >= least


def test_it_holds_sixty_figures_that_are_limits(demo: Prepared) -> None:
    assert demo.book is not None
    scales = [one for statements in demo.book.of(Scale).values() for one in statements]
    assert count(demo, Limit) + sum(len(parts_of(one)) for one in scales) >= 60


def test_its_options_stand_in_all_four_states(demo: Prepared) -> None:
    assert demo.book is not None
    states = Counter(
        state
        for statements in demo.book.of(Machine).values()
        for machine in statements
        for state in (machine.options or {}).values()
    )
    assert set(states) == {"fitted", "supplied-loose", "kit", "announced"}
    assert count(demo, Option) >= 4


def test_one_machine_is_told_in_two_languages_and_two_markets_are_served(demo: Prepared) -> None:
    told = Counter(manual.machine.id for manual in demo.manuals)
    assert max(told.values()) >= 2
    assert {manual.language for manual in demo.manuals} == {"en", "de"}
    assert len({manual.market.id for manual in demo.manuals}) == 2


def test_its_tasks_use_every_kind_of_interval(demo: Prepared) -> None:
    assert demo.book is not None
    tasks = [one for statements in demo.book.of(Task).values() for one in statements]
    assert any(task.hours and task.hours.points and task.hours.every for task in tasks)
    assert any(task.hours and task.calendar for task in tasks)
    for key in ("calendar", "life", "severe", "tolerance", "after", "reject"):
        assert any(getattr(task, key) for task in tasks), key
    assert any(task.each == "flying-day" for task in tasks)
