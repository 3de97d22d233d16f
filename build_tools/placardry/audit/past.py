"""What stood in the issued editions, as `editions.json` tells it to a stranger."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Any

from placardry.errors import Malformed, PlacardryError
from placardry.quantity import Quantity
from placardry.units import UNITS

NAME = "editions.json"
UNJUDGED = f"`{NAME}` is missing, so that codes and former values cannot be judged"
Key = tuple[str, str]  # manual, and the anchor of a figure or the id of a card
_NUMBER = re.compile(r"-?[0-9]+(?:[.:][0-9]+)*")


@dataclass(frozen=True, slots=True)
class Issue:
    """One edition.

    Attributes:
        withdrawn: the day on which it was, or an empty text
        summaries: what is new in it, and why it was withdrawn, in each language
        seal: the digest of its entry in the ledger
    """

    number: int
    dated: str
    withdrawn: str
    summaries: tuple[str, ...]
    seal: str

    @property
    def mark(self) -> tuple[int, str]:
        """Number and day, as files name an edition."""
        return self.number, self.dated


@dataclass(frozen=True, slots=True)
class State:
    """How a figure stood in an edition: canonical numerals by unit, and its condition in words."""

    shown: Mapping[str, str]
    condition: str = ""

    @property
    def said(self) -> str:
        """The figure in each unit, and under which condition."""
        units = {
            symbol: UNITS[symbol].shown if symbol in UNITS else symbol for symbol in self.shown
        }
        each = (f"{text} {units[symbol]}".strip() for symbol, text in self.shown.items())
        return f"{' or '.join(each)} {self.condition}".strip()

    def numbers(self, unit: str) -> frozenset[Fraction] | None:
        """The numbers of the figure in a unit; None where it is not shown in it."""
        if unit not in self.shown:
            return None
        return _numbers(self.shown[unit])


@lru_cache(maxsize=4096)
def _numbers(shown: str) -> frozenset[Fraction]:
    return frozenset(
        Quantity.parse(one).value if ":" in one else Fraction(one) for one in _NUMBER.findall(shown)
    )


@dataclass(frozen=True, slots=True)
class History:
    """The editions by number, what figures were in each, and the codes of cards in each."""

    path: str = ""
    editions: Mapping[int, Issue] = field(default_factory=dict)
    figures: Mapping[Key, Mapping[int, State]] = field(default_factory=dict)
    cards: Mapping[Key, Mapping[int, str]] = field(default_factory=dict)

    @classmethod
    def read(cls, path: str, data: bytes) -> History:
        """The history that the bytes of an `editions.json` hold.

        Raises:
            PlacardryError: the file is none; the message says where it fails.
        """
        try:
            whole = json.loads(data)
            editions = {row["number"]: _issue(row) for row in whole["editions"]}
            figures: dict[Key, dict[int, State]] = {}
            for row in whole["figures"]:
                state = State(dict(row["shown"]), row["condition"] or "")
                for unit in state.shown:
                    state.numbers(unit)
                anchor = f"{row['id']}.{row['part']}" if row["part"] else row["id"]
                own = figures.setdefault((row["manual"], anchor), {})
                own |= dict.fromkeys(row["editions"], state)
            cards: dict[Key, dict[int, str]] = {}
            for row in whole["cards"]:
                known = cards.setdefault((row["manual"], row["card"]), {})
                known |= dict.fromkeys(row["editions"], row["code"])
            return cls(path, editions, figures, cards)
        except (KeyError, TypeError, ValueError, AttributeError, Malformed) as fault:
            raise PlacardryError(f"`{path}` tells no editions: {fault}") from None

    @property
    def latest(self) -> Issue | None:
        """The latest edition that was not withdrawn."""
        return max(self.standing, key=lambda one: one.number, default=None)

    @property
    def standing(self) -> tuple[Issue, ...]:
        """The editions that were not withdrawn."""
        return tuple(one for one in self.editions.values() if not one.withdrawn)

    @property
    def day(self) -> str:
        """The day on which an edition was last issued or withdrawn; empty if none ever was."""
        days = (day for one in self.editions.values() for day in (one.dated, one.withdrawn))
        return max(days, default="")

    def code(self, card: Key) -> str:
        """The code of a card in the latest standing edition; empty if it is not in it."""
        return self.cards.get(card, {}).get(self.latest.number, "") if self.latest else ""

    def since(self, card: Key) -> Issue | None:
        """The standing edition since which a card has had the code that it has in the latest."""
        found = None
        for one in sorted(self.standing, key=lambda one: -one.number):
            if self.cards.get(card, {}).get(one.number, "") != self.code(card):
                break
            found = one
        return found

    def held_by(self, code: str) -> tuple[Key, tuple[int, ...]] | None:
        """The card that had a code, and the editions in which it had it."""
        for card, codes in self.cards.items():
            held = tuple(number for number, one in codes.items() if one == code)
            if held:
                return card, held
        return None


def _issue(row: Mapping[str, Any]) -> Issue:
    texts = [*row["summary"].values(), *row["because"].values()]
    words = tuple(" ".join(text.split()) for text in texts)
    return Issue(row["number"], row["dated"], row["withdrawn"] or "", words, row["seal"])
