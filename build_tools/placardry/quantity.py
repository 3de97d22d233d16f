"""A number with its unit, exact, as an author writes it.

Ground floor. A quantity keeps the text it was written as (`written`), which takes no part in
equality. Rules of the `Malformed` raised here: `notation.RULES`.
"""

from __future__ import annotations

from dataclasses import field, replace
from fractions import Fraction
from typing import ClassVar

from placardry import rounding, units
from placardry.errors import Malformed
from placardry.finding import light
from placardry.notation import FIGURE_PATTERN, Numeral, numeral_text, quoted, read_numeral
from placardry.units import COUNTER, PLAIN_COUNT, RATIO, Dimension, Unit, convert


@light
class Quantity:
    """A number with its unit. Equal are equal value, unit and count of decimals.

    Units: of `h:min:s` the value is in hours; of a ratio `1:50` it is the quotient 1/50.
    """

    value: Fraction
    unit: Unit
    digits: int = 0
    written: str = field(default="", compare=False)

    SCHEMA_PATTERN: ClassVar[str] = f"^{FIGURE_PATTERN}$"
    EXAMPLES: ClassVar[tuple[str, ...]] = ("88 degC", "2.50 bar", "-5 degC", "25:00:00", "1:50")

    @classmethod
    def parse(cls, text: str, *, bare: bool = False) -> Quantity:
        """The quantity that `text` states; with `bare` also a number that has no unit.

        Raises:
            Malformed: of one of `notation.RULES`.
        """
        numeral = read_numeral(text)
        if numeral.unit is None and not bare:
            raise Malformed(
                f"`{quoted(text)}` has no unit",
                f"write the unit after the number, as in `{numeral.text} degC` or "
                f"`{numeral.text} turns`",
                "number-without-unit",
            )
        return quantity_of(numeral, numeral.unit or PLAIN_COUNT, text)

    @classmethod
    def of(cls, value: Fraction, unit: Unit) -> Quantity:
        """The quantity of an exact value, written as a decimal, or as a fraction if it has none."""
        try:
            numeral = numeral_text(value, unit)
            digits = len(numeral.partition(".")[2]) if unit != RATIO else 0
        except ValueError:
            numeral, digits = rounding.exact(value), 0
        return cls(value, unit, digits, f"{numeral} {symbol_of(unit)}".rstrip())

    def to(self, unit: Unit) -> Quantity:
        """The same quantity, exactly, in another unit.

        Raises:
            Malformed: of rule `units-that-do-not-mix`.
        """
        if unit == self.unit:
            return self
        return Quantity.of(convert(self.value, self.unit, unit), unit)

    def as_difference(self) -> Quantity:
        """The same number as a difference between two readings: a rise of `40 degF`, say."""
        return replace(self, unit=self.unit.difference)

    def step_in(self, unit: Unit) -> Fraction:
        """The step to round to in `unit` where no display step is declared.

        Source: NIST SP 1038 (2006) section 4.4.
        """
        if unit == COUNTER:
            return Fraction(1, 3600)
        if unit == RATIO:
            return self.value  # a ratio is published as it is
        step = Fraction(1, 10**self.digits)
        if unit.symbol == self.unit.symbol:
            return step
        if self.unit.dimension is Dimension.TEMPERATURE:
            return rounding.resolution_step(step, units.affine(self.unit.symbol, unit.symbol)[0])
        converted = convert(self.value, self.unit, unit)
        return rounding.nominal_step(self.value, self.digits, converted)

    def __str__(self) -> str:
        return self.written or Quantity.of(self.value, self.unit).written


def symbol_of(unit: Unit) -> str:
    """The symbol as an author writes it behind the number: none for `1:50` and `25:00:00`."""
    return "" if unit in (RATIO, COUNTER) else unit.symbol


def quantity_of(numeral: Numeral, unit: Unit, written: str) -> Quantity:
    """The quantity of a numeral already read, in a unit that may stand elsewhere."""
    return Quantity(numeral.value, unit, numeral.decimals, " ".join(written.split()))
