"""One change of meaning between two books, its closed list of kinds, and its order."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from placardry.changes.direction import Direction
from placardry.changes.state import FigureState
from placardry.finding import Span
from placardry.quantity import Quantity
from placardry.units import Dimension


class ChangeKind(StrEnum):
    """What a change is, in the order of a report. The list is closed."""

    REMOVED = "removed"
    ADDED = "added"
    VALUE = "value"
    CONDITION_NARROWED = "condition narrowed"
    CONDITION_WIDENED = "condition widened"
    CONDITION_CHANGED = "condition changed"
    APPLICABILITY_NARROWED = "applicability narrowed"
    APPLICABILITY_WIDENED = "applicability widened"
    APPLICABILITY_CHANGED = "applicability changed"
    HAZARD_REMOVED = "hazard removed"
    HAZARD_ADDED = "hazard added"
    HAZARD_CHANGED = "hazard changed"
    STEP_REMOVED = "step removed"
    STEP_ADDED = "step added"
    STEP_CHANGED = "step changed"
    STEP_MOVED = "step moved"
    STEP_REWORDED = "step reworded"
    CHANGED = "changed"
    RESOURCED = "re-sourced"
    REEXPRESSED = "re-expressed"
    PUBLISHED = "published"
    REWORDED = "reworded"
    TRANSLATED = "translated"
    RENAMED = "renamed"
    MOVED = "moved"
    FACE = "face"


@dataclass(frozen=True, kw_only=True)
class Change:
    """One change, on all the machines on which it is the same.

    Attributes:
        type: the kind of the record, `book` for the settings, `translation`, or `file`
        id: its id now; of what was removed, its id before
        part: which of its figures, or the path of the key, such as `steps/2`
        before, after: the figure, or the words; None where there was or is nothing
        size: how far the end that moved most went, in the unit of the figure after
        share: that distance over the value before, where a share means something
        sources: the places cited, before and after
        spans: where it stands, before and after
        causes: `kind/id` of the records through which it comes, where its own did not change
    """

    kind: ChangeKind
    direction: Direction
    type: str
    id: str
    part: str | None = None
    machines: tuple[str, ...] = ()
    manuals: tuple[str, ...] = ()
    before: FigureState | str | None = None
    after: FigureState | str | None = None
    size: Quantity | None = None
    share: Fraction | None = None
    sources: tuple[str | None, str | None] = (None, None)
    spans: tuple[Span | None, Span | None] = (None, None)
    causes: tuple[str, ...] = ()

    @property
    def of(self) -> str:
        """The record that it changes."""
        return f"{self.type}/{self.id}"

    @property
    def key(self) -> tuple[object, ...]:
        """The order of a report: the most dangerous first."""
        said = tuple(
            one.written if isinstance(one, FigureState) else one or ""
            for one in (self.before, self.after)
        )
        ranks = (_DIRECTIONS[self.direction], _KINDS[self.kind])
        return (*ranks, self.type, self.id, self.part or "", self.manuals, *said)


_DIRECTIONS = {one: rank for rank, one in enumerate(Direction)}
_KINDS = {one: rank for rank, one in enumerate(ChangeKind)}


def size_of(before: FigureState, after: FigureState) -> tuple[Quantity | None, Fraction | None]:
    """How far the end that moved most went, and that over its value before.

    A share of a temperature means nothing, for its zero is a convention; nor is there one of zero.
    """
    there = after.exact.unit
    if not before.exact.unit.mixes(there):
        return None, None
    pairs = zip(before.exact.values_in(there), after.exact.values, strict=True)
    moved = [(new - old, old) for old, new in pairs if old is not None and new is not None]
    if not moved:
        return None, None
    by, old = max(moved, key=lambda one: abs(one[0]))
    if by == 0:
        return None, None
    has_share = there.dimension is not Dimension.TEMPERATURE and old != 0
    return Quantity.of(by, there.difference), by / abs(old) if has_share else None
