"""What a book says beside its records: settings, translations; and the faces of its cards."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from placardry.book.translations import Translation
from placardry.changes.change import Change, ChangeKind
from placardry.changes.direction import Direction
from placardry.changes.records import DESCRIBING, judged, place
from placardry.changes.side import Side
from placardry.changes.trees import Renames, differences, text_of, tree
from placardry.files import BOOK_FILE
from placardry.finding import Span
from placardry.resolve import Manual


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


class _Said(NamedTuple):
    """A translated text: the file and the path of its original, which words it is of, its own."""

    file: str
    path: str
    of: str
    words: str
    span: Span

    @property
    def key(self) -> str:
        """What it is of its record: `note`, `title`."""
        return self.path.rpartition("/")[2]


# By what two texts are held to be one, the surest first: nothing but its place is another; it is
# of the same words; it stands in the same place. Behind a step that goes all paths are others.
_ALIKE: tuple[Callable[[_Said], tuple[str, ...]], ...] = (
    lambda one: (one.key, one.of, one.words),
    lambda one: (one.file, one.key, one.of),
    lambda one: (one.file, one.path),
    lambda one: (one.key, one.of),
)


def translations(before: Side, after: Side, names: Renames) -> Iterator[Change]:
    """Texts in other languages; that a translation follows a rename is no change."""
    old, new = before.book.translations, after.book.translations
    if old == new and not names:
        return
    for language in sorted(old.keys() | new.keys()):
        were, are = _texts(old.get(language, {}), names), _texts(new.get(language, {}))
        for was, now in _paired(were, are):
            if was is None or now is None or was.words != now.words:
                yield _translated(language, was, now, (before, after))


def _texts(files: Mapping[str, Translation], names: Renames | None = None) -> list[_Said]:
    """Every translated text."""
    named = names or Renames()
    return [
        _Said(name, named.reference(path), one.of, tree(one.text, named), one.places.span)
        for name, file in sorted(files.items())
        for path, one in file.texts.items()
    ]


def _paired(were: list[_Said], are: list[_Said]) -> Iterator[tuple[_Said | None, _Said | None]]:
    """Each text with what it was; None where it was not or is no more."""
    for alike in _ALIKE:
        free: dict[tuple[str, ...], list[_Said]] = {}
        for one in are:
            free.setdefault(alike(one), []).append(one)
        left = []
        for one in were:
            same = free.get(alike(one))
            if same:
                yield one, same.pop(0)
            else:
                left.append(one)
        were, are = left, [one for same in free.values() for one in same]
    yield from ((one, None) for one in were)
    yield from ((None, one) for one in are)


def _translated(
    language: str, was: _Said | None, now: _Said | None, sides: tuple[Side, Side]
) -> Change:
    one = now or was
    assert one is not None  # noqa: S101
    kind, way = ChangeKind.ADDED if was is None else ChangeKind.REMOVED, Direction.NEUTRAL
    if was is not None and now is not None:
        kind = ChangeKind.TRANSLATED
        # Where the original is as it was nobody else sees that a command was turned round.
        if was.of == now.of and was.words and one.key not in DESCRIBING:
            way = Direction.UNDECIDED
    manuals = {
        manual.id: manual
        for side, said in zip(sides, (was, now), strict=True)
        for manual in side.manuals
        if said is not None and manual.language == language and _holds(manual, said.file)
    }
    name = one.file.removeprefix("procedures/").removesuffix(".yaml")
    return Change(
        kind=kind,
        direction=way,
        type="translation",
        id=f"{language}/{name}/{one.path}",
        machines=tuple(sorted({manual.machine.id for manual in manuals.values()})),
        manuals=tuple(sorted(manuals)),
        before=was.words if was else None,
        after=now.words if now else None,
        spans=(was.span if was else None, now.span if now else None),
    )


def _holds(manual: Manual, file: str) -> bool:
    """Whether a manual shows what a file says."""
    return file == BOOK_FILE or any(
        record.places.span.path == file
        for by_id in manual.records.values()
        for record in by_id.values()
    )


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
