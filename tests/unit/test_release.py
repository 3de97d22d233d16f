"""Issuing editions: who may, of what, and that a crash leaves the old state or the new."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest

from placardry.cli import main
from placardry.editions import current_edition, current_for, issued_cards
from placardry.errors import EnvironmentFault, PlacardryError
from placardry.files import write_new
from placardry.prepared import judge
from placardry.release import release, withdraw
from placardry.standing import Issued, Standing
from tests.issued import edited, issue, prepared, start, twice, withdrawn

DAY = date(2026, 4, 1)


def test_the_same_book_gives_the_same_bytes() -> None:
    assert issue(start()) == issue(start())


@pytest.mark.parametrize(
    ("by", "author", "summary", "why"),
    [
        ("A. Reviewer", None, "New.", "--author"),
        ("A. Reviewer", "a.  reviewer", "New.", "wrote it"),
        (" ", "B. Writer", "New.", "--by"),
        ("A. Reviewer", "B. Writer", " \n", "--summary"),
    ],
)
def test_who_and_why_must_be_said(by: str, author: str | None, summary: str, why: str) -> None:
    with pytest.raises(PlacardryError, match=why):
        release(prepared(start()), by=by, author=author, summary=summary, on=DAY)


def test_a_book_with_an_error_is_not_issued() -> None:
    book = judge(edited(start(), "red from 90 degC", "red from 70 degC"))
    with pytest.raises(PlacardryError, match="only a book without errors"):
        release(book, by="A. Reviewer", author="B. Writer", summary="New.", on=DAY)


@pytest.mark.parametrize("summary", ["The red line is 89 °C now.", "See {coolant.red}."])
def test_a_summary_holds_no_figure_and_refers_to_none(summary: str) -> None:
    """Later it would say what no longer holds, and could not be corrected."""
    with pytest.raises(PlacardryError, match="summary"):
        issue(start(), summary=summary)


def test_nothing_new_and_earlier_days_are_refused() -> None:
    with pytest.raises(PlacardryError, match="nothing has changed since edition 1"):
        issue(issue(start()))
    changed = edited(issue(start(), "2026-02-01"), "red from 90 degC", "red from 89 degC")
    with pytest.raises(PlacardryError, match="before the last entry"):
        issue(changed, "2026-01-31")


def test_an_edition_is_withdrawn_once() -> None:
    book = withdrawn(twice(), 2)
    for number, why in ((2, "was withdrawn"), (7, "no edition 7")):
        with pytest.raises(PlacardryError, match=why):
            withdraw(prepared(book), number, because="Wrong.", on=date(2026, 6, 1))


def test_a_card_is_no_draft_while_the_rest_of_the_book_changes() -> None:
    book = issue(start())
    book["content/welcome.md"] += b"\nFly with care.\n"
    found = prepared(book)
    assert found.book is not None
    assert current_edition(found.book) is None
    assert current_for(found.book, found.manuals[0]) is None
    verdict = Issued(found.book).verdict(issued_cards(found.book, "tern-eu")["limits"][0])
    assert verdict.standing is Standing.CURRENT


def test_a_withdrawn_edition_leaves_its_cards_invalid_and_the_earlier_ones_current() -> None:
    found = prepared(withdrawn(twice(), 2))
    assert found.book is not None
    assert current_edition(found.book) is None
    said = {one.edition: one.standing for one in Issued(found.book).verdicts()}
    assert said == {1: Standing.CURRENT, 2: Standing.WITHDRAWN}


@pytest.mark.parametrize("act", ["fsync", "link"])
def test_a_crash_leaves_the_old_state(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, act: str
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, act, refuse)
    with pytest.raises(EnvironmentFault, match="no space"):
        write_new(tmp_path, "procedures/editions/0001.json", b"whole")
    assert [one for one in tmp_path.rglob("*") if one.is_file()] == []


def test_an_entry_that_is_there_is_never_replaced(tmp_path: Path) -> None:
    write_new(tmp_path, "0001.json", b"first")
    with pytest.raises(EnvironmentFault, match="there already"):
        write_new(tmp_path, "0001.json", b"second")
    assert [one.read_bytes() for one in tmp_path.iterdir()] == [b"first"]


def test_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path, data in start().items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    book = ["--book", str(tmp_path)]
    who = ["--by", "A. Reviewer", "--author", "B. Writer"]
    assert main(["release", *book, *who, "--summary", "First issue."]) == 0
    assert main(["cards", *book]) == 0
    code = capsys.readouterr().out.splitlines()[-1].partition(":")[0]
    assert main(["cards", *book, "--code", code.lower()]) == 0
    assert main(["cards", *book, "--code", "2222-2223"]) == 1
    (tmp_path / "procedures/coolant.yaml").write_bytes(
        edited(start(), "7500 rpm", "7400 rpm")["procedures/coolant.yaml"]
    )
    capsys.readouterr()
    assert main(["cards", *book]) == 0
    first, second = sorted(capsys.readouterr().out.splitlines(), key=lambda line: "draft" in line)
    assert "current as of edition 1" in first
    assert "tern-eu / limits: a draft" in second
    assert main(["cards", *book, "--code", second.partition(":")[0]]) == 1
    (tmp_path / "procedures/coolant.yaml").write_bytes(start()["procedures/coolant.yaml"])
    assert main(["release", *book, *who, "--summary", "Again."]) == 2
    assert main(["release", *book, "--withdraw", "1", "--because", "Wrong scale."]) == 0
    assert main(["release", *book, "--withdraw", "1", "--because", "Twice."]) == 2
    capsys.readouterr()
    assert main(["cards", *book, "--code", code]) == 1
    assert "withdrawn" in capsys.readouterr().out
