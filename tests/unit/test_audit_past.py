"""`editions.json`: what it says of the ledger, and what is told of a copy that was edited."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from placardry.audit import audit_file, registers
from placardry.audit.past import History
from placardry.history import history
from placardry.ledger import Ledger, editions, read, written
from tests.books import manual

NAME = "editions.json"


def figure(numerals: str) -> dict[str, Any]:
    """A figure as the ledger keeps it, as far as is published."""
    return {"id": "coolant", "part": "red", "shown": {"degC": numerals}, "held": "at idle"}


def ledger() -> Ledger:
    """Two editions: the red line is lowered, one card has a new face."""
    files: dict[str, bytes] = {}
    for number, numerals, code in ((1, "90", "V4JF-PWJ3"), (2, "88", "CMYH-H7RX")):
        cards = {"limits": {"code": code, "figures": ["coolant.red"], "hazards": []}}
        state = {"digest": "d", "machine": "tern", "cards": cards,
                 "figures": {"coolant.red": figure(numerals)}}  # fmt: skip
        said = {"edition": number, "dated": f"2026-0{number}-01", "approver": "A. Reviewer",
                "summary": f"Issue {number}.", "digest": "d", "changes": [],
                "manuals": {"tern-eu": state}}  # fmt: skip
        path, data = written(read(files), said)
        files[path] = data
    return read(files)


EDITIONS = editions(ledger(), "en")


def published(**changes: Any) -> bytes:
    return history(manual().settings, EDITIONS, ledger(), **changes)


def test_it_says_what_stood_in_each_edition_and_names_nobody() -> None:
    data = published()
    assert b"Reviewer" not in data
    known = History.read(NAME, data)
    figures = known.figures["tern-eu", "coolant.red"]
    assert {number: state.shown for number, state in figures.items()} == {
        1: {"degC": "90"},
        2: {"degC": "88"},
    }
    assert figures[1].condition == "at idle"
    assert known.cards["tern-eu", "limits"] == {1: "V4JF-PWJ3", 2: "CMYH-H7RX"}
    assert known.latest == known.editions[2]
    seals = [entry.digest for entry in ledger().entries]
    assert [known.editions[number].seal for number in (1, 2)] == seals


def test_that_of_a_manual_tells_of_no_other() -> None:
    assert json.loads(published(manuals=["lark-eu"]))["figures"] == []


def test_a_withdrawn_edition_is_not_the_latest() -> None:
    gone = (EDITIONS[0], replace(EDITIONS[1], withdrawn=date(2026, 3, 1)))
    known = History.read(NAME, history(manual().settings, gone, ledger()))
    assert known.latest == known.editions[1]
    assert known.code(("tern-eu", "limits")) == "V4JF-PWJ3"


def folder(edit: Callable[[str], str], *, alone: bool = False) -> dict[str, bytes]:
    """A published folder whose manual has an edited copy of the history."""
    row: dict[str, Any] = {
        "id": "coolant", "part": "red", "manual": "tern-eu", "machine": "tern", "type": "limit",
        "kind": "maximum", "parameter": None, "written": "88 degC", "guards": None, "line": 3,
        "condition": {"id": "idle", "text": "at idle", "states": {}, "spans": {}, "within": None},
        "exact": {"high": "88/1", "unit": "degC"}, "published": {"degC": {"high": "88"}},
        "shown": {"degC": "88 °C"}, "margin": {"degC": "0"}, "exceeded": None, "source": None,
        "file": "procedures/coolant.yaml", "used_in": [],
    }  # fmt: skip
    edition = {"number": 2, "dated": "2026-02-01"}
    register = json.dumps({"schema": 1, "book": "specimen", "edition": edition, "documents": [],
                           "figures": [row]}).encode()  # fmt: skip
    edited = edit(published().decode()).encode()
    page = b"<html lang='en'></html>"
    own = {"register.json": register, NAME: edited, "register.html": page}
    if alone:
        return own
    return {"register.json": register, NAME: published(),
            **{f"tern-eu/{name}": data for name, data in own.items()}}  # fmt: skip


def told(files: dict[str, bytes]) -> list[tuple[str, str, str, str]]:
    return [
        (one.finding.span.path, one.figure, one.found, one.expected)
        for one in registers.read(files).told
    ]


@pytest.mark.parametrize("alone", [False, True])
def test_an_untouched_history_is_not_told_of(alone: bool) -> None:
    assert told(folder(lambda text: text, alone=alone)) == []


@pytest.mark.parametrize("alone", [False, True])
def test_a_latest_value_is_judged_by_the_register(alone: bool) -> None:
    found = told(folder(lambda text: text.replace('"degC": "88"', '"degC": "89"'), alone=alone))
    path = NAME if alone else f"tern-eu/{NAME}"
    assert found == [(path, "coolant.red", "89 °C at idle", "88 °C at idle")]


def test_a_manual_of_an_earlier_build_is_told_of_once() -> None:
    """What it does not know of the later edition is no error of the file for all."""
    older = history(manual().settings, EDITIONS[:1], Ledger(ledger().entries[:1]))
    found = told(folder(lambda _: older.decode()))
    assert [(path, expected) for path, _, _, expected in found] == [
        (f"tern-eu/{NAME}", EDITIONS[1].dated.isoformat())
    ]


def test_of_one_copy_and_two_pages_the_pages_are_right() -> None:
    """Nor are the pages blamed for what the file says."""
    value = '<a class="former" href="register.html?edition=1#coolant.red">90 °C</a> at idle'
    page = f"<html lang='en'><body><p>{value}</p></body></html>".encode()
    edited = folder(lambda text: text.replace('"degC": "90"', '"degC": "95"'), alone=True)
    files = {**edited, "editions.html": page, "check.html": page}
    assert told(files) == [(NAME, "coolant.red", "95 °C at idle", "90 °C at idle")]
    sound = registers.read(files).trusted
    assert audit_file("changes.html", page, sound).told == ()


@pytest.mark.parametrize("alone", [False, True])
def test_a_code_has_its_check_character(alone: bool) -> None:
    found = told(folder(lambda text: text.replace("CMYH-H7RX", "CMYH-H7RY"), alone=alone))
    assert [one[2] for one in found] == ["CMYH-H7RY"]
    assert {one[0] for one in found} == {NAME if alone else f"tern-eu/{NAME}"}
