"""A change as a reviewer sees it: what, how much, how dangerous, from where, and who read it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from placardry.finding import Span

# The order of a report: what can hurt an owner of the old edition and of the new one comes first.
DIRECTIONS = ("loosened", "undecided", "tightened", "neutral")


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One change.

    Shape: `before` and `after` are the figure as printed, by unit, the unit written in first;
    a change of words has them under the unit "".

    Attributes:
        change: one of `changes.ChangeKind`
        direction: one of `DIRECTIONS`
        kind: the kind of its record
        of: `kind/id` of its record
        what: in words: "coolant, red from"
        size: how far it went, by unit; and `share`, relative to what was there
        machines: ids of the machines on which it holds
        on: their names
        sources: the place cited before and after
        has_new_source: the place cited, or the document cited, is not as it was
        approval: who approved it as it stands, or that nobody did
        causes: the records through which it comes, where its own did not change
        is_figure: what an owner keeps to has another value, condition or is new or gone
        pages, cards: what it touches, as OUT names them
    """

    change: str
    direction: str
    kind: str
    id: str
    part: str | None
    what: str
    before: Mapping[str, str] = field(default_factory=dict)
    after: Mapping[str, str] = field(default_factory=dict)
    size: Mapping[str, str] = field(default_factory=dict)
    share: str | None = None
    condition: str | None = None
    machines: tuple[str, ...] = ()
    on: tuple[str, ...] = ()
    sources: tuple[str | None, str | None] = (None, None)
    has_new_source: bool = False
    is_figure: bool = False
    approval: str = ""
    pages: tuple[str, ...] = ()
    cards: tuple[str, ...] = ()
    place: Span | None = None
    old_place: Span | None = None
    causes: tuple[str, ...] = ()

    @property
    def of(self) -> str:
        """The record that it changes."""
        return f"{self.kind}/{self.id}"
