"""The harness measures what it says: its books are valid and as large as promised."""

from __future__ import annotations

import cProfile
import pstats
import time
from collections.abc import Callable, Mapping
from importlib import import_module

import pytest

from placardry.book.figures import Limit
from placardry.book.procedures import Procedure
from placardry.changes import ChangeKind, Side, changes
from placardry.changes.affected import Touched, affected
from placardry.figures import Figure
from placardry.loader import load
from placardry.pages import PageFile, chapters
from placardry.prepared import judge
from placardry.resolve import Manual, resolve
from placardry.review.touched import touched
from placardry.rules.registry import Subject
from placardry.rules.registry import run as run_rules
from placardry.wording.phrases import Speaker
from tests.bench.generate import LINES, OF_AN_ENGINE, book, fleet, in_two_units, respelt
from tests.bench.timing import PYTHON, Failed, least, seconds


def test_a_generated_book_is_valid() -> None:
    loaded, findings = load(book(3))
    assert loaded is not None
    assert findings == ()


def test_a_generated_fleet_is_valid_and_as_large_as_promised() -> None:
    prepared = judge(fleet(6, 40, 10))
    assert {one.rule.name for one in prepared.findings} <= {"missing-section"}
    assert len(prepared.manuals) == 10
    assert [len(one.of(Procedure)) for one in prepared.manuals] == [3] * 10
    assert [len(one.of(Limit)) for one in prepared.manuals] == [20] * 10


def test_machines_that_differ_in_names_share_their_figures_and_runs() -> None:
    files = fleet(2, 40, 10)
    loaded, _ = load(files)
    assert loaded is not None
    subject = Subject(loaded, *resolve(loaded), loaded.settings.dated)
    assert len(subject.views) == 10 // OF_AN_ENGINE
    assert len({id(one) for one in subject.figures.values()}) == 10 // OF_AN_ENGINE
    fleets = {one.machine.engine: subject.runs[one.id] for one in subject.manuals}
    assert all(subject.runs[one.id] is fleets[one.machine.engine] for one in subject.manuals)


def test_one_view_of_like_machines_finds_what_all_of_them_find() -> None:
    files = fleet(6, 40, 10)
    limits = files["procedures/limits/e1.yaml"].replace(b"maximum: 25 bar", b"minimum: 200 bar", 1)
    loaded, _ = load({**files, "procedures/limits/e1.yaml": limits})
    assert loaded is not None
    given = (loaded, *resolve(loaded), loaded.settings.dated)
    found = {frozenset(run_rules(subject)) for subject in (Subject(*given), _AllViews(*given))}
    assert len(found) == 1
    assert any(one.rule.name == "implausible-figure" for one in found.pop())


class _AllViews(Subject):
    """Every manual is a view of its own."""

    views = property(lambda self: self.manuals)


def test_the_work_grows_as_the_fleet() -> None:
    small, double = (calls(fleet(10 * size, 100 * size, 5 * size)) for size in (2, 4))
    assert double / small < 2.3


def test_like_machines_are_compared_once_and_all_are_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []

    def counted(manual: Manual, touched: Touched) -> dict[tuple[str, str], Figure]:
        asked.append(manual.id)
        return affected(manual, touched)

    # The package has a function of the same name as this module.
    monkeypatch.setattr(import_module("placardry.changes.compared"), "affected", counted)
    files = fleet(2, 40, 10)
    found = changes(side(files), side(in_two_units(files)))
    assert len(asked) == 2 * 10 // OF_AN_ENGINE
    shown = [one for one in found if one.kind is ChangeKind.PUBLISHED]
    assert len(shown) == 40
    assert {len(one.machines) for one in shown} == {OF_AN_ENGINE}
    assert len({name for one in shown for name in one.manuals}) == 10


def test_what_two_sides_share_is_read_and_judged_once() -> None:
    files = fleet(4, 400, 20)
    edited = respelt(files)
    alone = calls(edited)
    known = judge(files)
    assert calls(edited, None, (), known) < 0.7 * alone


def test_the_pages_of_like_machines_are_written_once(monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []

    def counted(speaker: Speaker) -> Mapping[str, PageFile]:
        written.append(speaker.manual.id)
        return chapters(speaker)

    # The package has a function of the same name as this module.
    monkeypatch.setattr(import_module("placardry.review.touched"), "chapters", counted)
    files = fleet(2, 40, 10)
    before, after = judge(files), judge(in_two_units(files))
    names = [manual.id for manual in before.manuals]
    found = touched(before, after, names)
    assert len(written) == 2 * 10 // OF_AN_ENGINE
    assert {f"{name}/limits.html" for name in names} <= {one.path for one in found.pages}
    assert found.unread == ()


def test_comparing_costs_less_than_reading_both_sides() -> None:
    files = fleet(10, 200, 10)
    both = 2 * calls(files, run=load)
    before = side(files)
    assert calls(before, side(respelt(files)), run=changes) < both
    assert calls(before, side(in_two_units(files)), run=changes) < 2 * both


def side(files: dict[str, bytes]) -> Side:
    """A generated book as one side of a comparison."""
    loaded, _ = load(files)
    assert loaded is not None
    return Side(book=loaded, manuals=resolve(loaded)[0])


def calls(*given: object, run: Callable[..., object] = judge) -> int:
    """How many functions of ours a check calls, which is the same on every machine."""
    profile = cProfile.Profile(builtins=False)
    profile.runcall(run, *given)
    return int(pstats.Stats(profile).total_calls)  # type: ignore[attr-defined]


def test_a_generated_procedure_has_its_lines() -> None:
    procedures = [data for path, data in book(3).items() if "/operation/" in path]
    assert [data.count(b"\n") for data in procedures] == [LINES] * 3


def test_a_command_that_fails_is_not_timed() -> None:
    with pytest.raises(Failed, match=r"sys\.exit"):
        seconds((PYTHON, "-c", "import sys; sys.exit(1)"))


def test_the_slower_command_takes_longer() -> None:
    quick, slow = least([(PYTHON, "-c", "pass"), (PYTHON, "-c", "import time; time.sleep(0.5)")], 3)
    assert quick < slow


def test_a_function_is_timed_in_this_process() -> None:
    assert 0.01 <= seconds(lambda: time.sleep(0.01)) < 1


def test_both_makers_set_the_same_cards() -> None:
    # In a process of its own: a process in which Typst has begun its threads must not be forked.
    assert seconds((PYTHON, "-m", "tests.bench.cards")) > 0
