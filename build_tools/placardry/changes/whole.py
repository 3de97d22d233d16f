"""What a book says beside its records: settings, translations; and the faces of its cards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from placardry.book.translations import Translation
from placardry.changes.change import Change, ChangeKind
from placardry.changes.direction import Direction
from placardry.changes.records import judged, place
from placardry.changes.side import Side
from placardry.changes.trees import Renames, differences, text_of, tree
from placardry.finding import Span


def settings(before: Side, after: Side, names: Renames) -> Iterator[Change]:
    """What the book says once for all."""
    old, new = before.book.settings, after.book.settings
    if old == new:
        return
    for diff in differences(tree(old, names), tree(new)):
        kind, way = judged("book", diff)
        yield Change(
            kind=kind,
            direction=way,
            type="book",
            id=new.book,
            part=".".join(map(str, diff.path)),
            before=text_of(diff.before),
            after=text_of(diff.after),
            spans=(place(old, diff.path), place(new, diff.path)),
        )


def translations(before: Side, after: Side, names: Renames) -> Iterator[Change]:
    """Texts in other languages; that a translation follows a rename is no change."""
    old, new = before.book.translations, after.book.translations
    if old == new and not names:
        return
    for language in sorted(old.keys() | new.keys()):
        were, are = _texts(old.get(language, {}), names), _texts(new.get(language, {}))
        for key in sorted(were.keys() | are.keys()):
            was, now = were.get(key), are.get(key)
            if was and now and was[0] == now[0]:
                continue
            yield Change(
                kind=ChangeKind.TRANSLATED,
                direction=Direction.NEUTRAL,
                type="translation",
                id=f"{language}/{key}",
                before=was[0] if was else None,
                after=now[0] if now else None,
                spans=(was[1] if was else None, now[1] if now else None),
            )


def _texts(
    files: Mapping[str, Translation], names: Renames | None = None
) -> dict[str, tuple[str, Span]]:
    """Every translated text by its path; which file holds it is no meaning."""
    named = names or Renames()
    return {
        named.reference(path): (tree(one.text, named), one.places.span)
        for file in files.values()
        for path, one in file.texts.items()
    }


def faces(before: Side, after: Side) -> Iterator[Change]:
    """The faces of cards that are not as they were, each with the manuals in which."""
    faces: dict[str, list[str]] = {}
    for manual, card in sorted(before.cards.keys() & after.cards.keys()):
        if before.cards[manual, card] != after.cards[manual, card]:
            faces.setdefault(card, []).append(manual)
    manuals = after.by_id
    for card, where in faces.items():
        machines = {manuals[name].machine.id for name in where if name in manuals}
        yield Change(
            kind=ChangeKind.FACE,
            direction=Direction.NEUTRAL,
            type="card",
            id=card,
            machines=tuple(sorted(machines)),
            manuals=tuple(where),
            before=before.cards[where[0], card],
            after=after.cards[where[0], card],
        )
