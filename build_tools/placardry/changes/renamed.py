"""Renamed records: one that is gone and one that is new, and mean nearly the same.

A match is by likeness of their keys, so a rename with a change is a rename plus that change.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from placardry.book import Book
from placardry.changes.trees import Renames, tree

# Share of the keys of two records that must be equal for one to be the other (our choice).
LEAST_LIKE = 0.6
# What is another record and no rename, where one of these differs: a limit that is lost must not
# be taken for one that is new.
IDENTITY = (
    *("applies", "parameter", "condition", "name", "title", "instrument", "channel", "guards"),
    *("symptom", "model", "engine", "machine", "market", "language"),
)
# More pairs than these are not compared: such a change is no rename.
MOST_PAIRS = 20_000
# A condition, the limit under it, its alarm, the procedure that names that, its card.
MOST_ROUNDS = 5


def renames(before: Book, after: Book) -> Renames:
    """The records of the earlier book that the later one has under another id.

    What refers to a renamed record may itself be renamed, so it is looked for again.
    """
    found: dict[tuple[str, str], str] = {}
    for _ in range(MOST_ROUNDS):
        known = len(found)
        for kind in sorted(before.records.keys() | after.records.keys()):
            found |= _of_kind(kind, before, after, found)
        if len(found) == known:
            break
    return Renames(found)


def _of_kind(
    kind: str, before: Book, after: Book, found: Mapping[tuple[str, str], str]
) -> dict[tuple[str, str], str]:
    old, new = before.records.get(kind, {}), after.records.get(kind, {})
    taken = {now for (other, _), now in found.items() if other == kind}
    gone = [id for id in sorted(old.keys() - new.keys()) if (kind, id) not in found]
    come = sorted(new.keys() - old.keys() - taken)
    if not gone or not come:
        return {}
    were = {id: _anonymous(id, old[id], found) for id in gone}
    are = {id: _anonymous(id, new[id], {}) for id in come}
    return {(kind, one): other for one, other in _matches(were, are)}


def _anonymous(
    id: str, statements: Sequence[Any], found: Mapping[tuple[str, str], str]
) -> dict[str, str]:
    """The keys of a record as texts in which its own id is not told."""
    merged: dict[str, list[Any]] = {}
    names = Renames({**found, ("", id): "\0"})
    for one in statements:
        for key, value in tree(one, names).items():
            if value is not None:
                merged.setdefault(key, []).append(value)
    return {key: _text(value) for key, value in merged.items()}


def _text(value: Any) -> str:
    return json.dumps(value, sort_keys=True, default=repr)


def _matches(
    old: Mapping[str, dict[str, str]], new: Mapping[str, dict[str, str]]
) -> Iterator[tuple[str, str]]:
    """Pairs that belong together, equal ones first, then the likest."""
    left, free = dict(old), dict(new)
    by_meaning = {_text(keys): id for id, keys in reversed(list(new.items()))}
    for id, keys in old.items():
        same = by_meaning.get(_text(keys))
        if same in free:
            del left[id], free[same]
            yield id, same
    if len(left) * len(free) > MOST_PAIRS:
        return
    pairs = sorted(
        (-_likeness(keys, others), id, other)
        for id, keys in left.items()
        for other, others in free.items()
    )
    for likeness, id, other in pairs:
        if -likeness >= LEAST_LIKE and id in left and other in free:
            del left[id], free[other]
            yield id, other


def _likeness(one: Mapping[str, str], other: Mapping[str, str]) -> float:
    """The share of keys that two records say alike; none where one of `IDENTITY` differs."""
    keys = one.keys() | other.keys()
    if one.keys() != other.keys() or any(one.get(key) != other.get(key) for key in IDENTITY):
        return 0.0
    alike = sum(one.get(key) == other.get(key) for key in keys)
    return alike / len(keys) if alike > 1 else 0.0
