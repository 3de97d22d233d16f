from __future__ import annotations

from fractions import Fraction

import pytest

from placardry.rounding import (
    MOST_EATEN,
    ROUNDERS,
    Grid,
    Kind,
    Side,
    decimal,
    decimals_of,
    exact,
    nominal_step,
    resolution_step,
    round_cut,
    round_figure,
    round_nominal,
    round_set_point,
)

F = Fraction
ONE = F(1)


@pytest.mark.parametrize(
    ("kind", "low", "high", "expected"),
    [
        (Kind.MAXIMUM, None, F("190.4"), (None, 190)),
        (Kind.MAXIMUM, None, F("-4.5"), (None, -5)),
        (Kind.MINIMUM, F("14.2"), None, (15, None)),
        (Kind.MINIMUM, F("-4.5"), None, (-4, None)),
        (Kind.RANGE, F("145.4"), F("179.6"), (146, 179)),
        (Kind.CHANGE, F("145.4"), F("179.6"), (146, 179)),
        (Kind.NOMINAL, F("145.4"), F("179.6"), (146, 179)),
        (Kind.AVOID, F("145.4"), F("179.6"), (145, 180)),
        (Kind.TYPICAL, F("145.5"), F("146.5"), (146, 146)),
    ],
)
def test_kinds(
    kind: Kind, low: Fraction | None, high: Fraction | None, expected: tuple[int | None, int | None]
) -> None:
    rounded = round_figure(kind, low, high, ONE)
    assert (rounded.low, rounded.high) == expected


def test_every_kind_has_its_rounding() -> None:
    assert set(Kind) - set(ROUNDERS) == {Kind.CUT, Kind.SET_POINT}
    for kind in (Kind.CUT, Kind.SET_POINT):
        with pytest.raises(ValueError, match="side"):
            round_figure(kind, ONE, None, ONE)


def test_range_that_is_emptied_or_eaten() -> None:
    emptied = round_figure(Kind.RANGE, F("1.2"), F("1.8"), ONE)
    assert emptied.is_empty
    assert emptied.is_too_coarse
    eaten = round_figure(Kind.RANGE, F("1.5"), F("4.5"), ONE)
    assert (eaten.low, eaten.high, eaten.eaten) == (F(2), F(4), F(1, 3))
    assert not eaten.is_empty
    assert eaten.is_too_coarse
    assert F(1, 3) > MOST_EATEN
    point = round_figure(Kind.RANGE, F(2), F(2), ONE)
    assert not point.is_too_coarse
    assert round_figure(Kind.AVOID, F("1.5"), F("4.5"), ONE).eaten == 0


def test_cut_shortens_the_safer_band() -> None:
    assert round_cut(F("179.6"), ONE, Side.BELOW) == 179  # green below, yellow above
    assert round_cut(F("145.4"), ONE, Side.ABOVE) == 146  # yellow below, green above


def test_set_point_takes_the_grid_of_the_instrument() -> None:
    grid = Grid(F(5), origin=F(32))
    assert round_set_point(F("190.4"), grid, Side.BELOW) == 187
    assert round_set_point(F("190.4"), grid, Side.ABOVE) == 192
    assert round_set_point(F(187), grid, Side.ABOVE) == 187
    assert F(187) in grid
    assert F(190) not in grid


def test_nominal_lies_inside_its_band() -> None:
    # 25 +2/-0 N*m in lbf*ft is 18.44 to 19.91: the nearest, 18, is below the band
    value, band = round_nominal(F("18.44"), F("18.44"), F("19.91"), ONE)
    assert (value, band.low, band.high) == (F(19), F(19), F(19))
    assert round_nominal(F("18.44"), None, None, ONE)[0] == 18


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        ("88", None, "88"), ("88", "1", "88"), ("88", "1/2", "88.0"), ("2.5", "1/100", "2.50"),
        ("-1/2", "1/2", "-0.5"), ("190", "10", "190"), ("0", "1/100", "0.00"), ("85", "5", "85"),
        ("0.05", "1/20", "0.05"), ("2.5", None, "2.5"), ("-0", "1", "0"), ("1/8", None, "0.125"),
    ],
)  # fmt: skip
def test_decimal(value: str, step: str | None, text: str) -> None:
    assert decimal(F(value), F(step) if step else None) == text


def test_decimal_never_rounds() -> None:
    with pytest.raises(ValueError, match="multiple"):
        decimal(F("2.55"), F("0.1"))
    with pytest.raises(ValueError, match="finite"):
        decimal(F(1, 3))
    with pytest.raises(ValueError, match="finite"):
        decimals_of(F(1, 3600))


def test_exact_is_a_quotient() -> None:
    assert exact(F(88)) == "88/1"
    assert exact(F("190.4")) == "952/5"


def test_steps_where_none_is_declared() -> None:
    assert nominal_step(F(0), 1, F(0)) == F("0.1")
    assert nominal_step(F("0.05"), 2, F("0.725")) == F("0.1")
    assert nominal_step(F(250), 0, F("36.26")) == F("0.1")
    assert resolution_step(ONE, F(9, 5)) == 1
    assert resolution_step(F("0.1"), F(9, 5)) == F("0.1")
    assert resolution_step(ONE, F(5, 9)) == F("0.5")
