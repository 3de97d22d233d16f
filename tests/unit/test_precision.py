"""Figures that are rounder in another unit: conversions known from handbooks."""

from __future__ import annotations

import pytest

from placardry.quantity import Quantity
from placardry.rules.precision import rounder
from placardry.units import UNITS


@pytest.mark.parametrize(
    ("written", "unit", "origin"),
    [
        # Exact by definition of the scales (NIST SP 811, appendix B.8), rounded to the digit.
        ("87.8 degC", "degF", "190 degF"),
        ("177 degC", "degF", "350 degF"),
        ("1184 degF", "degC", "640 degC"),
        ("118.93 psi(g)", "bar(g)", "8.2 bar(g)"),
        # Round where they are written, or too coarse to tell.
        ("88 degC", "degF", None),
        ("38 degC", "degF", None),
        ("640 degC", "degF", None),
        ("8.2 bar(g)", "psi(g)", None),
        ("15.2 mm", "in", None),
        ("0 degC", "degF", None),
    ],
)
def test_a_rounder_figure_is_found_in_another_unit(
    written: str, unit: str, origin: str | None
) -> None:
    found = rounder(Quantity.parse(written), UNITS[unit])
    assert (str(found) if found is not None else None) == origin
