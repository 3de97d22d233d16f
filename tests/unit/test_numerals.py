from __future__ import annotations

from fractions import Fraction

import pytest

from placardry.numerals import MANNERS, manner, shown, shown_nominal, shown_range, unit_shown
from placardry.units import PLAIN_COUNT, UNITS

F = Fraction


@pytest.mark.parametrize(
    ("value", "step", "symbol", "english", "german"),
    [
        ("88", "1", "degC", "88 °C", "88 °C"),
        ("-5", "1", "degC", "\u22125 °C", "\u22125 °C"),
        ("2.5", "1/100", "bar", "2.50 bar", "2,50 bar"),
        ("7400", "1", "rpm", "7400 rpm", "7400 U/min"),
        ("12500", "1", "rpm", "12\u202f500 rpm", "12\u202f500 U/min"),
        ("1234567", "1", "m", "1\u202f234\u202f567 m", "1\u202f234\u202f567 m"),
        ("4", "1", "%", "4 %", "4 %"),
        ("90", "1", "deg", "90°", "90°"),
        ("25", "1", "N*m", "25 N·m", "25 N·m"),
        ("1/50", None, "ratio", "1:50", "1:50"),
        ("2/25", None, "ratio", "1:12.5", "1:12,5"),
        ("25", None, "h:min:s", "25:00:00", "25:00:00"),
        ("1", "1", "turn", "1 turn", "1 Umdrehung"),
        ("2", "1", "turn", "2 turns", "2 Umdrehungen"),
        ("0", "1", "press", "0 presses", "0 Tastendrücke"),
        ("12", "1", "month", "12 months", "12 Monate"),
        ("1.5", "1/2", "h", "1.5 h", "1,5 h"),
    ],
)
def test_shown(value: str, step: str | None, symbol: str, english: str, german: str) -> None:
    for language, text in (("en", english), ("de", german), ("de-AT", german)):
        printed = shown(F(value), F(step) if step else None, UNITS[symbol], language)
        assert printed == text.replace(" ", "\u00a0")


def test_plain_count_is_a_number() -> None:
    assert shown(F(4), F(1), PLAIN_COUNT, "en") == "4"


def test_ranges() -> None:
    celsius = UNITS["degC"]
    assert shown_range(F(63), F(82), F(1), celsius, "en") == "63 to 82\u00a0°C"
    assert shown_range(F(-5), F(40), F(1), celsius, "de") == "\u22125 bis 40\u00a0°C"
    assert shown_range(F(63), F(63), F(1), celsius, "de") == "63\u00a0°C"


def test_tolerances() -> None:
    torque = UNITS["N*m"]
    even = shown_nominal(F(25), F(23), F(27), F(1), torque, "en")
    assert even.replace("\u00a0", " ") == "25 ± 2 N·m"
    uneven = shown_nominal(F("2.5"), F("2.4"), F("2.7"), F("0.1"), torque, "de")
    assert uneven.replace("\u00a0", " ") == "2,5 +0,2/\u22120,1 N·m"


def test_every_language_names_the_same_words() -> None:
    words = [set(MANNERS[language].words) - {"rpm"} for language in MANNERS]
    assert all(word == words[0] for word in words)
    assert unit_shown(UNITS["month"], "de", one=True) == "Monat"
    with pytest.raises(KeyError):
        manner("tlh")
