"""How far a figure moved, in every unit that it is shown in, and relative to where it stood."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from placardry.changes.state import FigureState
from placardry.notation import MINUS
from placardry.numerals import NO_BREAK_SPACE, unit_shown
from placardry.units import COUNTER, RATIO, UNITS, Dimension, Unit, affine

ENDS = ("from", "to", "")  # low, high, value


def shown(state: FigureState | None) -> Mapping[str, str]:
    """A figure as printed in English, by unit, the unit printed first coming first."""
    if state is None:
        return {}
    return {symbol: _printed(text, symbol) for symbol, text in state.shown.items()}


def _printed(text: str, symbol: str) -> str:
    unit = UNITS.get(symbol)
    name = "" if unit in (None, RATIO, COUNTER) else unit_shown(unit, "en", one=text in ("1", "-1"))
    return f"{text.replace('-', MINUS)}{NO_BREAK_SPACE if name else ''}{name}"


def size(before: FigureState | None, after: FigureState | None) -> Mapping[str, str]:
    """How far each end moved, by unit: `{"degC": "+2 °C", "degF": "+3.6 °F"}`.

    Units: exact differences, to three digits; those of temperatures are differences.
    """
    moves = _moves(before, after)
    if not moves or after is None:
        return {}
    sizes = {}
    for symbol in after.shown:
        unit = UNITS.get(symbol)
        if unit is None or not unit.difference.mixes(after.exact.unit.difference):
            continue
        slope, _ = affine(after.exact.unit.symbol, symbol)
        said = {end: _signed(by * slope, unit) for end, (by, _) in moves.items()}
        sizes[symbol] = _joined(said)
    return sizes


def share(before: FigureState | None, after: FigureState | None) -> str | None:
    """How far each end moved relative to where it stood: `+2.3 %`.

    A share of a temperature means nothing, for its zero is a convention.
    """
    moves = _moves(before, after)
    if after is None or after.exact.unit.dimension is Dimension.TEMPERATURE:
        return None
    parts = {
        end: f"{_decimal(by / abs(was) * 100, plus=True)}{NO_BREAK_SPACE}%"
        for end, (by, was) in moves.items()
        if was
    }
    return _joined(parts) if parts else None


def _joined(said: Mapping[str, str]) -> str:
    """One move, or each with the end that it belongs to."""
    texts = list(dict.fromkeys(said.values()))
    if len(texts) == 1:
        return texts[0]
    return ", ".join(f"{end} {text}".strip() for end, text in said.items())


def _moves(
    before: FigureState | None, after: FigureState | None
) -> dict[str, tuple[Fraction, Fraction]]:
    """By how much each end moved, and from where, in the unit of the later figure."""
    if before is None or after is None or not before.exact.unit.mixes(after.exact.unit):
        return {}
    old, new = before.exact.values_in(after.exact.unit), after.exact.values
    return {
        end: (now - was, was)
        for end, was, now in zip(ENDS, old, new, strict=True)
        if was is not None and now is not None and was != now
    }


def _signed(by: Fraction, unit: Unit) -> str:
    if unit == RATIO:
        return _decimal(by * 100, plus=True) + f"{NO_BREAK_SPACE}%"
    name = "h" if unit == COUNTER else unit_shown(unit, "en", one=abs(by) == 1)
    return f"{_decimal(by, plus=True)}{NO_BREAK_SPACE if name else ''}{name}"


def _decimal(value: Fraction, *, plus: bool = False) -> str:
    """A number to three digits, whole where it is larger."""
    digits = max(0, 3 - len(str(abs(int(value))).lstrip("0")))
    text = f"{float(abs(value)):.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    sign = MINUS if value < 0 else "+" if plus else ""
    return sign + text
