"""The choice of units that a manual offers, and the marks of what it hides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from placardry.numerals import unit_shown
from placardry.wording.phrases import Speaker
from placardry.wording.unit_sides import SIDES, Side, sides

INSTEAD = "unit-instead"  # the class of what is read in running text where its own unit is hidden


def marked(sides: Iterable[Side | None]) -> str:
    """The class of what a reader hides with these sides; empty for what always stands."""
    return " ".join(f"unit-{side}" for side in SIDES if side in set(sides))


@dataclass(frozen=True, slots=True)
class Choice:
    """One side as a reader chooses it.

    Attributes:
        symbols: its units, which say the same in every manual
        shown: the same as printed in the manual's language
    """

    side: Side
    symbols: tuple[str, ...]
    shown: tuple[str, ...]


def choices(speaker: Speaker) -> tuple[Choice, ...]:
    """The two sides of a manual's units; empty where there is nothing to choose.

    The market's units stand in its own order, the others as those they stand beside.
    """
    beside: dict[str, list[str]] = {}
    names: dict[str, str] = {}
    for figure in speaker.figures.values():
        found = sides(figure, speaker.manual)
        for symbol, side in found.items():
            names[symbol] = unit_shown(figure.shown[symbol].unit, speaker.language)
            if side == "other":
                own = next(one for one in found if found[one] == "own")
                beside.setdefault(own, []).append(symbol)
    order = [symbol for symbol in speaker.manual.market.units if symbol in names]
    others = dict.fromkeys(symbol for one in order for symbol in beside.get(one, ()))
    both: tuple[tuple[Side, tuple[str, ...]], ...] = (("own", (*order,)), ("other", (*others,)))
    return tuple(
        Choice(side, symbols, tuple(dict.fromkeys(names[one] for one in symbols)))
        for side, symbols in both
        if symbols
    )
