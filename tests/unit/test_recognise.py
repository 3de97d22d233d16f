from __future__ import annotations

import pytest

from placardry.interval import Interval, Nominal
from placardry.quantity import Quantity
from placardry.recognise import Recognised, bare_numbers, quantities


def said(found: Recognised) -> str:
    """The figure in canonical words."""
    figure = found.figure
    if isinstance(figure, Interval):
        assert figure.low
        assert figure.high
        ends = (
            Quantity.of(figure.low.value, figure.unit),
            Quantity.of(figure.high.value, figure.unit),
        )
        return f"{ends[0].written.split()[0]} to {ends[1].written}"
    if isinstance(figure, Nominal):
        assert figure.low
        assert figure.high
        return f"{said_of(figure.value)} ({said_of(figure.low)}, {said_of(figure.high)})"
    return said_of(figure)


def said_of(quantity: Quantity) -> str:
    return Quantity.of(quantity.value, quantity.unit).written


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("below 88 °C, 88°C, 88 degrees Celsius", ["88 degC"] * 3),
        ("7400 rpm, 7 400 r/min, 7,400 rpm, 7400 revolutions per minute", ["7400 rpm"] * 4),
        ("10\u202f000 rpm", ["10000 rpm"]),
        ("25 N m, 25 Nm, 25 N·m, 25 newton metres", ["25 N*m"] * 4),
        ("a 12 V battery, a 12-V battery, 12V, 12 volts", ["12 V"] * 4),
        ("a 5-minute wait, 5 min., 5 mins", ["5 min"] * 3),
        ("2 l, 2 L, 2 litres, 2 liters", ["2 L"] * 4),
        ("3 to 5 mm, 3–5 mm, 3-5 mm, 3 … 5 mm, 3 mm to 5 mm", ["3 to 5 mm"] * 5),
        ("between 3 and 5 mm", ["3 to 5 mm"]),
        ("holes of 57 and 80 mm, 57 mm and 80 mm", ["57 mm", "80 mm"] * 2),
        ("5 or 6 mm, 12/24 V", ["5 mm", "6 mm", "12 V", "24 V"]),
        ("25 ± 2 N·m, (25 ± 2) N·m, 25 N·m ± 2 N·m", ["25 N*m (23 N*m, 27 N*m)"] * 3),
        ("25 +2/\u22121 Nm", ["25 N*m (24 N*m, 27 N*m)"]),
        ("mix 1:50 or 50:1, 4 % oil", ["1:50", "50:1", "4 %"]),
        ("service at 25:00:00", ["25:00:00"]),
        ("\u22125 °C, -5 °C and –5 °C", ["-5 degC"] * 3),
        ("-5 to 40 °C; from 20 °C to -5 °C", ["-5 to 40 degC", "-5 to 20 degC"]),
        ("60 °C/140 °F", ["60 degC", "140 degF"]),
        ("½ turn, 1/2 turn, 2½ turns, 1 1/2 h", ["0.5 turn"] * 2 + ["2.5 turn", "1.5 h"]),
        ("3/8 in, 3 in.", ["0.375 in", "3 in"]),
        ("press 3 times", ["3 time"]),
        ("5 h 30 min", ["5 h", "30 min"]),
        ("3.5 L, 3,5 L, 1,234.5 L", ["3.5 L", "3.5 L", "1234.5 L"]),
        ("90° to the left", ["90 deg"]),
    ],
)
def test_finds(text: str, figures: list[str]) -> None:
    found = list(quantities(text))
    assert [said(one) for one in found] == figures
    assert all(text[one.start : one.end] == one.text for one in found)


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("nach 5 Stunden, 3,5 Liter", ["5 h", "3.5 L"]),
        ("7400 U/min, 1.500 U/min, 1,500 bar", ["7400 rpm", "1500 rpm", "1.5 bar"]),
        ("63 bis 82 °C, zwischen 63 und 82 °C", ["63 to 82 degC"] * 2),
        ("2 Umdrehungen, 88 Grad Celsius, 3 Monate", ["2 turn", "88 degC", "3 month"]),
    ],
)
def test_finds_in_german(text: str, figures: list[str]) -> None:
    assert [said(one) for one in quantities(text, "de-AT")] == figures


@pytest.mark.parametrize(
    "text",
    [
        "on 2026-05-01, 3 May 2026, May 2026, 3. Mai 2026, 01.05.2026, May 5, 2026",
        "step 3, page 31, section 4.2, Schritt 3, Seite 31",
        "an M6 bolt, RON 95, SAE 30, a 4T engine, v2.1.3, release 2.1.3, IP67",
        "1st, 2nd, a 2-stroke, a 4-blade propeller",
        "1. Press it.\n2. Let go.",
    ],
)
def test_no_false_alarm(text: str) -> None:
    assert not list(quantities(text))
    assert not list(bare_numbers(text))


@pytest.mark.parametrize(
    "text",
    ["3 in the box", "2-in-1", "in step 3 press it", "the 1990s", "1:30 pm", "M6 in size", "3 × 5"],
)
def test_words_that_look_like_units(text: str) -> None:
    assert not list(quantities(text))


def test_bare_numbers_are_kept_apart() -> None:
    found = list(bare_numbers("Use 4 bolts and press 3 times, 2 persons"))
    assert [(one.text, one.value == int(one.text)) for one in found] == [("4", True), ("2", True)]
