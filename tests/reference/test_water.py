"""Where water boils, against the tables of IAPWS-IF97 and of the US Standard Atmosphere 1976.

The rows stand in `data/water.csv`, each with its source. Those of `derived` were worked out from
the two by other programs (IAPWS-95 agrees with them within 0.001 K).
"""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest

from placardry.water import air_pressure, air_temperature, boiling_point

DATA = (Path(__file__).parent / "data/water.csv").read_text("utf-8")
ROWS = list(csv.DictReader(DATA.splitlines()))
EARTH = 6_356_766.0  # m, the radius of US Standard Atmosphere 1976 equation 18
METRES = {"m": 1.0, "ft": 0.3048}
PASCALS = {"Pa": 1.0, "hPa": 100.0, "MPa": 1e6, "inHg": 3386.389, "bar": 1e5}


def of(topic: str) -> list[object]:
    found = [row for row in ROWS if row["topic"] == topic]
    return [pytest.param(row, id=f"{row['id']} {row['source']}, {row['section']}") for row in found]


def geopotential(number: str, words: str) -> float:
    """Metres of geopotential, the input of the equation, from an altitude as a table heads it."""
    unit, _, kind = words.partition(" ")
    altitude = float(number) * METRES[unit]
    return altitude * EARTH / (EARTH + altitude) if kind == "geometric" else altitude


@pytest.mark.parametrize("row", of("saturation-T"))
def test_water_boils_at_the_saturation_temperature(row: dict[str, str]) -> None:
    found = boiling_point(float(row["input"]) * PASCALS[row["input_unit"]])
    zero = 273.15 if row["expected_unit"] == "K" else 0.0
    assert found + zero == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", of("saturation-p"))
def test_the_saturation_pressure_gives_its_temperature_back(row: dict[str, str]) -> None:
    # Equations 30 and 31 solve one equation, 29, for either variable; nine printed digits.
    found = boiling_point(float(row["expected"]) * PASCALS[row["expected_unit"]])
    assert found + 273.15 == pytest.approx(float(row["input"]), abs=1e-6)


@pytest.mark.parametrize("row", of("atmosphere-T"))
def test_the_air_gets_colder(row: dict[str, str]) -> None:
    found = air_temperature(geopotential(row["input"], row["input_unit"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", of("atmosphere-p"))
def test_the_air_gets_thinner(row: dict[str, str]) -> None:
    pascals = air_pressure(geopotential(row["input"], row["input_unit"]))
    found = pascals / PASCALS[row["expected_unit"]]
    expected = float(row["expected"])
    if row["tolerance"] == "+0.01/-0":  # the table cuts its digits off
        assert expected <= found < expected + 0.01
    else:
        assert found == pytest.approx(expected, abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", of("boiling-vs-altitude"))
def test_water_boils_colder_up_there(row: dict[str, str]) -> None:
    found = boiling_point(air_pressure(geopotential(row["input"], row["input_unit"])))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", of("boiling-pressurised"))
def test_a_cap_lets_water_boil_hotter(row: dict[str, str]) -> None:
    read = re.fullmatch(r"(\d+) m, cap ([\d.]+) bar\(g\)", row["input"])
    assert read is not None
    pressure = air_pressure(float(read[1])) + float(read[2]) * PASCALS["bar"]
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    assert boiling_point(pressure) == pytest.approx(expected, abs=tolerance)


def test_where_the_equations_end() -> None:
    with pytest.raises(ValueError, match="no boiling point"):
        boiling_point(600)
    with pytest.raises(ValueError, match="lowest layer"):
        air_pressure(11_001)
    assert math.isfinite(boiling_point(air_pressure(11_000)))


def test_the_rows_are_all_there() -> None:
    assert len(ROWS) == 23
