"""Issuing editions: who may, of what, and that a crash leaves the old state or the new."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import pytest

from placardry.book.sources import said_in
from placardry.cli import main
from placardry.cli.issue import tell
from placardry.editions import current_edition, current_for, issued_cards
from placardry.errors import EnvironmentFault, PlacardryError
from placardry.files import write_new, write_tree
from placardry.paper import cards
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
    with pytest.raises(PlacardryError, match="too early"):
        issue(changed, "2026-01-31")


def test_without_a_day_the_book_is_of_its_own_but_never_of_the_last_one_again() -> None:
    first = partial(release, by="A. Reviewer", author="B. Writer", summary="New.")
    path, data = first(prepared(start()))
    assert b'"dated": "2026-01-31"' in data  # the book's date
    book = {**edited(start(), "red from 90 degC", "red from 89 degC"), path: data}
    with pytest.raises(PlacardryError, match="name a day from then on"):
        first(prepared(book))
    with pytest.raises(PlacardryError, match="name a day from then on"):
        withdraw(prepared(book), 1, because="Wrong.")


def test_what_a_newer_release_of_ours_prints_anew_can_be_issued(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The book says what it said, and its cards are drafts all the same."""
    book = issue(start())
    monkeypatch.setattr(cards, "LAYOUT", cards.LAYOUT + 1)
    again = issue(book, "2026-03-01", "New layout.")
    with pytest.raises(PlacardryError, match="nothing has changed since edition 2"):
        issue(again, "2026-04-01")


def test_how_a_book_is_governed_is_no_part_of_what_was_issued() -> None:
    book = issue(start())
    path = "procedures/book.yaml"
    governed = b"policy: {author-approves: yes, forbid: removed-limit}\napprove: limit\n"
    book[path] = book[path].replace(b"dated: 2026-01-31", b"dated: 2026-04-30") + governed
    found = judge(book)
    assert found.book is not None
    assert current_edition(found.book) is not None
    assert current_for(found.book, found.manuals[0]) is not None
    book[path] = book[path].replace(b"Powered flight can kill", b"Flight can kill")
    told = judge(book)
    assert told.book is not None
    assert current_edition(told.book) is None
    assert current_for(told.book, told.manuals[0]) is None


def test_what_is_told_of_a_withdrawal_holds_no_figure() -> None:
    with pytest.raises(PlacardryError, match=r"--because.* without figures"):
        withdraw(prepared(twice()), 2, because="It was 90 °C.", on=DAY)


def test_after_a_withdrawal_changes_are_told_from_what_stood() -> None:
    book = withdrawn(twice(), 2, "2026-03-02")
    with pytest.raises(PlacardryError, match=r"what edition 2 said, .*2026-03-02 because: Wrong;"):
        issue(book, "2026-04-01", "As before.", again=True)
    book["content/welcome.md"] += b"\nFly with care.\n"
    with pytest.raises(PlacardryError, match=r"edition 2, .*: tern-eu/limits \(.*`--again`"):
        issue(book, "2026-04-01", "As before.")
    third = prepared(issue(book, "2026-04-01", "As before.", again=True)).book
    assert third is not None
    last = third.editions[-1]
    assert (last.number, last.after) == (3, 1)
    assert last.cards == (("tern-eu", "limits"),)
    red = next(one for one in last.changes if one.figure == "coolant.red")
    assert (red.before, red.after) == ("90 degC", "89 degC")


def test_an_edition_is_told_in_each_language_that_it_was_given_in() -> None:
    told = partial(release, by="A. Reviewer", author="B. Writer", summary="New.", on=DAY)
    path, data = told(prepared(start()), summaries={"de": "Neu."})
    book = prepared({**start(), path: data}).book
    assert book is not None
    (edition,) = book.editions
    said = [said_in(edition.summary, one) for one in ("en-GB", "de-AT", "fr")]
    assert said == [("New.", "en"), ("Neu.", "de"), ("New.", "en")]
    with pytest.raises(PlacardryError, match="own language"):
        told(prepared(start()), summaries={"en": "New."})
    with pytest.raises(PlacardryError, match="without figures"):
        told(prepared(start()), summaries={"de": "Jetzt 89 °C."})


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


def test_who_issues_is_told_which_manuals_get_the_summary_untranslated(
    capsys: pytest.CaptureFixture[str],
) -> None:
    book = prepared(start())
    (one,) = book.manuals
    german = replace(one, entry=replace(one.entry, language="de-AT"))
    path, both, day = (
        Path("0001.json"),
        replace(book, manuals=(one, german)),
        {"dated": "2026-05-01"},
    )
    tell(both, path, {**day, "edition": 1, "manuals": {"tern-eu": {"cards": {"limits": {}}}}})
    said = capsys.readouterr().out
    assert said.startswith("issued edition 1 on 2026-05-01 in 0001.json; commit the file")
    assert "cards with a new face: 1;" in said
    assert "manuals in `de` tell it untranslated" in said
    assert "again with `--summary-de`" in said
    tell(both, path, {**day, "withdraws": 1})
    assert "again with `--because-de`" in capsys.readouterr().out
    tell(both, path, {**day, "edition": 1, "summaries": {"de": "Neu."}})
    tell(book, path, {**day, "edition": 1})
    assert "untranslated" not in capsys.readouterr().out


def test_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path, data in start().items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    book = ["--book", str(tmp_path)]
    who = ["--by", "A. Reviewer", "--author", "B. Writer"]
    assert main(["release", *book, *who, "--summary", "First issue."]) == 0
    assert main(["cards", *book]) == 0
    code = capsys.readouterr().out.split("tern-eu\n")[1].split()[0]
    assert main(["cards", *book, "--code", code.lower()]) == 0
    assert main(["cards", *book, "--code", "2222-2223"]) == 1
    (tmp_path / "procedures/coolant.yaml").write_bytes(
        edited(start(), "7500 rpm", "7400 rpm")["procedures/coolant.yaml"]
    )
    capsys.readouterr()
    assert main(["cards", *book]) == 0
    said = capsys.readouterr().out
    assert "as of edition 1 of 2026-01-31: 1 current, 1 draft" in said
    drafted = next(line for line in said.splitlines() if "draft" in line)
    assert "limits: in no issued edition; do not fly by it" in drafted
    assert main(["cards", *book, "--code", drafted.split()[0]]) == 1
    (tmp_path / "procedures/coolant.yaml").write_bytes(start()["procedures/coolant.yaml"])
    assert main(["release", *book, *who, "--summary", "Again."]) == 2
    why = ["--because", "Wrong scale.", "--on", "2026-05-01"]
    assert main(["release", *book, "--withdraw", "1", *why]) == 0
    assert main(["release", *book, "--withdraw", "1", *why]) == 2
    capsys.readouterr()
    assert main(["cards", *book, "--code", code]) == 1
    told = capsys.readouterr().out
    assert "withdrawn     limits: with edition 1 on 2026-05-01" in told
    assert "because: Wrong scale." in told


def test_what_could_not_be_built_is_not_issued(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No entry of the ledger can be mended later, and `check` does not lay out cards."""
    path = "procedures/cards/limits.yaml"
    small = start()[path].replace(b"A6 landscape", b"label 60x25")
    write_tree(tmp_path, {**start(), path: small})
    book = ["--book", str(tmp_path)]
    assert main(["check", *book]) == 0
    given = ["--by", "A. Reviewer", "--author", "B. Writer", "--summary", "First issue."]
    assert main(["release", *book, *given]) == 1
    assert "[card-overflows]" in capsys.readouterr().err
    assert not (tmp_path / "procedures/editions").exists()
