"""One side of a comparison, and what its manuals hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any

from placardry.book import Book
from placardry.resolve import Manual


@dataclass(frozen=True, kw_only=True)
class Side:
    """A book with its manuals.

    Attributes:
        cards: the code of each face by (manual, card), filled by the door; empty compares none
    """

    book: Book
    manuals: Sequence[Manual]
    cards: Mapping[tuple[str, str], str] = field(default_factory=dict)

    @property
    def by_id(self) -> Mapping[str, Manual]:
        """The manuals by their id."""
        return {manual.id: manual for manual in self.manuals}

    def holding(self, kind: str, id: str, statement: Any = None, part: Any = None) -> list[Manual]:
        """The manuals that hold a record; or of its several statements this, or this part of it."""
        found = [manual for manual in self.manuals if id in manual.records.get(kind, {})]
        # What is narrowed still knows its place, and so does a record with translated texts. A
        # translated page does not: it stands in a file of its own, which is compared by itself.
        if statement is not None:
            found = [one for one in found if one.records[kind][id].places is statement.places]
        if part is not None:
            found = [one for one in found if _holds(one.records[kind][id], part.places)]
        return found


def _holds(value: Any, place: Any) -> bool:
    """Whether a part that stands in a place of a file is somewhere in a record."""
    if isinstance(value, tuple):
        return any(_holds(one, place) for one in value)
    if not hasattr(value, "places"):
        return False
    below = (getattr(value, one.name) for one in fields(value))
    return value.places is place or any(_holds(one, place) for one in below)
