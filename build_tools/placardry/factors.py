"""What each unit is in base units, exactly: a table that pint computed once.

pint is the authority, and slow to start; so `computed` asks it when the table is written, and
every command reads the table `factors.txt`. A test compares the two, and `make golden` writes
the table anew after a change of `units.txt`.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import cache
from typing import Any, NamedTuple

HEAD = "# Computed by pint from units.txt; `make golden` writes it anew.\n"


class Factor(NamedTuple):
    """A unit over base units: a value `x` in it is `x * slope + offset`.

    Attributes:
        exponents: its dimension, as powers of base dimensions
    """

    slope: Fraction
    offset: Fraction
    exponents: tuple[tuple[str, int], ...]


@cache
def factor(symbol: str) -> Factor:
    """The factor of a unit that has a definition, by its canonical symbol."""
    slope, offset, *powers = _table()[symbol].split()
    exponents = tuple((name, int(power)) for name, _, power in (p.partition("^") for p in powers))
    return Factor(Fraction(slope), Fraction(offset), exponents)


@cache
def _table() -> Mapping[str, str]:
    text = (pkgutil.get_data("placardry", "factors.txt") or b"").decode()
    rows = (line.partition("|") for line in text.splitlines() if not line.startswith("#"))
    return {symbol.strip(): rest for symbol, _, rest in rows}


def computed(bases: Iterable[str], definitions: Mapping[str, str]) -> str:
    """The text of `factors.txt`: the factor of each unit of `definitions`, as pint computes it."""
    import pint  # slow, and no command needs it

    registry: Any = pint.UnitRegistry(filename=None, non_int_type=Fraction)
    registry.load_definitions(list(bases))
    rows = []
    for number, (symbol, definition) in enumerate(definitions.items()):
        registry.define(f"unit_{number} = {definition}")
        at_zero, at_one = (
            registry.Quantity(Fraction(value), f"unit_{number}").to_base_units() for value in (0, 1)
        )
        offset, end = Fraction(at_zero.magnitude), Fraction(at_one.magnitude)
        powers = (f"{name}^{int(power)}" for name, power in sorted(at_one.dimensionality.items()))
        rows.append(f"{symbol:8} | {end - offset} {offset} {' '.join(powers)}".rstrip() + "\n")
    return HEAD + "".join(rows)
