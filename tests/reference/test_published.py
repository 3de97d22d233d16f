"""Every published value of the demo, recomputed with plain fractions from the value written.

Nothing of the package is used but its output. The factors are those of NIST SP 811 (2008),
appendix B.8, and the definitions that it rests on; the directions are those of IEEE/ANSI 268 (a
limit that may not be violated is rounded inwards) and NIST SP 1038 section 4.4 (a minimum rounds
up, other figures to the nearest).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
Entry = dict[str, Any]

INCH = Fraction("0.0254")
FOOT = 12 * INCH
POUND = Fraction("0.45359237")
GALLON = 231 * INCH**3
POUND_FORCE = POUND * Fraction("9.80665")

# Of each unit: what one of it is in the unit of the first column's kind (NIST SP 811 B.8).
SIZES: Mapping[str, tuple[str, Fraction]] = {
    "mm": ("m", Fraction(1, 1000)),
    "cm": ("m", Fraction(1, 100)),
    "m": ("m", Fraction(1)),
    "in": ("m", INCH),
    "ft": ("m", FOOT),
    "kg": ("kg", Fraction(1)),
    "lb": ("kg", POUND),
    "mL": ("m3", Fraction(1, 10**6)),
    "L": ("m3", Fraction(1, 1000)),
    "US gal": ("m3", GALLON),
    "US fl oz": ("m3", GALLON / 128),
    "L/h": ("m3/h", Fraction(1, 1000)),
    "US gal/h": ("m3/h", GALLON),
    "km/h": ("m/h", Fraction(1000)),
    "mph": ("m/h", 5280 * FOOT),
    "N*m": ("N m", Fraction(1)),
    "lbf*ft": ("N m", POUND_FORCE * FOOT),
    "bar(g)": ("Pa", Fraction(100_000)),
    "psi(g)": ("Pa", POUND_FORCE / INCH**2),
}


def converted(value: Fraction, own: str, other: str, *, difference: bool) -> Fraction:
    """The value in another unit; a difference of temperatures has no zero point."""
    if own == other:
        return value
    if {own, other} == {"degC", "degF"}:
        zero = 0 if difference else 32
        nine_fifths = Fraction(9, 5)
        return value * nine_fifths + zero if other == "degF" else (value - zero) / nine_fifths
    (kind, size), (other_kind, other_size) = SIZES[own], SIZES[other]
    assert kind == other_kind
    return value * size / other_size


def published(entries: list[Entry]) -> Iterator[tuple[Entry, str, dict[str, Fraction], Entry]]:
    """Each figure in each unit: the exact values there, and the numerals that are printed."""
    for entry in entries:
        own = entry["exact"]["unit"]
        for unit, ends in entry["published"].items():
            exact = {
                end: converted(Fraction(text), own, unit, difference=entry["kind"] == "change")
                for end, text in entry["exact"].items()
                if end != "unit"
            }
            yield entry, unit, exact, ends


def number(text: str) -> Fraction:
    """A numeral of the register; `1:50` is a quotient (design of the register)."""
    over, mark, under = text.partition(":")
    return Fraction(over) / Fraction(under) if mark else Fraction(text)


def step_of(text: str) -> Fraction:
    """The largest step that the numeral can stand on: 5 of its last place that is no zero.

    Display steps are 1, 2 or 5 of a power of ten (common practice, no source).
    """
    if ":" in text:
        return Fraction(0)
    whole, _, decimals = text.lstrip("-").partition(".")
    zeros = 0 if decimals else len(whole) - len(whole.rstrip("0"))
    return 5 * Fraction(10) ** (zeros - len(decimals))


@pytest.fixture(scope="module")
def entries() -> list[Entry]:
    """All figures of all manuals of the demo."""
    found: list[Entry] = json.loads((ROOT / "site_demo/register.json").read_text())["figures"]
    assert len(found) > 500
    return found


# How the low and the high end of each kind may move: -1 down, 1 up, 0 to the nearest.
DIRECTIONS = {
    "maximum": {"high": -1},
    "minimum": {"low": 1},
    "range": {"low": 1, "high": -1},
    "avoid": {"low": -1, "high": 1},
    "change": {"low": 1, "high": -1},
    "nominal": {"low": 1, "high": -1, "value": 0},
    "typical": {"low": 0, "high": 0, "value": 0},
}


def test_no_figure_was_rounded_to_its_unsafe_side(entries: list[Entry]) -> None:
    checked = 0
    for entry, unit, exact, ends in published(entries):
        for end, direction in DIRECTIONS.get(entry["kind"], {}).items():
            if end not in exact:
                continue
            moved = number(ends[end]) - exact[end]
            where = f"{entry['manual']} {entry['id']} {entry['part']} {end} in {unit}: {ends[end]}"
            assert moved * direction >= 0, where
            share = Fraction(1, 2) if direction == 0 else 1
            assert abs(moved) <= share * step_of(ends[end]), where
            checked += 1
    assert checked > len(entries)


def test_the_margin_is_what_rounding_gave_away(entries: list[Entry]) -> None:
    for entry, unit, exact, ends in published(entries):
        given = entry["margin"][unit]
        told = given if isinstance(given, dict) else dict.fromkeys(ends, given)
        moved = {end: abs(number(ends[end]) - exact[end]) for end in ends}
        assert {end: Fraction(text) for end, text in told.items()} == moved


def test_a_nominal_value_lies_in_its_band(entries: list[Entry]) -> None:
    for entry, _, _, ends in published(entries):
        if {"low", "value", "high"} <= set(ends):
            assert number(ends["low"]) <= number(ends["value"]) <= number(ends["high"]), entry["id"]


BANDS = ("green", "yellow", "red")  # from the safest outwards, as in 14 CFR 25.1549


def test_bands_share_their_cuts_and_the_safer_one_gets_shorter(entries: list[Entry]) -> None:
    """A cut moves towards the green band, in every unit, for both of its neighbours at once."""
    checked = 0
    scales: dict[tuple[str, str], dict[str, Entry]] = {}
    for entry in entries:
        if str(entry["part"]).startswith(BANDS):
            scales.setdefault((entry["manual"], entry["id"]), {})[entry["part"]] = entry
    for parts in scales.values():
        own = parts["green"]["exact"]["unit"]
        for unit, green in parts["green"]["published"].items():
            for entry in parts.values():
                for end, text in entry["published"][unit].items():
                    exact = converted(Fraction(entry["exact"][end]), own, unit, difference=False)
                    is_above = end == "high" if entry["part"] == "green" else _above(entry, parts)
                    moved = number(text) - exact
                    assert moved <= 0 if is_above else moved >= 0, (entry["id"], entry["part"])
                    checked += 1
            cuts: dict[str, set[str]] = {}
            for entry in parts.values():
                for end, text in entry["published"][unit].items():
                    cuts.setdefault(entry["exact"][end], set()).add(text)
            assert all(len(said) == 1 for said in cuts.values()), (unit, cuts)
            assert green
    assert checked > 50


def _above(entry: Entry, parts: Mapping[str, Entry]) -> bool:
    """Whether a band lies above the green one."""
    ends = [Fraction(text) for end, text in entry["exact"].items() if end != "unit"]
    green = [Fraction(text) for end, text in parts["green"]["exact"].items() if end != "unit"]
    return max(ends) > min(green) if len(green) == 1 else max(ends) >= max(green)


def test_a_set_point_stands_before_what_it_guards(entries: list[Entry]) -> None:
    """In every unit in which both are printed, the alarm fires before the limit."""
    by_key = {(one["manual"], one["id"], one["part"]): one for one in entries}
    checked = 0
    for alarm in entries:
        if alarm["kind"] != "set-point" or not alarm["guards"]:
            continue
        id, _, part = alarm["guards"].partition(".")
        guarded = by_key[alarm["manual"], id, part or None]
        for unit in alarm["published"].keys() & guarded["published"].keys():
            at = number(alarm["published"][unit]["value"])
            limit = guarded["published"][unit]
            if guarded["kind"] == "minimum":
                assert at >= number(limit["low"]), alarm["id"]
            else:
                assert at <= number(limit.get("high", limit.get("low"))), alarm["id"]
            checked += 1
    assert checked > 10
