"""From a change between two books to what a reviewer must know of it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from placardry.book import Book
from placardry.changes import Change, ChangeKind
from placardry.changes.state import FigureState
from placardry.changes.steps import BESIDE
from placardry.changes.trees import text_of
from placardry.review.demands import approval_of
from placardry.review.seen import Seen
from placardry.review.size import share, shown, size
from placardry.review.touched import Touched

# What changes of a figure that its owner keeps to; a source or a name is none of it.
OF_FIGURES = {
    ChangeKind.ADDED,
    ChangeKind.REMOVED,
    ChangeKind.VALUE,
    ChangeKind.CONDITION_NARROWED,
    ChangeKind.CONDITION_WIDENED,
    ChangeKind.CONDITION_CHANGED,
}


def seen(
    changes: Iterable[Change], before: Book, after: Book, touched: Touched
) -> tuple[Seen, ...]:
    """The changes as a reviewer sees them, in the order given."""
    changes = list(changes)
    figures = frozenset(filter(None, map(_anchor, changes)))
    return tuple(_seen(one, before, after, touched, figures) for one in changes)


def _seen(
    change: Change, before: Book, after: Book, touched: Touched, figures: frozenset[str]
) -> Seen:
    old, new = (one if isinstance(one, FigureState) else None for one in _both(change))
    pages, faces = touched.of(_anchor(change), change.id, change.manuals, figures)
    is_figure = change.kind in OF_FIGURES and bool(old or new)
    has_moved = change.kind is ChangeKind.VALUE  # a condition may change beside it
    return Seen(
        change=str(change.kind),
        direction=str(change.direction),
        kind=change.type,
        id=change.id,
        part=change.part,
        what=_what(change, old, new, after, before),
        before=shown(old) if old else _words(change.before),
        after=shown(new) if new else _words(change.after),
        size=size(old, new) if has_moved else {},
        share=share(old, new) if has_moved else None,
        condition=_condition(new or old, after if new else before),
        machines=change.machines,
        on=tuple(dict.fromkeys(_name(after, before, "machine", one) for one in change.machines)),
        sources=change.sources,
        has_new_source=_has_new_source(change, old, new, before, after),
        is_figure=is_figure,
        approval=_approval(change, after),
        causes=change.causes,
        pages=tuple(dict.fromkeys(one.path for one in pages)),
        cards=tuple(dict.fromkeys(one.path for one in faces)),
        place=change.spans[1],
        old_place=change.spans[0],
    )


def _both(change: Change) -> tuple[Any, Any]:
    return change.before, change.after


def _anchor(change: Change) -> str | None:
    """The figure that changed, as pages and cards link to it."""
    if not any(isinstance(one, FigureState) for one in _both(change)):
        return None
    return f"{change.id}.{change.part}" if change.part else change.id


def _words(text: object) -> dict[str, str]:
    """Words as people read them; what has keys comes as JSON, and is told as `key value`.

    Of a step what is done comes first, then what is said of it; of a safety message the danger.
    """
    if not text:
        return {}
    try:
        told = _told(json.loads(str(text)))
    except ValueError:
        told = str(text)
    return {"": told}


_AS_SAID = {"hazard": 1, "consequence": 2, "avoid": 3}  # behind the signal word


def _told(value: Any) -> str:
    if isinstance(value, dict):
        keys = sorted(value, key=lambda key: (key in BESIDE, _AS_SAID.get(key, 0)))
        return ", ".join(f"{key} {_told(value[key])}" for key in keys)
    if isinstance(value, list):
        return ", ".join(map(_told, value))
    return text_of(value) or "nothing"


def _what(
    change: Change, old: FigureState | None, new: FigureState | None, after: Book, before: Book
) -> str:
    """What changed, in words: `coolant, red from`, `exhaust, maximum`, `start, steps/1`."""
    name = _name(after, before, change.type, change.id)
    state = new or old
    if state is None:
        return f"{name}, {change.part}" if change.part else name
    if state.colour is not None:
        edge = {"maximum": " from", "minimum": " below"}.get(state.kind, "")
        return f"{name}, {change.part or state.colour}{edge}"
    kind = state.kind if change.part is None else change.part
    return name if state.type in ("fact", "alarm") and change.part is None else f"{name}, {kind}"


def _name(after: Book, before: Book, kind: str, id: str) -> str:
    """What people call a record; its id where it has no name."""
    for book in (after, before):
        for record in book.records.get(kind, {}).get(id, ()):
            for key in ("name", "title"):
                text = getattr(record, key, None)
                if text:
                    return str(text)
            parameter = getattr(record, "parameter", None)
            if parameter:
                return _name(after, before, "parameter", parameter)
    return id


def _condition(state: FigureState | None, book: Book) -> str | None:
    """The short form of the conditions under which a figure holds."""
    if state is None:
        return None
    for record in book.records.get(state.record, {}).get(state.id, ()):
        names = getattr(record, "condition", ())
        said = [_short(book, name) for name in names]
        if state.within is not None:
            said.append(f"for at most {state.within}")
        if said:
            return " and ".join(said)
    return None


def _short(book: Book, name: str) -> str:
    found = book.records.get("condition", {}).get(name, ())
    return str(getattr(found[0], "short", None) or name) if found else name


def _has_new_source(
    change: Change, old: FigureState | None, new: FigureState | None, before: Book, after: Book
) -> bool:
    """Whether another place is cited, or the document cited is another than it was."""
    was, now = change.sources
    if now is not None and was != now:
        return True
    document = (new or old).document if (new or old) else None  # type: ignore[union-attr]
    if document is None:
        return False
    there, here = (book.records.get("document", {}).get(document) for book in (before, after))
    return there is not None and there != here


def _approval(change: Change, after: Book) -> str:
    if change.id not in after.records.get(change.type, {}):
        return ""
    holding, stale = approval_of(after, change.of)
    if holding is not None:
        return f"{holding.by} approved this content on {holding.on}"
    if stale is not None:
        return f"{stale.by} approved another content on {stale.on}; nobody has approved this one"
    return "nobody has approved this content"
