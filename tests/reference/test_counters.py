"""Counters and revolution counters against plain arithmetic.

Source: definition of frequency (from memory); the hour has 3600 s (SI Brochure, table 8, from
memory).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from placardry.errors import Malformed
from placardry.quantity import Quantity
from placardry.units import UNITS, affine, convert
from tests.reference.rows import Row, rows


def pulses_per_second(rpm: Fraction, pulses_per_turn: int) -> Fraction:
    """What a pickup gives; hertz and rpm are bridged by the pulses, never by a conversion."""
    seconds = convert(Fraction(1), UNITS["min"], UNITS["s"])
    return rpm * pulses_per_turn / seconds


@pytest.mark.parametrize("row", rows("tachometer"))
def test_revolution_counter(row: Row) -> None:
    shown, true = {
        "REF172": (pulses_per_second(Fraction(6000), 1), 100),
        "REF173": (pulses_per_second(Fraction(6000), 1), 100),
        "REF175": (Fraction(100) / pulses_per_second(Fraction(1), 12 // 2), 1000),
        "REF176": (Fraction(100) / pulses_per_second(Fraction(1), 2), 3000),
    }[row.id]
    assert shown == true
    assert str(true) in row.expected or str(true) in row.input_unit


def test_engine_speed_never_becomes_hertz() -> None:
    with pytest.raises(Malformed, match="cannot be converted"):
        convert(Fraction(6000), UNITS["rpm"], UNITS["Hz"])


@pytest.mark.parametrize(
    ("counter", "seconds"), [("0:00:01", 1), ("25:00:00", 90000), ("100:30:15", 361815)]
)
def test_counter(counter: str, seconds: int) -> None:
    read = Quantity.parse(counter)
    assert read.to(UNITS["s"]).value == seconds
    assert read.to(UNITS["h"]).to(read.unit).written == counter


def test_month_is_no_count_of_hours() -> None:
    with pytest.raises(Malformed):
        convert(Fraction(1), UNITS["month"], UNITS["d"])
    assert affine("year", "month") == (Fraction(12), Fraction(0))
