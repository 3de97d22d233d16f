"""What codes mean, in lines for a terminal."""

from __future__ import annotations

import pytest

from placardry.card_list import entry, listing
from placardry.standing import Issued
from tests.issued import Files, edited, issue, prepared, start, thrice, twice, withdrawn

NEVER, MISTYPED = "2222-2222", "2222-2223"


def listed(files: Files, width: int = 80) -> str:
    book = prepared(files).book
    assert book is not None
    issued = Issued(book)
    return listing(issued.verdicts(), issued.latest, width)


def asked(code: str) -> str:
    book = prepared(twice()).book
    assert book is not None
    return " ".join(" ".join(entry(Issued(book).verdict(code), 80)).split())


def test_current_and_superseded_cards_are_listed_with_what_to_do() -> None:
    said = listed(twice())
    old = listed(issue(start())).splitlines()[1].split()[0]
    (new,) = {line.split()[0] for line in said.splitlines() if "limits" in line} - {old}
    assert said.splitlines()[0] == "tern-eu"
    assert f"  {new}  current       limits: the face of edition 2 of 2026-03-01" in said
    assert f"  {old}  superseded    limits: by edition 2 of 2026-03-01; replace it before" in said
    assert "coolant.red: 90 °C → 89 °C, tightened" in said
    assert f"the card that holds now: {new}" in said
    assert said.endswith("\n\nas of edition 2 of 2026-03-01: 1 current, 1 superseded\n")


def test_changes_name_the_editions_that_they_lie_between() -> None:
    said = " ".join(listed(thrice()).split())
    assert "superseded limits: by edition 2 of 2026-03-01;" in said
    assert "from edition 1 to edition 3: coolant.red: 90 °C → 88 °C, tightened" in said
    assert "superseded limits: by edition 3 of 2026-04-01;" in said
    assert "from edition 2 to edition 3: coolant.red: 89 °C → 88 °C, tightened" in said


def test_withdrawn_cards_say_why() -> None:
    said = listed(withdrawn(twice(), 2))
    assert "withdrawn     limits: with edition 2 on 2026-05-01; replace it" in said
    assert "because: Wrong." in said
    none = listed(withdrawn(withdrawn(twice(), 2), 1))
    assert none.endswith("no edition stands: 2 withdrawn\n")
    assert "do not use it" in none
    assert "the card that holds now" not in none


def test_a_loosened_limit_is_replaced_at_leisure() -> None:
    looser = issue(edited(issue(start()), "7500 rpm", "7600 rpm"), "2026-03-01", "Higher.")
    assert "replace it at leisure" in " ".join(listed(looser).split())


def test_a_code_of_no_card_says_what_codes_are_made_of() -> None:
    assert asked(NEVER) == f"{NEVER} never issued do not fly by this card"
    assert "a code has 8 of the signs 2346789ACEFHJKMNPRTVWXY" in asked(MISTYPED)


@pytest.mark.parametrize("width", [20, 80, 200])
def test_lines_are_no_wider_than_the_terminal(width: int) -> None:
    assert max(map(len, listed(twice(), width).splitlines())) <= max(width, 60)
