"""The ledger of editions: replayed from what changed, and any slip in it is seen."""

from __future__ import annotations

import json

import pytest

from placardry import deltas, ledger
from placardry.prepared import judge
from tests.issued import Files, edited, issue, start, twice, withdrawn

FIRST, SECOND, THIRD = (f"procedures/editions/{number:04}.json" for number in (1, 2, 3))


def _rules(book: Files) -> list[str]:
    return [f"{one.rule.name} {one.span.path}" for one in judge(book).findings]


def test_a_later_entry_holds_only_what_changed() -> None:
    said = json.loads(twice()[SECOND])
    assert set(said["manuals"]["tern-eu"]["figures"]) == {"coolant.red", "coolant.yellow"}
    assert said["changes"][0] == {
        "manual": "tern-eu",
        "figure": "coolant.red",
        "before": "90 degC",
        "after": "89 degC",
        "direction": "tightened",
    }


def test_every_edition_is_replayed_whole() -> None:
    stood = ledger.states(ledger.read(twice()))
    red = [state["tern-eu"]["figures"]["coolant.red"]["written"] for state in stood.values()]
    assert red == ["90 degC", "89 degC"]
    assert stood[1]["tern-eu"]["figures"].keys() == stood[2]["tern-eu"]["figures"].keys()


def test_what_is_gone_is_gone_after_replay() -> None:
    old = {"a": {"digest": "1", "machine": "m", "figures": {"x": 1, "y": 2}, "cards": {}}, "b": {}}
    new = {"a": {"digest": "2", "machine": "m", "figures": {"y": 3}, "cards": {"c": 4}}}
    delta = deltas.difference(old, new)
    assert delta["b"] is None
    assert delta["a"]["figures"] == {"x": None, "y": 3}
    assert deltas.patched(old, delta) == new


@pytest.mark.parametrize(("old", "new"), [(b"90/1", b"95/1"), (b"First issue.", b"Other words.")])
def test_an_edited_entry_is_found(old: bytes, new: bytes) -> None:
    book = twice()
    assert old in book[FIRST]
    assert _rules({**book, FIRST: book[FIRST].replace(old, new)}) == [f"broken-ledger {FIRST}"]


def test_an_entry_written_anew_with_a_good_seal_breaks_the_chain() -> None:
    other = issue(start(), summary="Other words.")
    assert _rules({**twice(), FIRST: other[FIRST]}) == [f"broken-ledger {SECOND}"]


def test_a_gap_is_found() -> None:
    book = withdrawn(twice(), 1)
    del book[SECOND]
    assert _rules(book) == [f"broken-ledger {THIRD}"]


def test_an_entry_merged_twice_is_found() -> None:
    """Two branches issued an edition each, and a merge kept both files."""
    book = twice()
    branch = issue(
        edited(issue(start()), "red from 90 degC", "red from 89 degC"), "2026-03-02", "Branch."
    )
    assert _rules({**book, THIRD: branch[SECOND]}) == [f"broken-ledger {THIRD}"]
    assert _rules({**book, THIRD: book[SECOND]}) == [f"broken-ledger {THIRD}"]
    both = b"<<<<<<< ours\n" + book[SECOND] + b"=======\n" + branch[SECOND] + b">>>>>>> theirs\n"
    assert _rules({**book, SECOND: both}) == [f"broken-ledger {SECOND}"]
    (fault,) = ledger.read({**book, SECOND: both}).faults
    assert fault.message == f"`{SECOND}` holds the editions of two branches"


def test_a_date_that_goes_back_is_found() -> None:
    book = issue(start(), "2026-02-01")
    said = {"withdraws": 1, "dated": "2026-01-31", "approver": "A", "summary": "Wrong."}
    path, data = ledger.written(ledger.read(book), said)
    assert _rules({**book, path: data}) == [f"broken-ledger {SECOND}"]


def test_line_ends_are_no_edit() -> None:
    """Git may write other line ends on another system."""
    book = {path: data.replace(b"\n", b"\r\n") if path == FIRST else data
            for path, data in twice().items()}  # fmt: skip
    assert len(ledger.read(book).entries) == 2
