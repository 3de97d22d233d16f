"""What changed between two issued editions, from the ledger alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from placardry.changes import Change, ChangeKind, Direction, FigureState, direction, from_plain
from placardry.errors import PlacardryError
from placardry.ledger import read, states

Key = tuple[str, str, str, str]


def between(files: Mapping[str, bytes], old: int, new: int) -> tuple[Change, ...]:
    """The changes of figures and of card faces from one edition to another, in report order.

    Raises:
        PlacardryError: the ledger does not hold both.
    """
    known = states(read(files))
    for number in (old, new):
        if number not in known:
            issued = ", ".join(map(str, known)) or "none"
            raise PlacardryError(f"edition {number} was not issued; issued are: {issued}")
    groups: dict[Key, list[Change]] = {}
    before, after = known[old], known[new]
    for name in sorted(before.keys() | after.keys()):
        was, now = before.get(name, {}), after.get(name, {})
        machine = (now or was)["machine"]
        for change in (*_figures(name, was, now), *_faces(was, now)):
            key = (change.of, change.part or "", _said(change.before), _said(change.after))
            found = replace(change, machines=(machine,), manuals=(name,))
            groups.setdefault(key, []).append(found)
    return tuple(sorted(map(_merged, groups.values()), key=lambda one: one.key))


def _figures(manual: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> list[Change]:
    old, new = was.get("figures", {}), now.get("figures", {})
    view = {"manual": manual, "machine": (now or was)["machine"]}
    found = []
    for anchor in sorted(old.keys() | new.keys()):
        if old.get(anchor) == new.get(anchor):
            continue
        sides = [
            from_plain({**one[anchor], **view}) if anchor in one else None for one in (old, new)
        ]
        there = next(one for one in reversed(sides) if one is not None)
        kind = ChangeKind.VALUE
        if None in sides:
            kind = ChangeKind.ADDED if sides[0] is None else ChangeKind.REMOVED
        found.append(
            Change(
                kind=kind,
                direction=direction(*sides),
                type=there.record,
                id=there.id,
                part=there.part,
                before=sides[0],
                after=sides[1],
                sources=tuple(one.source if one else None for one in sides),  # type: ignore[arg-type]
            )
        )
    return found


def _faces(was: Mapping[str, Any], now: Mapping[str, Any]) -> list[Change]:
    old, new = was.get("cards", {}), now.get("cards", {})
    codes = {name: (old.get(name, {}).get("code"), new.get(name, {}).get("code"))
             for name in sorted(old.keys() | new.keys())}  # fmt: skip
    return [
        Change(kind=ChangeKind.FACE, direction=Direction.NEUTRAL, type="card", id=name,
               before=before, after=after)
        for name, (before, after) in codes.items()
        if before != after
    ]  # fmt: skip


def _said(one: FigureState | str | None) -> str:
    return one.written if isinstance(one, FigureState) else one or ""


def _merged(changes: list[Change]) -> Change:
    """One change for all manuals on which it is the same."""
    machines = tuple(sorted({name for one in changes for name in one.machines}))
    manuals = tuple(sorted({name for one in changes for name in one.manuals}))
    return replace(changes[0], machines=machines, manuals=manuals)
