"""What changed between two books, in meaning: the core of a review.

Records are compared, not lines: the order of files and keys, spacing, quotes and another spelling
of the same figure are no change. Approvals and editions speak of a book and are not part of what
it says. `changes` gives every difference, the most dangerous first.
"""

from __future__ import annotations

from collections.abc import Iterator

from placardry.changes.change import Change, ChangeKind
from placardry.changes.compared import figure_changes
from placardry.changes.direction import Direction, direction
from placardry.changes.listed import applicability, come_and_gone, renamed_and_moved
from placardry.changes.records import Compared, Pair, Records, compared
from placardry.changes.renamed import renames
from placardry.changes.side import Side
from placardry.changes.state import FigureState, from_plain, state_of, to_plain
from placardry.changes.trees import Renames
from placardry.changes.whole import faces, settings, translations


def changes(before: Side, after: Side) -> tuple[Change, ...]:
    """Every change of meaning from one side to the other, the most dangerous first."""
    names = renames(before.book, after.book)
    pairs = list(_pairs(before, after, names))
    differing = {(one.kind, one.id): (one, found) for one, found in _differing(pairs, names)}
    touched = frozenset(differing) | {
        (one.kind, one.id) for one in pairs if not one.before or not one.after
    }
    found = figure_changes(before, after, names, touched) if touched else []
    found += applicability(before, after, names) if touched else []
    records = Records((before, after), found)
    for pair, statements in differing.values():
        found += records.changed(pair, statements)
    found += come_and_gone(pairs, records)
    found += renamed_and_moved(pairs, records, names)
    found += settings(before, after, names)
    found += translations(before, after, names)
    found += faces(before, after)
    return tuple(sorted(found, key=lambda one: one.key))


def _pairs(before: Side, after: Side, names: Renames) -> Iterator[Pair]:
    """Every record of either side, under its name of the later one."""
    old, new = before.book.records, after.book.records
    for kind in sorted(old.keys() | new.keys()):
        were = {names.id(kind, id): all_ for id, all_ in old.get(kind, {}).items()}
        are = new.get(kind, {})
        for id in sorted(were.keys() | are.keys()):
            yield Pair(kind, id, were.get(id, ()), are.get(id, ()))


def _differing(pairs: list[Pair], names: Renames) -> Iterator[tuple[Pair, list[Compared]]]:
    for pair in pairs:
        if pair.before and pair.after:
            found = compared(pair, names)
            if found:
                yield pair, found


__all__ = [
    "Change",
    "ChangeKind",
    "Direction",
    "FigureState",
    "Side",
    "changes",
    "direction",
    "from_plain",
    "state_of",
    "to_plain",
]
