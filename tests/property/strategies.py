"""What Hypothesis draws for the figures: values, steps, units and texts like those people write."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from placardry.units import COUNTER, RATIO, SPELLINGS, UNITS, Unit

rationals = st.fractions(min_value=-100_000, max_value=100_000, max_denominator=10_000)
decimals = st.builds(
    lambda digits, places: Fraction(digits, 10**places),
    st.integers(-9_999_999, 9_999_999),
    st.integers(0, 4),
)
steps = st.builds(
    lambda digit, places: digit * Fraction(10) ** places,
    st.sampled_from([Fraction(1), Fraction(2), Fraction(5), Fraction(1, 4)]),
    st.integers(-3, 2),
)
units = st.sampled_from([unit for unit in UNITS.values() if unit not in (RATIO, COUNTER)])
convertible = [(a, b) for a in UNITS.values() for b in UNITS.values() if a != b and a.mixes(b)]
unit_pairs = st.sampled_from(convertible)
languages = st.sampled_from(["en", "de"])

_PIECES = st.sampled_from(
    [
        *("0123456789.,-:±+/_½٤≤()\n \u2212–\u00a0\u202f"),
        *(" to ", "above ", "at most ", "e3", "in", "1:", ":00"),
        *sorted(SPELLINGS),
    ]
)
near_figures = st.lists(_PIECES, max_size=12).map("".join)
texts = st.one_of(st.text(max_size=40), near_figures)


@st.composite
def figures_with_steps(draw: st.DrawFn) -> tuple[Fraction, Fraction, Unit]:
    """A value on a display step that it can be printed with, and its unit."""
    step = draw(steps)
    return draw(st.integers(-20_000, 20_000)) * step, step, draw(units)
