"""What differs between two lists of steps, or of passages of a page."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import Any, NamedTuple

from placardry.book.record import Text
from placardry.changes.change import ChangeKind
from placardry.changes.direction import Direction
from placardry.changes.trees import Path, differences, text_of

LISTS = ("steps", "passages")
# What is said of an act beside the act itself.
BESIDE = frozenset(
    ("note", "expect", "otherwise", "memory", "applies", "for", "times", "to", "record")
)
# Source: ANSI Z535.4 for the order of the signal words.
SIGNALS = ("notice", "caution", "warning", "danger")


class Stepped(NamedTuple):
    """One difference: its kind and direction, its place on each side, its words."""

    kind: ChangeKind
    direction: Direction
    before_path: Path | None
    after_path: Path | None
    before: str | None
    after: str | None


class _Item(NamedTuple):
    path: Path
    around: str
    own: Any
    key: str


def stepped(before: Sequence[Any], after: Sequence[Any], key: str) -> Iterator[Stepped]:
    """The differences between two lists of trees under the key `steps` or `passages`."""
    old, new = list(_flat(before, (key,), "")), list(_flat(after, (key,), ""))
    gone: list[_Item] = []
    come: list[_Item] = []
    pairs: list[tuple[_Item, _Item]] = []
    matcher = SequenceMatcher(None, [one.key for one in old], [one.key for one in new], False)
    for tag, low, high, start, end in matcher.get_opcodes():
        if tag == "equal":
            continue
        mine, theirs = old[low:high], new[start:end]
        for one in mine:
            other = next((it for it in theirs if _is_like(one, it)), None)
            if other is not None and one.key != other.key:
                theirs.remove(other)
                pairs.append((one, other))
            else:
                gone.append(one)
        come += theirs
    moved = Counter(one.key for one in gone) & Counter(one.key for one in come)
    for one, other in pairs:
        yield _changed(one, other)
    yield from _moves(gone, come, moved)


def step_at(record: Any, path: Path) -> Any:
    """The step or passage that a path leads to; None where it leads to something else."""
    if not path or path[0] not in LISTS:
        return None
    for key in path:
        record = record[key] if isinstance(key, int) else getattr(record, key)
    return record if hasattr(record, "places") else None


def _moves(gone: list[_Item], come: list[_Item], moved: Counter[str]) -> Iterator[Stepped]:
    undecided = Direction.UNDECIDED
    for key, count in moved.items():
        olds = [one for one in gone if one.key == key][:count]
        news = [one for one in come if one.key == key][:count]
        for one, other in zip(olds, news, strict=True):
            gone.remove(one)
            come.remove(other)
            words = (_said(one), _said(other))
            yield Stepped(ChangeKind.STEP_MOVED, undecided, one.path, other.path, *words)
    for one in gone:
        if _hazard(one) is None:
            yield Stepped(ChangeKind.STEP_REMOVED, undecided, one.path, None, _said(one), None)
        else:
            kind, way = ChangeKind.HAZARD_REMOVED, Direction.LOOSENED
            yield Stepped(kind, way, one.path, None, _said(one), None)
    for one in come:
        if _hazard(one) is None:
            yield Stepped(ChangeKind.STEP_ADDED, undecided, None, one.path, None, _said(one))
        else:
            kind, way = ChangeKind.HAZARD_ADDED, Direction.TIGHTENED
            yield Stepped(kind, way, None, one.path, None, _said(one))


def _flat(steps: Sequence[Any], path: Path, around: str) -> Iterator[_Item]:
    """Every step, also those below others, each without the steps below it."""
    for at, step in enumerate(steps):
        here = (*path, at)
        own = {key: value for key, value in step.items() if value is not None}
        below: list[tuple[Path, str, Any]] = []
        if "steps" in own:
            below.append(((*here, "steps"), f"{around}/each", own.pop("steps")))
        if "choose" in own:
            branches = own.pop("choose")
            own["choose"] = [branch["when"] for branch in branches]
            below += [
                ((*here, "choose", number, "steps"), f"{around}/{branch['when']}", branch["steps"])
                for number, branch in enumerate(branches)
            ]
        told = json.dumps(own, sort_keys=True, ensure_ascii=False, default=repr)
        yield _Item(here, around, own, around + told)
        for under, label, inner in below:
            yield from _flat(inner, under, label)


def _is_like(one: _Item, other: _Item) -> bool:
    """Whether two steps that are not equal may be one that was changed: they do the same thing."""
    return _verb(one) == _verb(other)


def _verb(one: _Item) -> tuple[str, ...]:
    return tuple(sorted(set(one.own) - BESIDE))


def _hazard(one: _Item) -> Any:
    return one.own.get("hazard")


def _said(one: _Item) -> str | None:
    if "hazard" in one.own:
        return text_of(one.own["hazard"])
    if set(one.own) == {"markdown"}:
        return str(one.own["markdown"])
    return text_of(one.own)


def _changed(one: _Item, other: _Item) -> Stepped:
    words = (_said(one), _said(other))
    old, new = _hazard(one), _hazard(other)
    if old is not None and new is not None:
        was, now = SIGNALS.index(old["signal"]), SIGNALS.index(new["signal"])
        way = (
            Direction.UNDECIDED
            if was == now
            else Direction.TIGHTENED
            if now > was
            else Direction.LOOSENED
        )
        return Stepped(ChangeKind.HAZARD_CHANGED, way, one.path, other.path, *words)
    found = list(differences(one.own, other.own))
    only_words = all(
        isinstance(diff.before, Text) and isinstance(diff.after, Text) for diff in found
    )
    kind = ChangeKind.STEP_REWORDED if only_words else ChangeKind.STEP_CHANGED
    # Whoever reworded a command may have turned it round, so a person must judge it.
    return Stepped(kind, Direction.UNDECIDED, one.path, other.path, *words)
