"""Recall: who carries what, why, how urgent; and nothing of a person in any output."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from placardry.book import Book
from placardry.cli import main
from placardry.notice import notices
from placardry.recall import Recall, as_json, as_text, recall
from placardry.standing import Issued, Standing
from tests.issued import edited, issue, prepared, start, twice

NEVER = "2222-2222"  # all signs of value nothing: sound, and of no card


def _book(files: dict[str, bytes]) -> Book:
    book = prepared(files).book
    assert book is not None
    return book


def _codes(book: Book) -> dict[Standing, str]:
    return {one.standing: one.code for one in Issued(book).verdicts()}


def _judged(*rows: str, head: str = "serial,machine,cards") -> Recall:
    return recall(_book(twice()), "list.csv", "\n".join((head, *rows)).encode())


def test_a_tightened_limit_is_urgent_a_loosened_one_is_not() -> None:
    book = _book(twice())
    old = Issued(book).verdict(_codes(book)[Standing.SUPERSEDED])
    assert old.urgent
    assert (old.since, old.since_dated) == (2, "2026-03-01")
    assert next((one.figure, one.before, one.after, one.direction) for one in old.changes) == (
        "coolant.red", "90 degC", "89 degC", "tightened",
    )  # fmt: skip
    higher = _book(issue(edited(issue(start()), "7500 rpm", "7600 rpm"), "2026-03-01", "Higher."))
    loose = Issued(higher).verdict(_codes(higher)[Standing.SUPERSEDED])
    assert [one.direction for one in loose.changes] == ["loosened"]
    assert not loose.urgent


def test_aircraft_with_current_cards_are_not_recalled() -> None:
    code = _codes(_book(twice()))[Standing.CURRENT]
    found = _judged(f"0001,tern,{code}")
    assert (found.aircraft, found.findings, found.checked) == ((), (), 1)


def test_unknown_codes_and_bad_rows_are_found_with_their_lines() -> None:
    found = _judged(
        "0001,tern,2222-2223", f"0002,tern,{NEVER}", "0003,tern,", "0004", "0001,tern,x"
    )
    said = [(one.span.line, one.rule.name) for one in found.findings]
    assert said == [
        (2, "unknown-card-code"),
        (3, "unknown-card-code"),
        (4, "bad-recall-row"),
        (5, "bad-recall-row"),
        (6, "bad-recall-row"),
        (6, "unknown-card-code"),
    ]
    assert all(one.urgent for one in found.aircraft)


def test_a_card_of_another_machine_is_urgent() -> None:
    found = _judged(f"0001,heron,{_codes(_book(twice()))[Standing.CURRENT]}")
    assert found.aircraft[0].urgent
    assert "a card of tern" in as_text(found)


def test_people_in_the_list_are_in_no_output() -> None:
    old = _codes(_book(twice()))[Standing.SUPERSEDED]
    found = _judged(
        f"0001,tern,{old},Jo Doe,jo@example.com", head="serial,machine,cards,owner,e-mail"
    )
    assert [one.rule.name for one in found.findings] == ["private-column"]
    told = as_text(found) + as_json(found, found.findings) + str(found.findings)
    told += "".join(str(data) for data in notices(found, prepared(twice()))[0].values())
    assert "Jo" not in told
    assert "jo@" not in told
    assert json.loads(as_json(found, found.findings))["aircraft"][0]["urgent"] is True


def test_an_address_in_the_wrong_column_is_not_repeated() -> None:
    found = _judged(f"jo@example.com,tern,{_codes(_book(twice()))[Standing.SUPERSEDED]}")
    assert [(one.rule.name, one.span.line) for one in found.findings] == [("bad-recall-row", 2)]
    assert "jo@" not in as_text(found) + as_json(found, found.findings) + str(found.findings)


def test_the_json_names_the_line_of_each_finding() -> None:
    found = _judged("0001,tern,2222-2223")
    (told,) = json.loads(as_json(found, found.findings))["findings"]
    assert (told["rule"], told["line"]) == ("unknown-card-code", 2)
    assert "mistyped" in told["message"]


@pytest.mark.parametrize("data", [b"", b"serial;machine\n1;2", b"\xff\xfe", b"a\n"])
def test_a_list_of_another_kind_is_one_finding(data: bytes) -> None:
    found = recall(_book(twice()), "list.csv", data)
    assert [one.rule.name for one in found.findings] == ["bad-recall-row"]


def test_a_list_in_the_repository_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for path, data in twice().items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    (tmp_path / "list.csv").write_text("serial,machine,cards\n")
    assert main(["recall", str(tmp_path / "list.csv"), "--book", str(tmp_path)]) == 2
    assert "move the list out of it" in capsys.readouterr().err
