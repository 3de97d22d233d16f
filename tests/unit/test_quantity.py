from __future__ import annotations

import re
from fractions import Fraction

import pytest

from placardry.errors import Malformed
from placardry.interval import Interval, Nominal
from placardry.notation import RULES
from placardry.quantity import Quantity
from placardry.units import PLAIN_COUNT, UNITS, Dimension


@pytest.mark.parametrize(
    ("text", "value", "symbol", "digits"),
    [
        ("88 degC", 88, "degC", 0),
        ("2.50 bar", Fraction(5, 2), "bar", 2),
        ("\u22125 °C", -5, "degC", 0),
        ("-5\u00a0°C", -5, "degC", 0),
        ("88°C", 88, "degC", 0),
        ("25 N m", 25, "N*m", 0),
        ("25:00:00", 25, "h:min:s", 0),
        ("0:00:36", Fraction(1, 100), "h:min:s", 0),
        ("1:50", Fraction(1, 50), "ratio", 0),
        ("50:1", 50, "ratio", 0),
        ("1:12.5", Fraction(2, 25), "ratio", 0),
        ("5 hours", 5, "h", 0),
        ("0 V", 0, "V", 0),
        ("4 %", 4, "%", 0),
    ],
)
def test_reads(text: str, value: Fraction | int, symbol: str, digits: int) -> None:
    read = Quantity.parse(text)
    assert (read.value, read.unit, read.digits) == (value, UNITS[symbol], digits)
    assert read.written == " ".join(text.split())


@pytest.mark.parametrize(
    ("text", "rule", "mend"),
    [
        ("", "malformed-figure", "88 degC"),
        ("12", "number-without-unit", "12 degC"),
        ("1,5 bar", "decimal-comma", "`1.5 bar`"),
        ("1,5 ± 0,25 bar", "decimal-comma", "`1.5 ± 0.25 bar`"),
        ("1,500 rpm", "decimal-comma", "`1500 rpm`"),
        ("1_000 rpm", "grouped-number", "`1000 rpm`"),
        ("1 500 rpm", "grouped-number", "`1500 rpm`"),
        ("1\u202f500 rpm", "grouped-number", "`1500 rpm`"),
        ("1'500 rpm", "grouped-number", "`1500 rpm`"),
        ("1,500,000 rpm", "grouped-number", "`1500000 rpm`"),
        ("1.234,5 mL", "decimal-comma", "`1234.5 mL`"),
        ("1,234.5 mL", "grouped-number", "`1234.5 mL`"),
        ("1e3 m", "foreign-number", "in full"),
        ("0x10 m", "foreign-number", "in full"),
        ("٤٥ bar", "foreign-number", "`45 bar`"),
        ("２ bar", "foreign-number", "`2 bar`"),
        ("½ bar", "foreign-number", "decimal"),
        ("2½ bar", "foreign-number", "decimal"),
        ("1/2 bar", "foreign-number", "decimal"),
        ("≤ 5 bar", "malformed-figure", "`5 bar`"),
        ("+5 bar", "malformed-figure", "`5 bar`"),
        (".5 bar", "malformed-figure", "`0.5 bar`"),
        ("5. bar", "malformed-figure", "`5 bar`"),
        ("010 bar", "malformed-figure", "`10 bar`"),
        ("- 5 bar", "malformed-figure", "`-5 bar`"),
        ("10:30", "malformed-figure", "`25:00:00`"),
        ("1:30:99", "malformed-figure", "`25:00:00`"),
        ("5-6 bar", "malformed-figure", "`5 to 6 bar`"),
        ("10 20 bar", "malformed-figure", "one number"),
        ("25 ± 2 bar", "malformed-figure", "one number"),
        ("5 to 6 bar", "malformed-figure", "one number"),
        ("about 5 bar", "malformed-figure", "88 degC"),
        ("9**9 m", "malformed-figure", "88 degC"),
        ("9" * 5000 + " m", "malformed-figure", "digits"),
        ("5 F", "unknown-unit", "`degF`"),
        ("5 ratio", "malformed-figure", "88 degC"),
        ("5 h:min:s", "malformed-figure", "88 degC"),
        ("5 bar!", "unknown-unit", "`bar`"),
    ],
)
def test_refuses(text: str, rule: str, mend: str) -> None:
    with pytest.raises(Malformed) as refused:
        Quantity.parse(text)
    assert refused.value.rule == rule
    assert rule in RULES
    assert mend in refused.value.mend
    assert "\n" not in refused.value.message
    assert not re.search(Quantity.SCHEMA_PATTERN, text)


def test_plain_count_only_where_asked() -> None:
    assert Quantity.parse("4", bare=True).unit == PLAIN_COUNT
    assert str(Quantity.parse("4", bare=True)) == "4"


def test_equality_is_meaning() -> None:
    assert Quantity.parse("5 h") == Quantity.parse("5 hours")
    assert Quantity.parse("88 °C") == Quantity.parse("88  degC")
    assert Quantity.parse("2.5 bar") != Quantity.parse("2.50 bar")
    assert Quantity.parse("5 bar") != Quantity.parse("5 bar(g)")
    assert Quantity.parse("5 degC") != Quantity.parse("5 degC").as_difference()


def test_converts_exactly() -> None:
    assert str(Quantity.parse("88 degC").to(UNITS["degF"])) == "190.4 degF"
    assert str(Quantity.parse("25 h").to(UNITS["h:min:s"])) == "25:00:00"
    rise = Quantity.parse("40 degF").as_difference().to(UNITS["degC"].difference)
    assert rise.value == Fraction(200, 9)
    assert rise.unit.dimension is Dimension.TEMPERATURE_DIFFERENCE
    assert str(rise) == "200/9 degC"


@pytest.mark.parametrize(
    ("text", "symbol", "step"),
    [
        ("88 degC", "degF", "1"), ("190 degF", "degC", "1/2"), ("2.50 bar", "bar", "1/100"),
        ("36 ft", "m", "1/10"), ("25 h", "h:min:s", "1/3600"), ("1:50", "ratio", "1/50"),
        ("0 bar", "psi", "1"),
    ],
)  # fmt: skip
def test_step_where_none_is_declared(text: str, symbol: str, step: str) -> None:
    assert Quantity.parse(text).step_in(UNITS[symbol]) == Fraction(step)


@pytest.mark.parametrize(
    ("text", "low", "high", "low_open", "high_open"),
    [
        ("1.8 to 2.4 bar", "9/5", "12/5", False, False),
        ("1.8 bar to 2.4 bar", "9/5", "12/5", False, False),
        ("-5 to 40 degC", "-5", "40", False, False),
        ("\u22125 to \u22122 degC", "-5", "-2", False, False),
        ("above 7400 rpm", "7400", None, True, False),
        ("below 60 degC", None, "60", False, True),
        ("at least 12 V", "12", None, False, False),
        ("at most 15 V", None, "15", False, False),
        ("4500 rpm", "4500", "4500", False, False),
        ("1:40 to 1:50", "1/50", "1/40", False, False),
        ("10:00:00 to 25:00:00", "10", "25", False, False),
    ],
)
def test_reads_interval(
    text: str, low: str | None, high: str | None, low_open: bool, high_open: bool
) -> None:
    read = Interval.parse(text)
    assert (read.low and read.low.value) == (low and Fraction(low))
    assert (read.high and read.high.value) == (high and Fraction(high))
    assert (read.low_open, read.high_open) == (low_open, high_open)
    assert re.search(Interval.SCHEMA_PATTERN, text)
    assert Interval.parse(str(Interval(read.low, read.high, low_open, high_open))) == read


@pytest.mark.parametrize(
    ("text", "rule", "mend"),
    [
        ("1.8 bar to 26 psi", "mixed-units", "one unit"),
        ("5 to 25:00:00", "mixed-units", "one unit"),
        ("5 to 3 mm", "reversed-interval", "`3 mm to 5 mm`"),
        ("5 to 6", "number-without-unit", "6 degC"),
        ("up to 5 bar", "malformed-figure", "`at most 5 bar`"),
        ("from 5 bar", "malformed-figure", "`at least 5 bar`"),
        ("from 3 to 5 bar", "malformed-figure", "`3 to 5 bar`"),
        ("≤ 5 bar", "malformed-figure", "`at most 5 bar`"),
        ("63–82 degC", "malformed-figure", "`63 to 82 degC`"),
        ("below 1,5 bar", "decimal-comma", "`1.5 bar`"),
        ("above", "malformed-figure", "88 degC"),
        ("3 to 5 to 6 mm", "malformed-figure", "one number"),
    ],
)
def test_refuses_interval(text: str, rule: str, mend: str) -> None:
    with pytest.raises(Malformed) as refused:
        Interval.parse(text)
    assert (refused.value.rule, mend in refused.value.mend) == (rule, True)
    assert rule in RULES


def test_open_end_is_outside() -> None:
    above = Interval.parse("above 7400 rpm")
    assert not above.contains(Quantity.parse("7400 rpm"))
    assert above.contains(Quantity.parse("7400.001 rpm"))
    assert Interval.parse("at least 7400 rpm").contains(Quantity.parse("7400 rpm"))


def test_intervals_compare_across_units() -> None:
    green = Interval.parse("63 to 82 degC")
    assert green.contains(Quantity.parse("179.6 degF"))
    assert not green.contains(Quantity.parse("179.7 degF"))
    assert Interval.parse("150 to 170 degF").within(green)
    assert not green.overlaps(Interval.parse("above 82 degC"))
    assert green.overlaps(Interval.parse("at least 82 degC"))
    assert green.intersect(Interval.parse("below 140 degF")) is None
    warm = green.intersect(Interval.parse("above 70 degC"))
    assert warm == Interval(Quantity.parse("70 degC"), Quantity.parse("82 degC"), low_open=True)
    everywhere = Interval(None, None)
    assert green.within(everywhere)
    assert everywhere.intersect(green) == green


def test_difference_is_no_reading() -> None:
    with pytest.raises(Malformed):
        Interval.parse("5 to 10 degC").as_difference().contains(Quantity.parse("7 degC"))


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("25 N·m", None, None),
        ("25 ± 2 N·m", 23, 27),
        ("25±2 N·m", 23, 27),
        ("25 N·m ± 2 N·m", 23, 27),
        ("25 N·m ± 2", 23, 27),
        ("25 +2/-1 N·m", 24, 27),
        ("25 +2/\u22121 Nm", 24, 27),
        ("25 +0.5/-0 Nm", 25, Fraction(51, 2)),
    ],
)
def test_reads_nominal(text: str, low: int | None, high: Fraction | int | None) -> None:
    read = Nominal.parse(text)
    assert read.value == Quantity.parse("25 N·m")
    assert (read.low and read.low.value) == low
    assert (read.high and read.high.value) == high
    assert (read.band is None) == (low is None)
    assert str(read) == text


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("25 ± 10 %", "mixed-units"), ("25 bar ± 2 psi", "mixed-units"),
        ("25 ± 2", "number-without-unit"), ("±2 bar", "malformed-figure"),
        ("1:50 ± 2", "mixed-units"), ("25 ± 1,5 bar", "decimal-comma"),
        ("25 ± -2 bar", "malformed-figure"),
    ],
)  # fmt: skip
def test_refuses_nominal(text: str, rule: str) -> None:
    with pytest.raises(Malformed) as refused:
        Nominal.parse(text)
    assert refused.value.rule == rule


@pytest.mark.parametrize("kind", [Quantity, Interval, Nominal])
def test_examples_are_read_and_match_the_schema(
    kind: type[Quantity] | type[Interval] | type[Nominal],
) -> None:
    for example in kind.EXAMPLES:
        assert str(kind.parse(example)) == example
        assert re.search(kind.SCHEMA_PATTERN, example)


@pytest.mark.parametrize("sign", ["+/-", "+-", " +/- ", " plus or minus ", "+ / -"])
def test_a_sign_that_no_keyboard_has_is_given_to_copy(sign: str) -> None:
    with pytest.raises(Malformed) as refused:
        Nominal.parse(f"25{sign}2 N·m")
    assert refused.value.mend == "write `25 ± 2 N·m`"
