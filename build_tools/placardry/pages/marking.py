"""What a gauge of a scale is marked with: which colour lies where, and what is printed beside it.

Source: 14 CFR 25.1549: (a) each maximum and minimum limit a red line, (b) the normal range green,
(c) the precautionary range yellow, (d) a range to be avoided a red arc.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from placardry.book.figures import Limit, Scale
from placardry.conditions import box_of
from placardry.figures import Figure
from placardry.rounding import Kind
from placardry.stated import parts_of
from placardry.stated.limits import SAFETY
from placardry.wording.phrases import Speaker, end_of, numeral


@dataclass(frozen=True, slots=True)
class Band:
    """Where a colour lies; None for an end that is open."""

    colour: str
    low: Fraction | None
    high: Fraction | None


@dataclass(frozen=True, slots=True)
class Line:
    """A red line, and on which side of it the reading must not be."""

    at: Fraction
    beyond: Literal["below", "above"]


@dataclass(frozen=True, slots=True)
class Numeral:
    """What is printed: the `end` of a band where it is cut off, or a whole range to be avoided."""

    at: Fraction
    figure: Figure
    end: str | None = None

    def text(self, unit: str, language: str) -> str:
        """The numeral with its unit."""
        shown = self.figure.shown[unit]
        return numeral(shown if self.end is None else end_of(shown, self.end), language)


@dataclass(frozen=True, slots=True)
class Marking:
    """The marks of a gauge, each kind from the lowest on.

    Units: all values are in the unit that the manual prints first, as published.
    """

    bands: tuple[Band, ...]
    lines: tuple[Line, ...]
    numerals: tuple[Numeral, ...]


def marking(speaker: Speaker, scale: Scale) -> Marking:
    """The marks of a scale, and of the ranges to be avoided that hold where it holds."""
    found = [speaker.figures.get((scale.id, part)) for part in parts_of(scale)]
    bands: list[Band] = []
    lines: list[Line] = []
    cuts: dict[Fraction, Numeral] = {}
    # Where two bands meet stands the figure of the worse one, which comes last.
    for figure in sorted(filter(None, found), key=lambda figure: SAFETY[figure.colour]):
        low, high = figure.first.low, figure.first.high
        if low is not None:
            cuts[low] = Numeral(low, figure, "low")
        if high is not None:
            cuts[high] = Numeral(high, figure, "high")
        if figure.kind is Kind.MAXIMUM and high is not None:
            lines.append(Line(high, "above"))
        elif figure.kind is Kind.MINIMUM and low is not None:
            lines.append(Line(low, "below"))
        else:
            colour = "avoid" if figure.colour == "red" else figure.colour or ""
            bands.append(Band(colour, low, high))
    whole: list[Numeral] = []
    for figure in avoided(speaker, scale):
        low, high = figure.first.low, figure.first.high
        if low is not None and high is not None:
            bands.append(Band("avoid", low, high))
            whole.append(Numeral((low + high) / 2, figure))
    return Marking(
        tuple(sorted(bands, key=lambda band: (band.low is not None, band.low or 0))),
        tuple(sorted(lines, key=lambda line: line.at)),
        tuple(sorted([*cuts.values(), *whole], key=lambda one: one.at)),
    )


def avoided(speaker: Speaker, scale: Scale) -> Iterator[Figure]:
    """The ranges to be avoided of the scale's parameter that can hold while the scale does."""
    own = box_of(speaker.manual.conditions(scale.condition))
    for figure in speaker.figures.values():
        if isinstance(figure.record, Limit) and figure.parameter == scale.parameter:
            box = box_of(figure.conditions)
            if figure.kind is Kind.AVOID and own and box and own.meet(box):
                yield figure
