"""Which of a figure's units belong to the manual's market, and which a reader may hide.

A reader may have one side only: the market's own units, or the others. A figure that has units on
one side alone is never hidden, nor one that is set or read on an instrument, which has its unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from placardry.book.instruments import Instrument
from placardry.figures import Figure
from placardry.resolve import Manual
from placardry.rounding import Kind

Side = Literal["own", "other"]
SIDES: tuple[Side, Side] = ("own", "other")


def sides(figure: Figure, manual: Manual) -> Mapping[str, Side]:
    """For each unit that a figure is shown in its side; empty where no unit may be hidden."""
    if figure.kind is Kind.SET_POINT or isinstance(figure.record, Instrument):
        return {}
    found: dict[str, Side] = {
        symbol: "own" if symbol in manual.market.units else "other" for symbol in figure.shown
    }
    return found if len(set(found.values())) == len(SIDES) else {}


def other_unit(figure: Figure, manual: Manual) -> str | None:
    """The unit in which a figure is said to a reader who has chosen the other side."""
    return next((unit for unit, side in sides(figure, manual).items() if side == "other"), None)
