"""What stood in the issued editions, as `editions.json` tells it to a stranger."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Any

from placardry.audit import shape
from placardry.audit.shape import TEXT_OR_NONE
from placardry.errors import PlacardryError
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
    """The editions by number, what figures were in each, and the codes of cards in each.

    Attributes:
        twice: all codes of a card that has several in one edition, of which `cards` has the first
    """

    path: str = ""
    editions: Mapping[int, Issue] = field(default_factory=dict)
    figures: Mapping[Key, Mapping[int, State]] = field(default_factory=dict)
    cards: Mapping[Key, Mapping[int, str]] = field(default_factory=dict)
    twice: Mapping[tuple[Key, int], tuple[str, ...]] = field(default_factory=dict)

    @classmethod
    def read(cls, path: str, data: bytes) -> History:
        """The history that the bytes of an `editions.json` hold.

        Raises:
            PlacardryError: the file is none; the message says where it fails.
        """
        try:
            whole = shape.record(shape.parsed(data), _WHOLE, "the file")
            issues = [_issue(row, at) for at, row in enumerate(whole["editions"], 1)]
            figures: dict[Key, dict[int, State]] = {}
            for at, row in enumerate(whole["figures"], 1):
                shape.record(row, _FIGURE, what := f"figure {at}")
                shape.texts(row["shown"], f"`shown` of {what}")
                state = State(row["shown"], row["condition"] or "")
                for unit in state.shown:
                    state.numbers(unit)
                anchor = f"{row['id']}.{row['part']}" if row["part"] else row["id"]
                own = figures.setdefault((row["manual"], anchor), {})
                own |= dict.fromkeys(_numbered(row, what), state)
            cards: dict[Key, dict[int, str]] = {}
            twice: dict[tuple[Key, int], tuple[str, ...]] = {}
            for at, row in enumerate(whole["cards"], 1):
                shape.record(row, _CARD, what := f"card {at}")
                card, code = (row["manual"], row["card"]), row["code"]
                known = cards.setdefault(card, {})
                for number in _numbered(row, what):
                    if known.setdefault(number, code) != code:
                        twice[card, number] = (*twice.get((card, number), (known[number],)), code)
            return cls(path, {one.number: one for one in issues}, figures, cards, twice)
        except (ArithmeticError, ValueError):
            raise PlacardryError(f"{_UNREAD}: a figure holds what is no number") from None
        except PlacardryError as fault:
            raise PlacardryError(f"{_UNREAD}: {fault}") from None

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


_UNREAD = "this file of editions cannot be read"
_WHOLE: shape.Shape = dict.fromkeys(("editions", "figures", "cards"), list)
_ISSUE: shape.Shape = {
    "number": int,
    **dict.fromkeys(("dated", "seal"), str),
    "withdrawn": TEXT_OR_NONE,
    **dict.fromkeys(("summary", "because"), dict),
}
_FIGURE: shape.Shape = {
    **dict.fromkeys(("manual", "id"), str),
    **dict.fromkeys(("part", "condition"), TEXT_OR_NONE),
    "shown": dict,
    "editions": list,
}
_CARD: shape.Shape = {**dict.fromkeys(("manual", "card", "code"), str), "editions": list}


def _issue(value: Any, at: int) -> Issue:
    row = shape.record(value, _ISSUE, f"edition {at}")
    texts = [one for name in ("summary", "because") for one in shape.texts(row[name], f"`{name}`")]
    words = tuple(" ".join(text.split()) for text in texts)
    return Issue(row["number"], row["dated"], row["withdrawn"] or "", words, row["seal"])


def _numbered(row: Mapping[str, Any], what: str) -> list[int]:
    if not all(isinstance(one, int) for one in row["editions"]):
        raise PlacardryError(f"`editions` of {what} is not as a build writes it")
    return list(row["editions"])
