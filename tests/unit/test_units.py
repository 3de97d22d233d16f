from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from subprocess import run
from sys import executable

import pytest

from placardry import factors
from placardry.errors import Malformed
from placardry.units import PROSE, SPELLINGS, UNITS, Dimension, affine, convert, definitions, unit


def test_symbols_are_what_anyone_can_type() -> None:
    assert all(symbol.isascii() for symbol in UNITS)
    assert not any(sign in text for text in SPELLINGS for sign in "`|,")


def test_no_spelling_stands_for_two_units() -> None:
    texts = [text for unit in UNITS.values() for text in (unit.symbol, *unit.spellings)]
    assert len(texts) == len(set(texts))
    prose = [
        text for unit in UNITS.values() for text in (unit.symbol, *unit.spellings, *unit.prose)
    ]
    assert len(prose) == len(set(prose)) == len(PROSE)


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("°C", "degC"), ("deg C", "degC"), ("N·m", "N*m"), ("N\u22c5m", "N*m"), ("Nm", "N*m"),
        ("N\u00a0m", "N*m"), ("\u2126", "ohm"), ("hours", "h"), ("minutes", "min"),
        ("months", "month"), ("turns", "turn"), ("presses", "press"), ("psig", "psi(g)"),
        ("r/min", "rpm"), ("US  gal", "US gal"), ("h:min:s", "h:min:s"),
    ],
)  # fmt: skip
def test_spellings(text: str, symbol: str) -> None:
    assert unit(text).symbol == symbol


@pytest.mark.parametrize(
    ("text", "suggested"),
    [
        ("C", "degC"), ("F", "degF"), ("gal", "US gal"), ("hp", "kW"), ("degc", "degC"),
        ("RPM", "rpm"), ("ft-lb", "lbf*ft"), ("newton", "N"), ("Stunden", "h"), ("minuts", "min"),
    ],
)  # fmt: skip
def test_unknown_unit_says_what_was_meant(text: str, suggested: str) -> None:
    with pytest.raises(Malformed) as refused:
        unit(text)
    assert refused.value.rule == "unknown-unit"
    assert f"`{suggested}`" in refused.value.mend


def test_difference_has_no_zero_point() -> None:
    celsius, fahrenheit = UNITS["degC"], UNITS["degF"]
    assert convert(Fraction(90), celsius, fahrenheit) == 194
    assert convert(Fraction(40), fahrenheit.difference, celsius.difference) == Fraction(200, 9)
    assert UNITS["bar"].difference == UNITS["bar"]


@pytest.mark.parametrize(
    ("source", "target"),
    [
        ("N*m", "J"), ("rpm", "Hz"), ("bar", "bar(g)"), ("bar(g)", "bar(a)"), ("month", "d"),
        ("turn", "press"), ("%", "ratio"), ("g", "N"), ("Ah", "A"),
    ],
)  # fmt: skip
def test_kinds_that_do_not_mix(source: str, target: str) -> None:
    assert not UNITS[source].mixes(UNITS[target])
    with pytest.raises(Malformed) as refused:
        convert(Fraction(1), UNITS[source], UNITS[target])
    assert refused.value.rule == "units-that-do-not-mix"


def test_temperature_and_its_difference_do_not_mix() -> None:
    with pytest.raises(Malformed):
        convert(Fraction(1), UNITS["degC"].difference, UNITS["degF"])


def test_every_dimension_is_used_and_its_units_convert() -> None:
    dimensions = {unit.dimension for unit in UNITS.values()}
    assert dimensions == set(Dimension) - {Dimension.TEMPERATURE_DIFFERENCE}
    for one in UNITS.values():
        for other in UNITS.values():
            if one.definition and one.mixes(other):
                there, back = affine(one.symbol, other.symbol), affine(other.symbol, one.symbol)
                assert there[0] * back[0] == 1
                assert there[0] * back[1] + there[1] == 0


def test_the_table_of_factors_is_what_pint_computes(request: pytest.FixtureRequest) -> None:
    table = Path(factors.__file__).with_name("factors.txt")
    computed = factors.computed(*definitions())
    if request.config.getoption("--renew-golden"):
        table.write_bytes(computed.encode())
    assert table.read_text("utf-8") == computed, "run `make golden` and read the diff"


def test_nothing_waits_for_pint() -> None:
    code = (
        "import sys; from fractions import Fraction as F; from placardry.units import *;"
        "convert(F(1), UNITS['bar'], UNITS['psi']); assert 'pint' not in sys.modules"
    )
    assert run([executable, "-c", code], check=False).returncode == 0
