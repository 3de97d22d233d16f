"""Records that came, went, were renamed or moved, or hold on other machines than before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from placardry.changes.change import Change, ChangeKind
from placardry.changes.direction import Direction
from placardry.changes.records import SILENT, Pair, Records, cited, place
from placardry.changes.side import Side
from placardry.changes.steps import stepped
from placardry.changes.trees import Renames, text_of, tree
from placardry.finding import Span
from placardry.resolve import BY_USE

# To apply such a record to one more machine binds its owner; other records are for a person.
BINDING = frozenset(("limit", "scale", "alarm", "derived"))
# Each view of a machine holds its own; that another is there is told by the machine.
OWN = frozenset(("machine", "manual", "market", "engine", "airframe", "panel", "option"))


def come_and_gone(pairs: list[Pair], records: Records) -> Iterator[Change]:
    """Records that are new or lost; those that state figures were told by their figures."""
    for pair in pairs:
        if pair.before and pair.after:
            continue
        kind = ChangeKind.REMOVED if pair.before else ChangeKind.ADDED
        way = Direction.NEUTRAL if pair.kind in SILENT else Direction.UNDECIDED
        one = (pair.before or pair.after)[0]
        machines, manuals = records.where(pair)
        text = text_of(getattr(one, "title", None) or getattr(one, "name", None)) or pair.id
        if (pair.kind, pair.id) not in records.covered:
            yield Change(
                kind=kind,
                direction=way,
                type=pair.kind,
                id=pair.id,
                machines=machines,
                manuals=manuals,
                before=text if pair.before else None,
                after=text if pair.after else None,
                sources=(cited(_both(pair)[0]), cited(_both(pair)[1])),
                spans=(_span(pair.before), _span(pair.after)),
            )
        yield from _hazards(pair, machines, manuals)


def _hazards(pair: Pair, machines: tuple[str, ...], manuals: tuple[str, ...]) -> Iterator[Change]:
    """The safety messages that come and go with their record."""
    for one in pair.before or pair.after:
        told = tree(one)
        key = "steps" if "steps" in told else "passages"
        items = told.get(key) or []
        for step in stepped(*((items, []) if pair.before else ([], items)), key):
            if step.kind in (ChangeKind.HAZARD_ADDED, ChangeKind.HAZARD_REMOVED):
                path = step.before_path or step.after_path or ()
                span = place(one, path)
                yield Change(
                    kind=step.kind,
                    direction=step.direction,
                    type=pair.kind,
                    id=pair.id,
                    part=".".join(map(str, path)),
                    machines=machines,
                    manuals=manuals,
                    before=step.before,
                    after=step.after,
                    spans=(span, None) if pair.before else (None, span),
                )


def _both(pair: Pair) -> tuple[Any, Any]:
    return (pair.before[0] if pair.before else None, pair.after[0] if pair.after else None)


def _span(statements: Sequence[Any]) -> Span | None:
    return statements[0].places.span if statements else None


def applicability(before: Side, after: Side, names: Renames) -> Iterator[Change]:
    """Records that hold on more or on fewer manuals than before, of those on both sides."""
    old = {names.id("manual", one.id): one for one in before.manuals}
    moved: dict[tuple[str, str, bool], list[tuple[str, str]]] = {}
    for name, manual in after.by_id.items():
        if name not in old:
            continue
        for kind, by_id in manual.records.items():
            if kind in BY_USE or kind in OWN:
                continue  # that such a one comes into a manual is told by what uses it
            if not names and by_id.keys() == old[name].records.get(kind, {}).keys():
                continue
            were = {names.id(kind, id) for id in old[name].records.get(kind, {})}
            known = {names.id(kind, id) for id in before.book.records.get(kind, {})}
            for id in (by_id.keys() ^ were) & known & after.book.records.get(kind, {}).keys():
                key = (kind, id, id in by_id)
                moved.setdefault(key, []).append((manual.machine.id, name))
    back = {(kind, now): was for (kind, was), now in names.names.items()}
    for (kind, id, is_wider), where in sorted(moved.items()):
        way = Direction.UNDECIDED
        if kind in BINDING:
            way = Direction.TIGHTENED if is_wider else Direction.LOOSENED
        what = ChangeKind.APPLICABILITY_WIDENED if is_wider else ChangeKind.APPLICABILITY_NARROWED
        statements = (
            before.book.records[kind][back.get((kind, id), id)],
            after.book.records[kind][id],
        )
        yield Change(
            kind=what,
            direction=way,
            type=kind,
            id=id,
            machines=tuple(sorted({machine for machine, _ in where})),
            manuals=tuple(sorted({manual for _, manual in where})),
            sources=(cited(statements[0][0]), cited(statements[1][0])),
            spans=(_span(statements[0]), _span(statements[1])),
        )


def renamed_and_moved(pairs: list[Pair], records: Records, names: Renames) -> Iterator[Change]:
    """Records under another id, and files whose records stand in another file; both neutral."""
    back = {(kind, now): was for (kind, was), now in names.names.items()}
    moved: dict[tuple[str, str], Pair] = {}
    for pair in pairs:
        if not pair.before or not pair.after:
            continue
        old, new = pair.before[0], pair.after[0]
        spans = (old.places.span, new.places.span)
        if (pair.kind, pair.id) in back:
            machines, manuals = records.where(pair)
            yield Change(
                kind=ChangeKind.RENAMED,
                direction=Direction.NEUTRAL,
                type=pair.kind,
                id=pair.id,
                machines=machines,
                manuals=manuals,
                before=back[pair.kind, pair.id],
                after=pair.id,
                spans=spans,
            )
        if spans[0].path != spans[1].path:
            moved.setdefault((spans[0].path, spans[1].path), pair)
    for (was, now), pair in sorted(moved.items(), key=lambda one: one[0]):
        spans = (pair.before[0].places.span, pair.after[0].places.span)
        yield Change(
            kind=ChangeKind.MOVED,
            direction=Direction.NEUTRAL,
            type="file",
            id=now,
            before=was,
            after=now,
            spans=spans,
        )
