"""Figures as print shows them in each language: marks, grouping, minus, spaces, unit words.

For the writers only. The auditor reads print back with `recognise` and shares nothing with this
module. Words around a figure ("at most") come from the tables of words.

Source: NIST SP 811 (2008) 7.2 (a space before the unit, none before the degree sign of an
angle), 10.5.3 (thin spaces from five digits on); ISO 80000-1 7.3 (decimal mark by language).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from placardry.finding import light
from placardry.notation import MINUS, numeral_text
from placardry.units import COUNTER, RATIO, Unit

NO_BREAK_SPACE = "\u00a0"
THIN_SPACE = "\u202f"
"""A narrow space that does not break, between groups of three digits."""

_TIGHT = {"deg"}


@light
class Manner:
    """How one language prints numerals.

    Shape: `words` gives, by symbol, singular and plural of units that print as a word there.
    """

    decimal_mark: str
    to: str
    words: Mapping[str, tuple[str, str]]


_ENGLISH = {
    symbol: (symbol, symbol + "s")
    for symbol in ("week", "month", "year", "turn", "time", "cycle", "flight", "landing")
} | {
    "d": ("day", "days"),
    "press": ("press", "presses"),
    "start": ("start", "starts"),
    "drop": ("drop", "drops"),
    "pulse/turn": ("pulse per turn", "pulses per turn"),
}
_GERMAN = {
    "d": ("Tag", "Tage"),
    "week": ("Woche", "Wochen"),
    "month": ("Monat", "Monate"),
    "year": ("Jahr", "Jahre"),
    "rpm": ("U/min", "U/min"),
    "turn": ("Umdrehung", "Umdrehungen"),
    "press": ("Tastendruck", "Tastendrücke"),
    "time": ("Mal", "Mal"),
    "cycle": ("Zyklus", "Zyklen"),
    "flight": ("Flug", "Flüge"),
    "landing": ("Landung", "Landungen"),
    "start": ("Start", "Starts"),
    "drop": ("Tropfen", "Tropfen"),
    "pulse/turn": ("Impuls pro Umdrehung", "Impulse pro Umdrehung"),
}

MANNERS: Mapping[str, Manner] = MappingProxyType(
    {"en": Manner(".", "to", _ENGLISH), "de": Manner(",", "bis", _GERMAN)}
)
"""Every language that figures can be printed in, by its primary subtag."""


def manner(language: str) -> Manner:
    """How the language of a BCP 47 tag prints numerals: `de-AT` as `de`.

    Raises:
        KeyError: for a language without a row in `MANNERS`.
    """
    return MANNERS[language.partition("-")[0].lower()]


def unit_shown(unit: Unit, language: str, *, one: bool = False) -> str:
    """The unit as printed behind a number, `one` for the singular; empty where it has none."""
    words = manner(language).words.get(unit.symbol)
    if words is None:
        return unit.shown
    return words[0] if one else words[1]


def numeral_shown(value: Fraction, step: Fraction | None, unit: Unit, language: str) -> str:
    """The number alone, as printed: true minus, decimal mark, groups from five digits on.

    Raises:
        ValueError: where `value` is not on the decimals of `step`.
    """
    text = numeral_text(value, unit, step)
    if unit in (RATIO, COUNTER):
        return text.replace(".", manner(language).decimal_mark)
    sign = MINUS if text.startswith("-") else ""
    whole, _, decimals = text.lstrip("-").partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", THIN_SPACE)
    return sign + whole + (manner(language).decimal_mark + decimals if decimals else "")


def shown(value: Fraction, step: Fraction | None, unit: Unit, language: str) -> str:
    """A figure as printed, number and unit on one line: `88 °C`, `−5 °C`, `1:50`, `3 turns`."""
    return _with_unit(numeral_shown(value, step, unit, language), value, unit, language)


def shown_range(
    low: Fraction, high: Fraction, step: Fraction | None, unit: Unit, language: str
) -> str:
    """A range as printed: `63 to 82 °C`, `63 bis 82 °C`; one figure where the ends are equal."""
    if low == high:
        return shown(low, step, unit, language)
    first, second = (numeral_shown(end, step, unit, language) for end in (low, high))
    return f"{first} {manner(language).to} {_with_unit(second, high, unit, language)}"


def shown_nominal(
    value: Fraction,
    low: Fraction,
    high: Fraction,
    step: Fraction | None,
    unit: Unit,
    language: str,
) -> str:
    """A nominal value with its tolerance as printed: `25 ± 2 N·m`, `25 +2/−1 N·m`."""
    number = numeral_shown(value, step, unit, language)
    minus, plus = (
        numeral_shown(part, step, unit, language) for part in (value - low, high - value)
    )
    tolerance = f"±{NO_BREAK_SPACE}{plus}" if plus == minus else f"+{plus}/{MINUS}{minus}"
    return _with_unit(f"{number}{NO_BREAK_SPACE}{tolerance}", value, unit, language)


def _with_unit(text: str, value: Fraction, unit: Unit, language: str) -> str:
    name = unit_shown(unit, language, one=abs(value) == 1)
    if not name:
        return text
    return text + ("" if unit.symbol in _TIGHT else NO_BREAK_SPACE) + name
