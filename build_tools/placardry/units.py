"""The closed list of units, and exact conversion between them.

The list is `units.txt`: one row is one unit. Ground floor; knows nothing of figures. Factors
are rows of `factors`, which pint computes from the definitions.
"""

from __future__ import annotations

import pkgutil
import unicodedata
from collections.abc import Mapping
from dataclasses import field, replace
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache
from types import MappingProxyType

from placardry.errors import Malformed
from placardry.factors import factor
from placardry.finding import light, nearest


class Dimension(StrEnum):
    """What a unit measures; a figure converts only inside its dimension."""

    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    PRESSURE = "pressure"
    GAUGE_PRESSURE = "gauge pressure"
    ABSOLUTE_PRESSURE = "absolute pressure"
    TORQUE = "torque"
    ENERGY = "energy"
    FORCE = "force"
    LENGTH = "length"
    MASS = "mass"
    VOLUME = "volume"
    VOLUME_FLOW = "volume flow"
    SPEED = "speed"
    ENGINE_SPEED = "engine speed"
    FREQUENCY = "frequency"
    VOLTAGE = "voltage"
    CURRENT = "current"
    RESISTANCE = "resistance"
    ELECTRIC_CHARGE = "electric charge"
    POWER = "power"
    DURATION = "duration"
    CALENDAR = "calendar"
    PERCENTAGE = "percentage"
    RATIO = "ratio"
    ANGLE = "angle"
    COUNT = "count"


@light
class Unit:
    """One unit of the closed list.

    `symbol` is canonical and ASCII, `shown` is as printed; `spellings` may be written in a
    book, `prose` is only recognised in running text. `definition` is pint's, empty where the
    unit converts to no other.
    """

    symbol: str
    shown: str = field(compare=False)
    dimension: Dimension
    definition: str = field(default="", compare=False, repr=False)
    spellings: tuple[str, ...] = field(default=(), compare=False, repr=False)
    prose: tuple[str, ...] = field(default=(), compare=False, repr=False)

    @property
    def difference(self) -> Unit:
        """The unit of a difference between two readings: no zero point, so no offset."""
        if self.dimension is Dimension.TEMPERATURE:
            return replace(self, dimension=Dimension.TEMPERATURE_DIFFERENCE)
        return self

    def mixes(self, other: Unit) -> bool:
        """Whether figures in the two units can be compared."""
        if self.dimension is not other.dimension:
            return False
        return self.symbol == other.symbol or bool(self.definition and other.definition)

    def __str__(self) -> str:
        return self.symbol


def _sections(text: str) -> dict[str, list[str]]:
    sections: dict[str, list[str]] = {}
    here: list[str] = []
    for line in map(str.strip, text.splitlines()):
        if line.startswith("["):
            here = sections.setdefault(line.strip("[]"), [])
        elif line and not line.startswith("#"):
            here.append(line)
    return sections


def _unit(row: str) -> Unit:
    symbol, shown, dimension, definition, spellings, prose = map(str.strip, row.split("|"))
    return Unit(
        symbol,
        shown,
        Dimension(dimension),
        definition,
        tuple(spellings.split(", ")) if spellings else (),
        tuple(prose.split(", ")) if prose else (),
    )


_FILE = _sections((pkgutil.get_data("placardry", "units.txt") or b"").decode())

UNITS: Mapping[str, Unit] = MappingProxyType(
    {unit.symbol: unit for unit in map(_unit, _FILE["units"])}
)
"""Every unit by its canonical symbol, in the order of the list."""

SPELLINGS: Mapping[str, Unit] = MappingProxyType(
    {text: unit for unit in UNITS.values() for text in (unit.symbol, *unit.spellings)}
)
"""Every spelling that a book may use."""

_REFUSED: Mapping[str, tuple[str, str]] = {
    spelling: (why, UNITS[instead].symbol)
    for spelling, why, instead in (map(str.strip, row.split("|")) for row in _FILE["refused"])
}

PROSE: Mapping[str, Unit] = MappingProxyType(
    {text: unit for unit in UNITS.values() for text in unit.prose} | dict(SPELLINGS)
)
"""Every spelling that running text may use; `recognise` reads these."""

PLAIN_COUNT = Unit("", "", Dimension.COUNT)
"""The unit of a number that needs none, where a field allows that."""

RATIO = UNITS["ratio"]
"""The unit of `1:50`; its value is the quotient, 1/50."""

COUNTER = UNITS["h:min:s"]
"""The unit of `25:00:00`; its value is in hours."""


def tidy(text: str) -> str:
    """A spelling in its one form: NFC, the raised dot, plain single spaces."""
    return " ".join(unicodedata.normalize("NFC", text).replace("\u22c5", "·").split())


@lru_cache(1024)
def unit(text: str) -> Unit:
    """The unit that `text` spells.

    Raises:
        Malformed: of rule `unknown-unit`, with the spelling that was probably meant.
    """
    spelling = tidy(text)
    if spelling in SPELLINGS:
        return SPELLINGS[spelling]
    if spelling in _REFUSED:
        why, instead = _REFUSED[spelling]
        message = f"`{spelling}` is refused as a unit: {why}"
        raise Malformed(message, f"write `{instead}` if that is meant", "unknown-unit")
    likely = _likely(spelling[:40])
    raise Malformed(
        f"`{spelling[:40]}` is not a unit that books can use",
        "write " + " or ".join(f"`{symbol}`" for symbol in likely)
        if likely
        else "write one of the listed units, such as `degC`, `bar`, `rpm` or `h`",
        "unknown-unit",
    )


def _likely(spelling: str) -> list[str]:
    """The symbols of the units that a spelling may stand for, best first."""
    if spelling in PROSE:
        return [PROSE[spelling].symbol]
    lowered = {text.lower(): PROSE[text].symbol for text in PROSE}
    word = spelling.lower()
    if word in lowered or len(word) < 3:  # any two letters are near to some unit
        return [lowered[word]] if word in lowered else []
    return list(dict.fromkeys(lowered[text] for text in nearest(word, lowered)))


def convert(value: Fraction, source: Unit, target: Unit) -> Fraction:
    """The value in `target` of what is `value` in `source`, exactly.

    Raises:
        Malformed: of rule `units-that-do-not-mix`.
    """
    if source.symbol == target.symbol and source.dimension is target.dimension:
        return value
    if not source.mixes(target):
        raise Malformed(
            f"`{source}` is a unit of {source.dimension}, `{target}` is one of "
            f"{target.dimension}: one cannot be converted into the other",
            f"give the figure in a unit of {target.dimension}, such as `{target}`",
            "units-that-do-not-mix",
        )
    slope, offset = affine(source.symbol, target.symbol)
    if not offset or source.dimension is Dimension.TEMPERATURE_DIFFERENCE:
        return value * slope
    return value * slope + offset


@cache
def affine(source: str, target: str) -> tuple[Fraction, Fraction]:
    """The slope and offset that take a value in unit `source` to unit `target`.

    Both are canonical symbols of one dimension.
    """
    here, there = factor(source), factor(target)
    return here.slope / there.slope, (here.offset - there.offset) / there.slope


@cache
def base(unit: Unit) -> tuple[Fraction, tuple[tuple[str, int], ...]]:
    """The factor of a unit over base units, and its dimension as exponents, for formulas.

    A unit without a definition (a count, a ratio, percent) has the dimension of its symbol. A
    temperature counts as a difference, for a zero point means nothing in a product.
    """
    if not unit.definition:
        return Fraction(1), () if unit.dimension is Dimension.RATIO else ((unit.symbol, 1),)
    found = factor(unit.symbol)
    return found.slope, found.exponents


def definitions() -> tuple[list[str], dict[str, str]]:
    """What `factors.computed` is given: the base units, and the definition of each unit."""
    return _FILE["bases"], {one.symbol: one.definition for one in UNITS.values() if one.definition}
