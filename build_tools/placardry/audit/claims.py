"""What a finished file says of itself: its blocks of text, and the figures that stand in them.

Every reader (pages, drawings, PDFs, the search index) gives `Block`s; `claims` finds the figures
in them. A figure is known by the link that it is printed in: `…register.html#id.part`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from placardry.recognise import Figure, quantities

_REGISTER = re.compile(r"(?:^|(?:^|.*/)(?P<manual>[^/]*)/)register\.html#(?P<anchor>[^#?]+)$")


# A value as it stood in an edition says so in its address: docs/editions.md. Without a number it
# is that of the latest edition.
_FORMER = re.compile(
    r"(?:(?P<manual>[^/]+)/)?(?:register|editions)\.html\?edition=(?P<edition>[0-9]*)#(?P<anchor>.+)"
)


@dataclass(frozen=True, slots=True)
class Former:
    """Which figure of which manual a value was, and in which edition; 0 is the latest.

    `manual` is empty where it is that of the file.
    """

    anchor: str
    manual: str
    edition: int


@dataclass(frozen=True, slots=True)
class Piece:
    """Words set in one go: `target` is where they lead.

    `free` says why a figure in them needs no identity of today: quotation or former.
    """

    text: str
    target: str = ""
    free: str = ""

    @property
    def anchor(self) -> str:
        """The `id.part` in the register that the words lead to; empty if they lead elsewhere."""
        found = _REGISTER.match(self.target)
        return found["anchor"] if found else ""

    @property
    def figure(self) -> str:
        """The figure that the words are of, as it stands or as it stood; empty if of none."""
        return self.anchor or (self.former.anchor if self.former else "")

    @property
    def former(self) -> Former | None:
        """Whose value it was in an edition, if the words are a former value."""
        found = _FORMER.search(self.target)
        if not found:
            return None
        anchor = re.sub(r"^edition-[0-9]+-", "", found["anchor"])
        manual = (found["manual"] or "").strip(".")
        return Former(anchor, manual, int(found["edition"] or 0))


@dataclass(frozen=True, slots=True)
class Block:
    """Text that is read in one go (a paragraph, a cell, a line), in pieces.

    Attributes:
        file: the path of the file, as the auditor was given it
        pieces: the text in order; a figure may not reach over two blocks
        group: the text in which the condition of a figure must stand: the table row, cell, list
            item or group of a drawing; empty for running text, where the sentence is taken
        line: of a text file; 0 where there is none
        page: of a PDF; 0 where there is none
        language: of these words; empty where it is that of the file
        is_drawn: whether it belongs to a gauge strip
    """

    file: str
    pieces: tuple[Piece, ...]
    group: str = ""
    line: int = 0
    page: int = 0
    language: str = ""
    is_drawn: bool = False

    @property
    def text(self) -> str:
        """The text of all pieces."""
        return "".join(piece.text for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class Claim:
    """One figure in a finished file, and what the file says of it.

    Attributes:
        block: where it stands, with the text around it and the group of its condition
        text: the figure as printed; `figure` is what it reads, None for words that lead to a
            row of the register and hold no figure with a unit
        anchor: the `id.part` that it is identified by; empty if it has no identity
        target: the whole address that it leads to
        group: the text in which its condition must stand: that of the block, else the sentence
        free: why it needs no identity; empty if it needs one
        language: of the file, as in `en-GB`
        manual: the folder of the manual that the file lies in; empty at the top
        before: what stands before it in its block
    """

    block: Block
    text: str
    figure: Figure | None
    anchor: str
    target: str
    group: str
    free: str
    language: str
    manual: str
    before: str

    @property
    def former(self) -> Former | None:
        """Whose value it was in an edition, as its address says."""
        return Piece("", self.target).former


def plain(text: str) -> str:
    """A text with one plain space for each white space, in lower case."""
    return " ".join(text.split()).casefold()


def claims(blocks: Iterable[Block], language: str, manual: str) -> Iterator[Claim]:
    """Every figure in the blocks; words that lead to the register are one claim at least."""
    for block in blocks:
        own = block.language or language
        short = own.partition("-")[0]
        text = block.text
        for found in _figures(text, tuple(_placed(block.pieces)), short):
            yield Claim(
                block,
                found.text,
                found.figure,
                found.piece.anchor,
                found.piece.target,
                block.group or _sentence(text, found.start),
                found.piece.free,
                own,
                manual,
                text[: found.start],
            )


@dataclass(frozen=True, slots=True)
class _Found:
    start: int
    text: str
    figure: Figure | None
    piece: Piece


_Placed = tuple[int, int, Piece]


def _figures(text: str, pieces: tuple[_Placed, ...], language: str) -> Iterator[_Found]:
    """The figures of a text: first those that lead to the register, then all others.

    What stands at a link without a space, or makes another figure of it, is read with it.
    """
    whole = tuple(quantities(text, language))
    leading = [one for one in pieces if one[2].anchor]
    for start, end, piece in leading:
        first, last = _reach(text, start, end, [(one.start, one.end) for one in whole], leading)
        own = tuple(quantities(text[first:last], language))
        for found in own:
            yield _Found(first + found.start, found.text, found.figure, piece)
        if not own:
            yield _Found(first, text[first:last], None, piece)
    quoted = tuple(_QUOTED.finditer(text)) if whole else ()
    for found in whole:
        held = [one for one in pieces if one[0] < found.end and found.start < one[1]]
        if not any(piece.anchor for _, _, piece in held):
            free = held[0][2].free if all(piece.free for _, _, piece in held) else ""
            if not free and any(one.start() < found.start < one.end() for one in quoted):
                free = "quotation"
            piece = Piece(found.text, held[0][2].target, free)
            yield _Found(found.start, found.text, found.figure, piece)


_QUOTED = re.compile("“[^“”]*”|„[^“”„]*[“”]|«[^«»]*»|»[^«»]*«")
_BEFORE = re.compile(r"[\w.,:/⁄^+±\u2212-]*[\w+±\u2212-]$")
_AFTER = re.compile(r"[\w²³/^°%·⁄±+\u2212]+|[.,:][0-9]+")


def _reach(
    text: str, start: int, end: int, whole: list[tuple[int, int]], leading: list[_Placed]
) -> tuple[int, int]:
    """From where to where a link and what is joined to it are read."""
    before, after = _BEFORE.search(text, max(0, start - 40), start), _AFTER.match(text, end)
    first = before.start() if before else start
    last = after.end() if after else end
    for from_, to in whole:
        if from_ < start < to:
            first = min(first, from_)
        if from_ < end < to:
            last = max(last, to)
    others = [one for one in leading if one[0] != start]
    first = max([first, *(to for _, to, _ in others if to <= start)])
    return first, min([last, *(from_ for from_, _, _ in others if from_ >= end)])


def _placed(pieces: Iterable[Piece]) -> Iterator[_Placed]:
    """The pieces with their places in the whole text, those that belong together as one."""
    at = 0
    for piece in _joined(pieces):
        yield at, at + len(piece.text), piece
        at += len(piece.text)


_STOP = re.compile(r"[.!?][”“\"»)]?\s+(?=[^\W\d_a-zäöüß]|[“„\"«(])|\n\s*\n")


def _sentence(text: str, at: int) -> str:
    """The sentence of a text that stands at a place."""
    ends = [found.end() for found in _STOP.finditer(text)]
    start = max((end for end in ends if end <= at), default=0)
    return text[start : min((end for end in ends if end > at), default=len(text))]


def _joined(pieces: Iterable[Piece]) -> Iterator[Piece]:
    """Neighbours that lead to the same place, or nowhere, as one: a figure may be in two spans."""
    last: Piece | None = None
    for piece in pieces:
        if last and (piece.target, piece.free) == (last.target, last.free):
            last = Piece(last.text + piece.text, last.target, last.free)
            continue
        if last:
            yield last
        last = piece
    if last:
        yield last
