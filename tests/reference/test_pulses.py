"""What a speed display shows when its pulses per revolution are not those of the engine."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from placardry.quantity import Quantity
from placardry.rules.settings import shown_speed
from tests.reference.rows import Row, rows

WORDS = {Fraction(1, 2): "half", Fraction(2): "twice"}


@pytest.mark.parametrize("row", [row for row in rows("tachometer") if "shown" in str(row)])
def test_the_share_of_the_true_speed(row: Row) -> None:
    settings = [int(number) for number in re.findall(r"([0-9]+) ppr", row.input_unit)]
    shown, true = (int(number) for number in re.findall(r"[0-9]+", row.expected))
    set_to, needed = settings
    said = shown_speed(Quantity.parse(str(set_to), bare=True), needed)
    assert said == f"{WORDS[Fraction(shown, true)]} the true speed"


@pytest.mark.parametrize(
    ("set_to", "needed", "said"),
    [
        ("1", 2, "twice the true speed"),
        ("4", 1, "a quarter of the true speed"),
        ("3", 2, "2/3 of the true speed"),
    ],
)
def test_other_shares_by_the_same_arithmetic(set_to: str, needed: int, said: str) -> None:
    assert shown_speed(Quantity.parse(set_to, bare=True), needed) == said
