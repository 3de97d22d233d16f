"""Whether what a register publishes is what rounding to the safe side makes of the exact value.

Everything is computed anew, with fractions, from `exact`; the margin that the register states
is checked as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from placardry.audit.register import Ends, Entry
from placardry.errors import Malformed
from placardry.units import PLAIN_COUNT, UNITS, Unit, convert

_DOWN, _UP = "at or below", "at or above"
_SIDES: Mapping[str, tuple[str, str]] = {
    # kind: where its published low end may lie, where its high end, seen from the exact one
    "maximum": (_DOWN, _DOWN),
    "minimum": (_UP, _UP),
    "range": (_UP, _DOWN),
    "nominal": (_UP, _DOWN),
    "change": (_UP, _DOWN),
    "avoid": (_DOWN, _UP),
}
_WORSE = ("green", "yellow", "red", "avoid")


def unsafe(entry: Entry, entries: Mapping[str, Entry]) -> Iterator[tuple[str, str, str]]:
    """What is wrong with the published values of an entry: the end, what it is, what is right.

    `entries` are those of its manual: the neighbours of a band and the limit that an alarm
    guards say which side is safe.
    """
    for unit, published in entry.published.items():
        try:
            exact = in_unit(entry, unit)
        except (Malformed, KeyError):
            yield unit, f"published in `{unit}`", f"a unit of what `{entry.unit}` measures"
            continue
        for name in sorted(exact.keys() | published.keys()):
            here, there = published.get(name), exact.get(name)
            said = f"`{_decimal(here)}` {unit} as its {name}".replace("`none` ", "nothing in ")
            if here is None or there is None:
                yield name, said, f"{_decimal(there)} {unit}"
                continue
            side = _side(entry, name, entries)
            if (side == _DOWN and here > there) or (side == _UP and here < there):
                yield name, said, f"{side} {_decimal(there)} {unit}"
            elif (margin := _margin(entry, unit, name)) is not None and margin != abs(here - there):
                stated = f"`{_decimal(margin)}` {unit} as the margin of its {name}"
                yield name, stated, f"{_decimal(abs(here - there))} {unit}"
        yield from _outside(entry, unit, published)


def in_unit(entry: Entry, symbol: str) -> Ends:
    """The exact ends of an entry in another unit.

    Raises:
        KeyError: a unit that is none of the closed list.
        Malformed: a unit that measures something else.
    """
    source, target = _unit(entry.unit), _unit(symbol)
    if entry.kind == "change":
        source, target = source.difference, target.difference
    return {name: convert(value, source, target) for name, value in entry.exact.items()}


def _unit(symbol: str) -> Unit:
    return UNITS[symbol] if symbol else PLAIN_COUNT


def _outside(entry: Entry, unit: str, published: Ends) -> Iterator[tuple[str, str, str]]:
    """A nominal value that lies outside of its own published band; a range that is empty."""
    low, high, value = (published.get(name) for name in ("low", "high", "value"))
    if low is not None and high is not None and low > high:
        yield "low", f"`{_decimal(low)}` {unit} as its low", f"at or below {_decimal(high)} {unit}"
    if value is None:
        return
    if (low is not None and value < low) or (high is not None and value > high):
        band = f"{_decimal(low)} to {_decimal(high)} {unit}"
        yield "value", f"`{_decimal(value)}` {unit} as its value", f"a value inside {band}"


def _side(entry: Entry, name: str, entries: Mapping[str, Entry]) -> str:
    """The side of the exact value on which a published end is safe; empty where both are."""
    if entry.kind == "cut":
        return _side_of_cut(entry, name, entries)
    if entry.kind == "set-point":
        kind = getattr(entries.get(entry.guards), "kind", "")
        return {"maximum": _DOWN, "minimum": _UP}.get(kind, "")
    return "" if name == "value" else _SIDES.get(entry.kind, ("", ""))[name == "high"]


def _side_of_cut(entry: Entry, name: str, entries: Mapping[str, Entry]) -> str:
    """A cut point moves into the better of the two bands that meet at it."""
    other = "low" if name == "high" else "high"
    beside = next(
        (
            one
            for one in entries.values()
            if one.id == entry.id
            and one.anchor != entry.anchor
            and one.exact.get(other) == entry.exact.get(name)
        ),
        None,
    )
    mine, theirs = _badness(entry), _badness(beside) if beside else 99
    if mine == theirs:
        return ""
    shrinks = mine < theirs
    return _DOWN if (name == "high") == shrinks else _UP


def beginnings(entry: Entry, published: Ends, entries: Mapping[str, Entry]) -> set[Fraction]:
    """The published ends by which a text may name a band: where it begins, seen from a better one.

    Where no better band lies beside it that is each of its ends.
    """
    ends = {name: value for name, value in published.items() if name in ("low", "high")}
    better = {
        value
        for name, value in ends.items()
        if any(
            one.id == entry.id
            and one.exact.get("high" if name == "low" else "low") == entry.exact.get(name)
            and _badness(one) < _badness(entry)
            for one in entries.values()
        )
    }
    return better or set(published.values())


def _badness(entry: Entry) -> int:
    colour = entry.part.rpartition("-")[2]
    return _WORSE.index(colour) if colour in _WORSE else 0


def _margin(entry: Entry, unit: str, name: str) -> Fraction | None:
    given = entry.margin.get(unit)
    return given.get(name) if given else None


def _decimal(value: Fraction | None) -> str:
    if value is None:
        return "none"
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def corrected(entry: Entry, published: Mapping[str, Ends]) -> Entry:
    """The entry with other published values; its stated margins are then not to be trusted."""
    return replace(entry, published=published, margin={})
