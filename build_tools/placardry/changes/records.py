"""The records of two books compared: every key that differs comes out as a change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from placardry.book.figures import FIGURE_KEYS
from placardry.book.record import Text
from placardry.changes.change import Change, ChangeKind
from placardry.changes.direction import Direction
from placardry.changes.side import Side
from placardry.changes.steps import LISTS, Stepped, step_at, stepped
from placardry.changes.trees import Difference, Path, Renames, differences, text_of, tree
from placardry.finding import Span

# Texts that name and describe; every other text may tell an owner what to do or leave.
DESCRIBING = frozenset(("name", "short", "title", "label", "about", "issuer", "summary", "model"))
# What such a record says, or that it is there, binds nobody by itself.
SILENT = frozenset(("document", "parameter", "market", "quotation", "example", "option"))
QUIET_KEYS = frozenset(("units", "order", "chapter", "path", "dated", "of", "site-url", "names"))


class Pair(NamedTuple):
    """A record on both sides, under its name of the later side, with its statements."""

    kind: str
    id: str
    before: Sequence[Any]
    after: Sequence[Any]


class Compared(NamedTuple):
    """A statement on both sides, or on one of them, and where they differ."""

    before: Any
    after: Any
    found: tuple[Difference, ...]


def compared(pair: Pair, renames: Renames) -> list[Compared]:
    """The statements of a record that differ in meaning, each with its like."""
    if not renames and tuple(pair.before) == tuple(pair.after):
        return []
    old = [(one, tree(one, renames)) for one in pair.before]
    new = [(one, tree(one)) for one in pair.after]
    for mine in list(old):
        same = next((one for one in new if one[1] == mine[1]), None)
        if same is not None:
            old.remove(mine)
            new.remove(same)
    pairs: list[Compared] = []
    for mine in list(old):
        near = next((one for one in new if one[1].get("applies") == mine[1].get("applies")), None)
        near = near or (new[0] if len(old) == len(new) == 1 else None)
        if near is not None:
            old.remove(mine)
            new.remove(near)
            pairs.append(Compared(mine[0], near[0], _found(mine[1], near[1])))
    pairs += [Compared(one, None, (Difference((), told, None),)) for one, told in old]
    pairs += [Compared(None, one, (Difference((), None, told),)) for one, told in new]
    return pairs


def _found(before: Any, after: Any) -> tuple[Difference, ...]:
    """Where two trees differ; lists of steps and passages are one place."""
    found: list[Difference] = []
    for key in sorted(before.keys() | after.keys()):
        old, new = before.get(key), after.get(key)
        if key in LISTS and old != new:
            found.append(Difference((key,), old or [], new or []))
        else:
            found += differences(old, new, (key,))
    return tuple(found)


class Records:
    """The changes of records; what `covered` changes say already is not said again."""

    def __init__(self, sides: tuple[Side, Side], covered: Iterable[Change]) -> None:
        self.sides = sides
        self.covered: dict[tuple[str, str], list[Change]] = {}
        for one in covered:
            self.covered.setdefault((one.type, one.id), []).append(one)

    def changed(self, pair: Pair, statements: Iterable[Compared]) -> Iterator[Change]:
        """What differs between two records, beyond their figures and applicability."""
        said = self.covered.get((pair.kind, pair.id), [])
        for one in statements:
            cites = [diff for diff in one.found if diff.path[:1] == ("source",)]
            if cites:
                kind, words = ChangeKind.RESOURCED, (cited(one.before), cited(one.after))
                at: Path = ("source",)
                yield self._change(pair, one, kind, Direction.NEUTRAL, None, words, (at, at))
            for diff in one.found:
                if diff.path and diff.path[0] in LISTS:
                    for step in stepped(diff.before, diff.after, str(diff.path[0])):
                        yield self._stepped(pair, one, step)
                elif diff not in cites and not any(
                    covers(change, pair.kind, diff.path) for change in said
                ):
                    yield self._keyed(pair, one, diff)

    def _keyed(self, pair: Pair, one: Compared, diff: Difference) -> Change:
        kind, way = judged(pair.kind, diff)
        words = (text_of(diff.before), text_of(diff.after))
        part = ".".join(map(str, diff.path)) or None
        return self._change(pair, one, kind, way, part, words, (diff.path, diff.path))

    def _stepped(self, pair: Pair, one: Compared, step: Stepped) -> Change:
        path = step.after_path or step.before_path or ()
        part = ".".join(map(str, path))
        paths = (step.before_path, step.after_path)
        words = (step.before, step.after)
        return self._change(pair, one, step.kind, step.direction, part, words, paths)

    def _change(
        self,
        pair: Pair,
        one: Compared,
        kind: ChangeKind,
        way: Direction,
        part: str | None,
        words: tuple[str | None, str | None],
        paths: tuple[Path | None, Path | None],
    ) -> Change:
        places = tuple(
            None if record is None or path is None else place(record, path)
            for record, path in zip((one.before, one.after), paths, strict=True)
        )
        machines, manuals = self.where(pair, one, paths)
        return Change(
            kind=kind,
            direction=way,
            type=pair.kind,
            id=pair.id,
            part=part,
            machines=machines,
            manuals=manuals,
            before=words[0],
            after=words[1],
            sources=(cited(one.before), cited(one.after)),
            spans=(places[0], places[1]),
        )

    def where(
        self, pair: Pair, one: Compared | None = None, paths: Sequence[Path | None] = ((), ())
    ) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The machines and manuals that hold a record, a statement or a step of it, on a side."""
        own = (one.before, one.after) if one else (None, None)
        found = [
            manual
            for side, all_, its, path in zip(
                self.sides, (pair.before, pair.after), own, paths, strict=True
            )
            if all_ and path is not None and (one is None or its is not None)
            for manual in side.holding(
                pair.kind, all_[0].id, its if len(all_) > 1 else None, step_at(its, path)
            )
        ]
        machines = {manual.machine.id for manual in found}
        return tuple(sorted(machines)), tuple(sorted({manual.id for manual in found}))


def place(record: Any, path: Path) -> Span:
    """Where a key stands; the nearest that holds it where it is not written."""
    span: Span = record.places.at(*path)
    return span


def cited(record: Any) -> str | None:
    """The place that a record cites, in one line."""
    source = getattr(record, "source", None)
    if source is None:
        return None
    return ", ".join(one for one in (source.document, source.place) if one)


def judged(kind: str, diff: Difference) -> tuple[ChangeKind, Direction]:
    """What a differing key is, and which way it goes."""
    keys = [step for step in diff.path if isinstance(step, str)]
    if keys and keys[0] == "applies":
        return ChangeKind.APPLICABILITY_CHANGED, Direction.UNDECIDED
    is_quiet = kind in SILENT or (bool(keys) and keys[0] in QUIET_KEYS)
    if keys and all(one is None or isinstance(one, Text) for one in (diff.before, diff.after)):
        quiet = is_quiet or keys[-1] in DESCRIBING
        return ChangeKind.REWORDED, Direction.NEUTRAL if quiet else Direction.UNDECIDED
    if keys and keys[0] == "condition" and kind in ("limit", "fact", "scale"):
        return ChangeKind.CONDITION_CHANGED, Direction.UNDECIDED
    return ChangeKind.CHANGED, Direction.NEUTRAL if is_quiet else Direction.UNDECIDED


_FIGURE_CHANGES = (
    ChangeKind.ADDED,
    ChangeKind.REMOVED,
    ChangeKind.VALUE,
    ChangeKind.REEXPRESSED,
)
_OF_WHOLE = {
    "limit": (*FIGURE_KEYS, "parameter"),
    "fact": (*FIGURE_KEYS, "parameter"),
    "example": ("reading",),
    "alarm": ("set-point", "fires", "guards"),
    "setting": ("delivered",),
}


def covers(change: Change, kind: str, path: Path) -> bool:
    """Whether the change of a figure, or of where it holds, says already what differs at a path."""
    keys = [str(step) for step in path]
    name = str(change.kind)
    if not keys:
        return change.kind in _FIGURE_CHANGES or name.startswith("applicability")
    if keys[0] == "applies":
        return name.startswith("applicability")
    if keys[0] == "condition":
        return name.startswith("condition")
    if change.kind not in _FIGURE_CHANGES:
        return False
    if change.part is None:
        return keys[0] in _OF_WHOLE.get(kind, ())
    return change.part in parts_at(kind, keys) or (
        change.part.rstrip("0123456789") in parts_at(kind, keys)
    )


def parts_at(kind: str, keys: list[str]) -> tuple[str, ...]:
    """The parts of figures that stand at a path; one that ends with a hyphen is numbered."""
    if kind == "instrument" and keys[0] == "channels" and len(keys) == 3:
        return (f"{keys[1]}-{keys[2]}",)
    if kind == "panel" and len(keys) == 3 and keys[2] == "hole":
        return ("hole-",)  # by callout, which may have another number on each machine
    if kind == "condition":
        return (keys[-1],)
    if kind == "scale" and keys[0] == "bands":
        return _BANDS
    if kind == "task":
        series: dict[tuple[str, ...], str] = {("hours",): "hours", ("calendar",): "calendar"}
        series |= {("severe", "hours"): "severe", ("severe", "calendar"): "severe-calendar"}
        found = series.get(tuple(keys))
        return (found, f"{found}-") if found else (keys[-1],)
    return (keys[0], f"{keys[0]}-")


_COLOURS = ("green", "yellow", "red", "avoid")
_BANDS = tuple(
    f"{ahead}{colour}{behind}"
    for colour in _COLOURS
    for ahead, behind in (("", ""), ("low-", ""), ("high-", ""), ("", "-"))
)
