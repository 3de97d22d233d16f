"""What was taken out: figures that the register says a file prints, and that the file does not."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from placardry.audit.claims import Block, plain
from placardry.audit.former import CODE
from placardry.audit.hosts import hosts_of
from placardry.audit.register import Entry, Register
from placardry.audit.told import (
    ABSENT,
    FOREIGN,
    MISSING,
    UNIDENTIFIED,
    UNKNOWN,
    UNNAMED,
    WRONG,
    Told,
    tell,
)
from placardry.finding import Span

_MANUAL, _SHEET, _CARDS = "manual.pdf", "cards/sheet-a4.pdf", "cards/"
_ON_SCREEN = frozenset(["due.html"])  # pages that the printed manual does not have
_MEND = "build the manual again; a figure is taken out in the book alone"
_BETWEEN = re.compile(r"[\w|]")  # a figure in two units has less between them
_NUMERAL = re.compile(r"[0-9]+(?:[.,][0-9]+)*")


@dataclass(frozen=True, slots=True)
class Held:
    """Which figures a file holds.

    Attributes:
        mentions: how often each is mentioned in words, whatever units it stands in there; 0 for
            those that only a gauge strip has, which the printed manual leaves out
        codes: of cards
        hosts: how many links to the register and the card check lead to each
    """

    mentions: Mapping[str, int]
    codes: frozenset[str]
    hosts: Mapping[str, int]


def held(blocks: Collection[Block]) -> Held:
    """The figures in the text of a file, by their identity."""
    mentions: Counter[str] = Counter()
    codes: set[str] = set()
    for block in blocks:
        last = ""
        for piece in block.pieces:
            if piece.anchor:
                mentions[piece.anchor] += piece.anchor != last and not block.is_drawn
                last = piece.anchor
            elif _BETWEEN.search(piece.text):
                last = ""
        if block.page:
            codes.update(CODE.findall(block.text))
    return Held(dict(mentions), frozenset(codes), hosts_of(blocks))


@dataclass(frozen=True)
class Folder:
    """One manual, and what its files hold.

    Attributes:
        start: its folder as it begins a path
        entries: its figures by anchor
        paths: of all files that are there
        held: by path, of those that were read figure by figure
    """

    start: str
    entries: Mapping[str, Entry]
    paths: Collection[str]
    held: Mapping[str, Held]

    @property
    def named(self) -> Mapping[str, list[str]]:
        """The anchors of the figures that each file prints as the register says; paths inside."""
        found: dict[str, list[str]] = {}
        for anchor, entry in self.entries.items():
            for path in entry.used_in:
                found.setdefault(path, []).append(anchor)
        return dict(sorted(found.items()))

    def count(self, path: str, anchor: str) -> int:
        """How often a file of the manual mentions a figure."""
        return self.held.get(self.start + path, _NONE).mentions.get(anchor, 0)

    def codes(self, path: str) -> frozenset[str]:
        """The codes of cards in a file of the manual."""
        return self.held.get(self.start + path, _NONE).codes


_NONE = Held({}, frozenset(), {})


def folder_of(
    folder: str, register: Register, paths: Collection[str], held_by: Mapping[str, Held]
) -> Folder:
    """The manual that lies in a folder; `""` where it lies alone."""
    start = f"{folder}/" if folder else ""
    return Folder(start, register.of(register.manual_in(folder)), paths, held_by)


def by_register(folder: Folder, told: Collection[Told]) -> Iterator[Told]:
    """Figures that a file should hold and does not, and those that it should not hold.

    Args:
        folder: the manual
        told: what was found already: a figure that a register tells of is not judged, nor what is
            not there because it leads elsewhere now
    """
    doubted = {one.figure for one in told if _is_of_register(one.finding.span.path, folder.start)}
    absent = {one.finding.span.path for one in told if one.finding.rule is MISSING}
    for path, named in folder.named.items():
        whole = folder.start + path
        sure = [anchor for anchor in named if anchor not in doubted]
        if whole not in folder.paths:
            if sure and whole not in absent:
                message = f"the register says that {_counted(len(sure))} stand in this file"
                yield tell(MISSING, Span(whole), f"{message}, which is not there", _MEND)
            continue
        if whole not in folder.held:
            continue
        there = folder.held[whole].mentions
        here = [one for one in told if one.finding.span.path == whole]
        lacking = [folder.entries[anchor] for anchor in sure if anchor not in there]
        for entry in _unexplained(lacking, here):
            yield _absent(whole, entry, "does not stand here, where it should by the register")
        known = {one.figure for one in here} | doubted
        for anchor in there if not lacking else ():
            is_judged = anchor in folder.entries and anchor not in known
            if is_judged and path not in (entry := folder.entries[anchor]).used_in:
                message = (
                    f"{_shown(entry)} (`{anchor}`) stands here, which the register does not say"
                )
                yield tell(UNNAMED, Span(whole), message, _MEND, anchor, _shown(entry))


def by_copies(folder: Folder, told: Collection[Told]) -> Iterator[Told]:
    """Figures that the printed manual has less often than its pages, or the sheet than its cards.

    What the manual has more often is no fault of a page; of a card the sheet tells, where no other
    has the figure. Nothing is judged by a file of which something is told.
    """
    faulty = {one.finding.span.path for one in told}
    named = folder.named
    pages = [path for path in named if path.endswith(".html") and path not in _ON_SCREEN]
    # A card as large as a sheet lies on none; of a sheet that lacks figures a card may be gone.
    lacks = {one.finding.span.path for one in told if one.finding.rule is ABSENT}
    is_whole = folder.start + _SHEET not in lacks
    cards = [
        path
        for path in named
        if _is_card(path) and not (is_whole and folder.codes(path).isdisjoint(folder.codes(_SHEET)))
    ]
    for whole, parts, said in ((_MANUAL, pages, "in the pages"), (_SHEET, cards, "on the cards")):
        if folder.start + whole in folder.held:
            here = [one for one in told if one.finding.span.path == folder.start + whole]
            counted = {one.anchor: more for one, more in _fewer(folder, whole, parts, faulty)}
            for entry in _unexplained([folder.entries[one] for one in counted], here):
                has = folder.count(whole, entry.anchor)
                says = f"stands here {has} times, {said} {counted[entry.anchor]} times"
                yield _absent(folder.start + whole, entry, says)
    known = {one.figure for one in told if one.finding.span.path.startswith(folder.start)}
    for entry in (folder.entries[one] for one in named.get(_SHEET, ()) if one not in known):
        own = [path for path in entry.used_in if _is_card(path)]
        has, wanted = (folder.count(path, entry.anchor) for path in ("".join(own), _SHEET))
        if len(own) == 1 and folder.start + own[0] not in faulty and has < wanted:
            says = f"stands here {has} times, on the sheet {wanted} times"
            yield _absent(folder.start + own[0], entry, says)


def _fewer(
    folder: Folder, whole: str, parts: Collection[str], faulty: Collection[str]
) -> Iterator[tuple[Entry, int]]:
    """The figures that a file has less often than those it was bound of, and how often they do."""
    for anchor in folder.named.get(whole, ()):
        entry = folder.entries[anchor]
        own = [path for path in entry.used_in if path in parts]
        wanted = sum(folder.count(path, anchor) for path in own)
        is_sound = not any(folder.start + path in faulty for path in own)
        if is_sound and 0 < folder.count(whole, anchor) < wanted:
            yield entry, wanted


def _is_card(path: str) -> bool:
    return path.startswith(_CARDS) and path != _SHEET


def _is_of_register(path: str, start: str) -> bool:
    """Whether a file is a copy of the register, of this manual or of all."""
    folder, _, name = path.rpartition("/")
    return name.startswith("register.") and folder in ("", start.rstrip("/"))


def _unexplained(lacking: list[Entry], here: Collection[Told]) -> list[Entry]:
    """The figures whose absence no other finding of the file explains.

    One that leads elsewhere now, or nowhere, is told of where it stands; where its value reads
    otherwise as well it is one of as many as lead nowhere.
    """
    strays = [one for one in here if one.finding.rule in (UNIDENTIFIED, UNKNOWN, FOREIGN)]
    moved = [one for one in here if one.finding.rule is WRONG] + strays
    left = [entry for entry in lacking if not any(_is_of(one.found, entry) for one in moved)]
    return left if len(lacking) > len(strays) else []


def _is_of(found: str, entry: Entry) -> bool:
    """Whether what was found reads as the figure does, or as an end of it."""
    shown = plain(" ".join(entry.shown.values()))
    numerals = set(_NUMERAL.findall(found))
    if numerals:
        return numerals <= set(_NUMERAL.findall(shown))
    return bool(found) and plain(found) in shown


def _shown(entry: Entry) -> str:
    return " or ".join(entry.shown.values()).replace("\xa0", " ")


def _absent(path: str, entry: Entry, says: str) -> Told:
    message = f"{_shown(entry)} (`{entry.anchor}`) {says}"
    return tell(ABSENT, Span(path), message, _MEND, entry.anchor, "", _shown(entry))


def _counted(number: int) -> str:
    return "1 figure" if number == 1 else f"{number} figures"
