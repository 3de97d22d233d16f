"""The pages and card faces that a change touches, found by writing both sides and comparing.

Only the manuals of machines with a change are written, and none of a book with errors.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from placardry.book.cards import Card
from placardry.book.pages import Page
from placardry.finding import has_errors
from placardry.meaning import canonical
from placardry.pages import PageFile, chapters, figures_on
from placardry.paper.cards import anchors, unmarked
from placardry.prepared import Prepared
from placardry.resolve import Manual, per_manual
from placardry.wording.phrases import Speaker, spoken

# Writing the pages of a manual takes a fifth of a second; of more manuals only cards are compared.
# Those of machines that differ in their names alone count as one.
MOST_MANUALS = 12

FaceData = Mapping[str, Any]
_WORD = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


@dataclass(frozen=True)
class Face:
    """A card of a manual whose face is not the same on both sides; None where it is not there.

    Attributes:
        anchors: the figures printed on either side
        shows: the ids of records that it names
    """

    manual: str
    card: str
    title: str
    before: FaceData | None
    after: FaceData | None
    anchors: frozenset[str]
    shows: frozenset[str]

    @property
    def path(self) -> str:
        """The card as OUT names it."""
        return f"{self.manual}/cards/{self.card}.pdf"


@dataclass(frozen=True)
class PageChange:
    """A page of a manual that is not the same on both sides."""

    manual: str
    page: str
    anchors: frozenset[str]
    shows: frozenset[str]

    @property
    def path(self) -> str:
        """The page as OUT names it."""
        return f"{self.manual}/{self.page}.html"


@dataclass(frozen=True)
class Touched:
    """What a review touches.

    Attributes:
        unread: manuals of which pages were not compared, for there are too many
    """

    pages: tuple[PageChange, ...] = ()
    faces: tuple[Face, ...] = ()
    unread: tuple[str, ...] = ()

    def of(
        self, anchor: str | None, name: str, manuals: Iterable[str], figures: frozenset[str]
    ) -> tuple[tuple[PageChange, ...], tuple[Face, ...]]:
        """The pages and faces that one change touches.

        Args:
            anchor: the figure that changed; None for any other change
            name: the id of the record that changed
            manuals: those in which it changed
            figures: the anchors of all figures that changed in the review
        """
        own = set(manuals)
        both: tuple[PageChange | Face, ...] = (*self.pages, *self.faces)
        here = [one for one in both if one.manual in own]
        if anchor is not None:
            found = [one for one in here if anchor in one.anchors]
        else:  # those that show the record; else those that no changed figure explains
            found = [one for one in here if name in one.shows]
            found = found or [one for one in here if not figures & one.anchors]
        return (
            tuple(one for one in found if isinstance(one, PageChange)),
            tuple(one for one in found if isinstance(one, Face)),
        )


def touched(before: Prepared, after: Prepared, manuals: Iterable[str]) -> Touched:
    """What differs between two books in these manuals."""
    if has_errors(before.findings) or has_errors(after.findings):
        return Touched()
    wanted = set(manuals)
    old = {one.id: one for one in before.manuals if one.id in wanted}
    new = {one.id: one for one in after.manuals if one.id in wanted}
    names = sorted(old.keys() | new.keys())
    written: dict[object, tuple[PageChange, ...]] = {}
    found_pages: list[PageChange] = []
    faces: list[Face] = []
    unread: list[str] = []
    for name in names:
        manuals_ = (old.get(name), new.get(name))
        sides = [_written(one) if one else None for one in manuals_]
        faces += _faces(name, *sides)
        alike = _alike(name, *manuals_)
        if alike not in written and len(written) == MOST_MANUALS:
            unread.append(name)
            continue
        if alike not in written:
            # Of the register is told elsewhere: it changes with the line of every figure.
            written[alike] = tuple(_pages(name, *sides))
        found_pages += [replace(one, manual=name) for one in written[alike]]
    return Touched(tuple(found_pages), tuple(faces), tuple(unread))


def _alike(name: str, old: Manual | None, new: Manual | None) -> object:
    """The same for manuals on whose pages the same has changed, whatever their machines' names."""
    if old is None or new is None or (old.machine, old.entry) != (new.machine, new.entry):
        return name
    return tuple((one.view, *map(id, one.of(Page).values())) for one in (old, new))


def code(face: FaceData) -> str:
    """What tells one face from another: a digest of all that it shows."""
    text = json.dumps(face, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


class _Written:
    """One manual with its faces, as cards without a draft's mark or an edition's number."""

    def __init__(self, manual: Manual) -> None:
        self.speaker = Speaker(manual)
        self.faces = unmarked(self.speaker)
        self.titles = {
            name: spoken(self.speaker.text(card.title)) for name, card in manual.of(Card).items()
        }

    @cached_property
    def pages(self) -> Mapping[str, PageFile]:
        """Its pages by their path, but for the register."""
        return chapters(self.speaker)


@per_manual
def _written(manual: Manual) -> _Written:
    return _Written(manual)


def _faces(manual: str, old: _Written | None, new: _Written | None) -> Iterable[Face]:
    before, after = (one.faces if one else {} for one in (old, new))
    titles = {**(old.titles if old else {}), **(new.titles if new else {})}
    for name in sorted(before.keys() | after.keys()):
        sides = (before.get(name), after.get(name))
        if len({code(one) if one is not None else "" for one in sides}) == 1:
            continue
        printed = frozenset(anchor for one in sides if one is not None for anchor in anchors(one))
        cards = [one.speaker.manual.of(Card).get(name) for one in (old, new) if one]
        shows = frozenset(word for card in cards if card for word in _WORD.findall(canonical(card)))
        yield Face(manual, name, titles[name], *sides, printed, shows)


def _pages(manual: str, old: _Written | None, new: _Written | None) -> Iterable[PageChange]:
    before, after = (one.pages if one else {} for one in (old, new))
    for path in sorted(before.keys() | after.keys()):
        sides = [one for one in (before.get(path), after.get(path)) if one is not None]
        if len({one.markdown for one in sides}) == 1 and len(sides) == 2:
            continue
        figures = frozenset(anchor for one in sides for anchor in figures_on(one))
        stem = path.removesuffix(".md")
        shows = frozenset((stem.rpartition("/")[2],))
        yield PageChange(manual, stem, figures, shows)
