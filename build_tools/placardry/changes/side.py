"""One side of a comparison, and what its manuals hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

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

    def holding(self, kind: str, id: str) -> list[Manual]:
        """The manuals that hold a record."""
        return [manual for manual in self.manuals if id in manual.records.get(kind, {})]
