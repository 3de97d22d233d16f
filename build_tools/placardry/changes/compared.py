"""The figures of two books compared, manual by manual; the same change on several is one."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from placardry.book.figures import Derived
from placardry.changes.affected import TOUCHING, Touched, affected, view
from placardry.changes.change import Change, ChangeKind, size_of
from placardry.changes.direction import (
    Direction,
    condition_direction,
    direction,
    row_of,
    value_direction,
)
from placardry.changes.moves import is_inside, moves_of
from placardry.changes.side import Side
from placardry.changes.state import FigureState, state_of, to_plain
from placardry.changes.trees import Renames
from placardry.conditions import Box
from placardry.derived import names
from placardry.figures import Figure
from placardry.resolve import Manual


class _Both(NamedTuple):
    """A manual on both sides."""

    old: Manual
    new: Manual


class _Delta(NamedTuple):
    kind: ChangeKind
    direction: Direction
    before: Figure | None
    after: Figure | None
    states: tuple[FigureState | None, FigureState | None]
    causes: tuple[str, ...]


def figure_changes(before: Side, after: Side, renames: Renames, touched: Touched) -> list[Change]:
    """Every change of a figure in the manuals that both sides have, and of new and lost records.

    `renames` are the later book's names; `touched` holds all records that differ, in those names.
    """
    old = {renames.id("manual", one.id): one for one in before.manuals}
    views: dict[object, list[_Both]] = {}
    for name, manual in after.by_id.items():
        if name in old:
            both = _Both(old[name], manual)
            views.setdefault((view(both.old, touched), view(manual, touched)), []).append(both)
    groups: dict[str, list[tuple[_Delta, list[_Both]]]] = {}
    for alike in views.values():
        if not _is_touched(*alike[0], renames, touched):
            continue
        for delta in _of_manual(*alike[0], renames, touched, (before, after)):
            groups.setdefault(_signature(delta), []).append((delta, alike))
    return [_merged(found, renames) for found in groups.values()]


def _is_touched(old: Manual, new: Manual, renames: Renames, touched: Touched) -> bool:
    back = {(kind, now): was for (kind, was), now in renames.names.items()}
    return any(
        id in new.records.get(kind, {}) or back.get((kind, id), id) in old.records.get(kind, {})
        for kind, id in touched
        if kind in TOUCHING
    )


def _of_manual(
    old: Manual, new: Manual, renames: Renames, touched: Touched, sides: tuple[Side, Side]
) -> Iterator[_Delta]:
    found: list[_Delta] = []
    back = {(kind, now): was for (kind, was), now in renames.names.items()}
    were = {}
    earlier_names = frozenset((kind, back.get((kind, id), id)) for kind, id in touched)
    for figure in affected(old, earlier_names).values():
        state = renamed(state_of(figure, old), renames)
        were[state.record, state.id, state.part or ""] = (figure, state)
    are = {}
    for figure in affected(new, touched).values():
        state = state_of(figure, new)
        are[state.record, state.id, state.part or ""] = (figure, state)
    # Derived figures come last, for the others are their causes.
    for key in sorted(were.keys() | are.keys(), key=lambda one: (one[0] == "derived", one)):
        was, now = were.get(key, (None, None)), are.get(key, (None, None))
        kind, id, _ = key
        is_known = id in sides[1].book.records.get(kind, {})
        if now[1] is None and is_known and id not in new.records.get(kind, {}):
            continue  # it no longer applies here, which is said of the whole record
        if was[1] is None:
            earlier = back.get((kind, id), id)
            is_known = earlier in sides[0].book.records.get(kind, {})
            if is_known and earlier not in old.records.get(kind, {}):
                continue
        for what, way in _judged(was[1], now[1]):
            there = now[0] or was[0]
            causes = _causes(there, kind, new, touched, found) if there else ()
            found.append(_Delta(what, way, was[0], now[0], (was[1], now[1]), causes))
    return iter(found)


def _judged(
    before: FigureState | None, after: FigureState | None
) -> Iterator[tuple[ChangeKind, Direction]]:
    """What changed from one state to the other, and which way."""
    if before is None or after is None:
        kind = ChangeKind.ADDED if before is None else ChangeKind.REMOVED
        yield kind, direction(before, after)
        return
    is_same = moves_of(before, after) == (0, 0, 0) and _nature(before) == _nature(after)
    if not is_same:
        yield ChangeKind.VALUE, value_direction(before, after)
    elif before.exact != after.exact:
        yield ChangeKind.REEXPRESSED, Direction.NEUTRAL
    elif list(before.shown.items()) != list(after.shown.items()):
        # Limits round to their safe side, but an alarm is set to what is shown.
        is_set = after.type == "alarm" and dict(before.shown) != dict(after.shown)
        yield ChangeKind.PUBLISHED, Direction.UNDECIDED if is_set else Direction.NEUTRAL
    wider, narrower = is_inside(before, after), is_inside(after, before)
    if not (wider and narrower):
        kind = ChangeKind.CONDITION_WIDENED if wider else ChangeKind.CONDITION_NARROWED
        kind = kind if wider or narrower else ChangeKind.CONDITION_CHANGED
        yield kind, condition_direction(before, after)


def _nature(state: FigureState) -> tuple[object, ...]:
    return (row_of(state), state.parameter, state.guards)


def _causes(
    figure: Figure, kind: str, new: Manual, touched: Touched, found: list[_Delta]
) -> tuple[str, ...]:
    """The records through which a figure changed whose own record did not."""
    record = figure.record
    if (kind, figure.id) in touched:
        return ()
    if isinstance(record, Derived):
        used = {name.partition(".")[0] for name in names(record.formula)}
        ids = {
            (state.record, state.id)
            for delta in found
            for state in delta.states
            if state is not None and state.id in used
        }
        derived = {(kind, id) for kind, id in touched if id in used}
        return tuple(f"{kind}/{id}" for kind, id in sorted(ids | derived))
    may_be = [
        ("parameter", figure.parameter),
        *(("condition", name) for name in getattr(record, "condition", ())),
        ("instrument", getattr(record, "instrument", None)),
        ("market", new.market.id),
        ("manual", new.id),
        ("machine", new.machine.id),
        ("engine", new.engine.id),
    ]
    return tuple(f"{kind}/{id}" for kind, id in may_be if id and (kind, id) in touched)


def renamed(state: FigureState, renames: Renames) -> FigureState:
    """The state of a figure of the earlier book under the names of the later one."""
    if not renames:
        return state
    say = renames.reference
    box = state.box
    if box is not None:
        box = Box(
            {say(name): allowed for name, allowed in box.states.items()},
            {say(name): span for name, span in box.spans.items()},
        )
    return dataclasses.replace(
        state,
        id=renames.id(state.record, state.id),
        manual=renames.id("manual", state.manual),
        machine=renames.id("machine", state.machine),
        parameter=say(state.parameter) if state.parameter else None,
        guards=say(state.guards) if state.guards else None,
        document=say(state.document) if state.document else None,
        box=box,
    )


def _signature(delta: _Delta) -> str:
    """What is one and the same change on several manuals."""
    silent = {"manual", "machine"} | (
        {"shown"} if delta.kind is not ChangeKind.PUBLISHED else set()
    )
    plain: list[Any] = [delta.kind, delta.direction]
    for state in delta.states:
        said: Mapping[str, Any] = to_plain(state) if state else {}
        plain.append({key: value for key, value in said.items() if key not in silent})
    return json.dumps(plain, sort_keys=True)


def _merged(found: list[tuple[_Delta, list[_Both]]], renames: Renames) -> Change:
    first = found[0][0]
    before, after = first.states
    there = after or before
    assert there is not None  # noqa: S101
    machines: set[str] = set()
    manuals: set[str] = set()
    for delta, alike in found:
        manuals |= {both.new.id for both in alike}
        if delta.before is not None:
            machines |= {renames.id("machine", both.old.machine.id) for both in alike}
        if delta.after is not None:
            machines |= {both.new.machine.id for both in alike}
    size, share = size_of(before, after) if before and after else (None, None)
    is_value = first.kind is ChangeKind.VALUE
    return Change(
        kind=first.kind,
        direction=first.direction,
        type=there.record,
        id=there.id,
        part=there.part,
        machines=tuple(sorted(machines)),
        manuals=tuple(sorted(manuals)),
        before=before,
        after=after,
        size=size if is_value else None,
        share=share if is_value else None,
        sources=(before.source if before else None, after.source if after else None),
        spans=(
            first.before.span if first.before else None,
            first.after.span if first.after else None,
        ),
        causes=tuple(sorted({cause for delta, _ in found for cause in delta.causes})),
    )
