"""Factors against NIST SP 811 and against GNU units, a second opinion on every unit."""

from __future__ import annotations

import shutil
import subprocess
from fractions import Fraction

import pytest

from placardry.rounding import decimal, resolution_step, round_even
from placardry.units import UNITS, Dimension, affine, convert, unit
from tests.reference.rows import Row, rows, symbol


@pytest.mark.parametrize("row", rows("unit", "unit-exact", "temperature", "temperature-interval"))
def test_factor_is_the_published_one(row: Row) -> None:
    source, target = UNITS[symbol(row.input_unit)], UNITS[symbol(row.expected_unit)]
    if row.topic == "temperature-interval":
        source, target = source.difference, target.difference
    value = convert(Fraction(row.input), source, target)
    expected = Fraction(row.expected)
    if row.tolerance.endswith("rel"):
        assert abs(value / expected - 1) <= Fraction(row.tolerance.split()[0])
    else:
        assert abs(value - expected) <= Fraction(row.tolerance.split()[0])


@pytest.mark.parametrize("row", rows("temperature-round"))
def test_whole_fahrenheit_keeps_half_celsius(row: Row) -> None:
    slope, offset = affine("degF", "degC")
    step = resolution_step(Fraction(1), slope)
    assert decimal(round_even(Fraction(row.input) * slope + offset, step), step) == row.expected


# Our symbols in the words of GNU units. `US gal` there is the gallon of the survey foot.
GNU = {
    "bar(g)": "bar", "kPa(g)": "kPa", "psi(g)": "psi", "bar(a)": "bar", "kPa(a)": "kPa",
    "psi(a)": "psi", "lbf*ft": "lbf ft", "lbf*in": "lbf inch", "in": "inch", "NM": "nauticalmile",
    "US gal": "gallon", "US qt": "quart", "US fl oz": "fluidounce", "US gal/h": "gallon/hour",
    "L": "liter", "L/h": "liter/hour", "mL": "milliliter", "mL/min": "milliliter/min",
    "cm3": "cm^3", "km/h": "km/hour", "kn": "knot", "oz": "ounce", "lb": "pound",
    "h": "hour", "h:min:s": "hour", "d": "day", "Ah": "A hour", "mAh": "mA hour", "Wh": "W hour",
    "daN": "dekanewton", "ohm": "ohm", "kohm": "kiloohm",
    "rpm": "rev/min", "degC": "kelvin", "degF": "degF", "month": "year/12",
}  # fmt: skip
# What every unit of a dimension is compared with.
YARDSTICKS = {
    Dimension.TEMPERATURE: "K", Dimension.PRESSURE: "Pa", Dimension.GAUGE_PRESSURE: "kPa(g)",
    Dimension.ABSOLUTE_PRESSURE: "kPa(a)", Dimension.TORQUE: "N*m", Dimension.ENERGY: "J",
    Dimension.FORCE: "N", Dimension.LENGTH: "m", Dimension.MASS: "kg", Dimension.VOLUME: "L",
    Dimension.VOLUME_FLOW: "L/h", Dimension.SPEED: "m/s", Dimension.ENGINE_SPEED: "rpm",
    Dimension.FREQUENCY: "Hz", Dimension.VOLTAGE: "V", Dimension.CURRENT: "A",
    Dimension.RESISTANCE: "ohm", Dimension.ELECTRIC_CHARGE: "Ah", Dimension.POWER: "W",
    Dimension.DURATION: "s", Dimension.CALENDAR: "month",
}  # fmt: skip


@pytest.mark.skipif(shutil.which("units") is None, reason="GNU units is not installed")
@pytest.mark.parametrize("name", [name for name, unit in UNITS.items() if unit.definition])
def test_factor_is_that_of_gnu_units(name: str) -> None:
    yardstick = YARDSTICKS[UNITS[name].dimension]
    words = [GNU.get(symbol, symbol) for symbol in (name, yardstick)]
    run = subprocess.run(
        ["units", "-t", "-d", "15", *words], capture_output=True, text=True, check=True
    )
    # 15 digits are all that it prints; its inch of mercury is the conventional one as well
    assert abs(affine(name, yardstick)[0] / Fraction(run.stdout.strip()) - 1) < Fraction(1, 10**12)


@pytest.mark.skipif(shutil.which("units") is None, reason="GNU units is not installed")
@pytest.mark.parametrize("celsius", [-40, -5, 0, 63, 88, 640])
def test_temperature_is_that_of_gnu_units(celsius: int) -> None:
    run = subprocess.run(
        ["units", "-t", "-d", "15", "--", f"tempC({celsius})", "tempF"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    ours = convert(Fraction(celsius), unit("degC"), unit("degF"))
    assert abs(ours - Fraction(run.stdout.strip())) < Fraction(1, 10**9)
