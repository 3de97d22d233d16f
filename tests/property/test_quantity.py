"""Any text is a figure or a refusal; units convert back exactly; print is read back."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import TypeVar

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from placardry.errors import Malformed
from placardry.interval import Interval, Nominal
from placardry.notation import RULES
from placardry.numerals import shown, shown_nominal, shown_range
from placardry.quantity import Quantity
from placardry.recognise import BareNumber, Recognised, bare_numbers, quantities
from placardry.units import COUNTER, RATIO, UNITS, Unit, convert, unit
from tests.property.strategies import (
    decimals,
    figures_with_steps,
    languages,
    rationals,
    texts,
    unit_pairs,
    units,
)

T = TypeVar("T")


def outcome(parse: Callable[[str], T], text: str) -> T | Malformed:
    """What the text is read as, or its refusal; another exception ends the test."""
    try:
        return parse(text)
    except Malformed as refused:
        return refused


@pytest.mark.parametrize("kind", [Quantity, Interval, Nominal])
@given(text=texts)
def test_any_text_is_a_figure_or_a_refusal(
    kind: type[Quantity] | type[Interval] | type[Nominal], text: str
) -> None:
    read = outcome(kind.parse, text)
    if not isinstance(read, Malformed):
        assert kind.parse(str(read)) == read
        return
    assert read.rule in RULES
    assert read.mend
    for said in (read.message, read.mend):
        assert "\n" not in said
        assert len(said) < 250


@given(texts)
def test_any_unit_is_known_or_refused(text: str) -> None:
    known = outcome(unit, text)
    assert known.rule == "unknown-unit" if isinstance(known, Malformed) else known in UNITS.values()


@given(decimals, units)
def test_what_is_written_is_read(value: Fraction, unit: Unit) -> None:
    quantity = Quantity.of(value, unit)
    assert Quantity.parse(str(quantity)) == quantity
    assert re.search(Quantity.SCHEMA_PATTERN, str(quantity))


@given(rationals, unit_pairs)
def test_conversion_comes_back_exactly(value: Fraction, pair: tuple[Unit, Unit]) -> None:
    there, back = pair
    assert convert(convert(value, there, back), back, there) == value
    one = convert(Fraction(1), there.difference, back.difference)
    assert convert(value, there.difference, back.difference) == value * one
    assert one > 0


@given(decimals, decimals, decimals, unit_pairs)
def test_comparison_does_not_depend_on_the_unit(
    low: Fraction, high: Fraction, value: Fraction, pair: tuple[Unit, Unit]
) -> None:
    assume(low <= high)
    here, there = pair
    span = Interval(Quantity.of(low, here), Quantity.of(high, here))
    reading = Quantity.of(value, here)
    assert span.contains(reading) == (low <= value <= high)
    assert span.to(there).contains(reading) == span.contains(reading.to(there))


@given(decimals, decimals, decimals, decimals, units)
def test_intersection_is_what_both_hold(
    a: Fraction, b: Fraction, c: Fraction, d: Fraction, unit: Unit
) -> None:
    one, other = (
        Interval(Quantity.of(min(ends), unit), Quantity.of(max(ends), unit), low_open=True)
        for ends in ((a, b), (c, d))
    )
    both = one.intersect(other)
    assert (both is not None) == one.overlaps(other) == other.overlaps(one)
    if both is not None:
        assert both.within(one)
        assert both.within(other)


@given(texts)
def test_recognition_takes_any_text(text: str) -> None:
    found: list[Recognised | BareNumber] = [*quantities(text), *bare_numbers(text)]
    assert all(text[one.start : one.end] == one.text for one in found)


@given(figures_with_steps(), languages)
def test_print_is_read_back(figure: tuple[Fraction, Fraction, Unit], language: str) -> None:
    value, step, unit = figure
    text = shown(value, step, unit, language)
    for around in (text, f"keep it below {text}.", f"({text})", f"{text} or more"):
        (found,) = quantities(around, language)
        assert isinstance(found.figure, Quantity)
        assert (found.text, found.figure.value, found.figure.unit) == (text, value, unit)


@given(figures_with_steps(), figures_with_steps(), languages)
def test_printed_range_is_read_back(
    one: tuple[Fraction, Fraction, Unit], other: tuple[Fraction, Fraction, Unit], language: str
) -> None:
    low, step, unit = one
    high = low + abs(other[0] // step + 1) * step
    assume(low < high)
    (found,) = quantities(shown_range(low, high, step, unit, language), language)
    assert isinstance(found.figure, Interval)
    assert found.figure.low is not None
    assert found.figure.high is not None
    assert (found.figure.low.value, found.figure.high.value) == (low, high)
    text = shown_nominal(high, low, high + step, step, unit, language)
    (found,) = quantities(text, language)
    assert isinstance(found.figure, Nominal)
    assert found.figure.low is not None
    assert (found.figure.value.value, found.figure.low.value) == (high, low)


@given(st.integers(0, 10**8), languages)
def test_counter_is_read_back(seconds: int, language: str) -> None:
    text = shown(Fraction(seconds, 3600), None, COUNTER, language)
    (found,) = quantities(text, language)
    assert found.text == text
    assert found.figure == Quantity.parse(text) == Quantity(Fraction(seconds, 3600), COUNTER)


@given(st.integers(4, 999_999), languages)
def test_ratio_is_read_back(quarters: int, language: str) -> None:
    value = Fraction(4, quarters)
    text = shown(value, None, RATIO, language)
    (found,) = quantities(text, language)
    assert found.text == text
    assert found.figure == Quantity(value, RATIO)
