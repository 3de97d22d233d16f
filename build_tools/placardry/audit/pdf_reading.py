"""A PDF as pdfium reads it: runs of text with their boxes, links and tags, and the words unseen.

Knows nothing of figures. Lengths are in points from the lower left corner of a page.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from placardry.audit.pdf_hidden import bounds, is_unpainted, notes
from placardry.audit.pdf_tags import Element, elements_of, text_of
from placardry.errors import PlacardryError

# A box of signs reaches from the highest to the lowest that the font has, an area may be narrower.
_INSET = 0.4


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle as the reader of its text sees it: turned text is turned back."""

    left: float
    bottom: float
    right: float
    top: float

    def joined(self, other: Box) -> Box:
        """The smallest box around both."""
        return Box(
            min(self.left, other.left),
            min(self.bottom, other.bottom),
            max(self.right, other.right),
            max(self.top, other.top),
        )

    @property
    def inset(self) -> float:
        """How much narrower an area may be that the box lies in."""
        return _INSET * min(self.right - self.left, self.top - self.bottom)

    def is_within(self, area: Box) -> bool:
        """Whether the box lies in an area."""
        inset = self.inset
        return (
            area.left <= self.left + inset
            and area.right >= self.right - inset
            and area.bottom <= self.bottom + inset
            and area.top >= self.top - inset
        )

    def is_beside(self, other: Box) -> bool:
        """Whether both stand in one row: more than half of the lower one is level with it."""
        level = min(self.top, other.top) - max(self.bottom, other.bottom)
        return level > 0.5 * min(self.top - self.bottom, other.top - other.bottom)


@dataclass(frozen=True, slots=True)
class Run:
    """Text that was set in one go, with the white space behind it; `target` is where it leads.

    `is_seen` tells whether it is painted, and on what is shown of the page.
    """

    text: str
    box: Box
    turn: int
    target: str = ""
    element: Element | None = None
    is_seen: bool = True


@dataclass(frozen=True, slots=True)
class Page:
    """What stands on a page, in the order in which it was set; numbers begin at 1.

    `notes` is the text of what was put on it as annotations, `leads` the addresses of all links.
    """

    number: int
    runs: tuple[Run, ...]
    elements: tuple[Element, ...]
    notes: tuple[str, ...] = ()
    leads: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """The pages of a PDF, and what no page shows: its properties and its bookmarks."""

    language: str
    pages: tuple[Page, ...]
    unseen: tuple[str, ...]


def read(path: str, data: bytes) -> Document:
    """The document that `data` holds.

    Raises:
        PlacardryError: the bytes are no PDF.
    """
    import pypdfium2
    import pypdfium2.raw as pdfium

    try:
        opened = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as fault:
        raise PlacardryError(f"`{path}` cannot be read as a PDF: {fault}") from None
    with opened:
        pages = tuple(_page(opened, number) for number in range(len(opened)))
        properties = opened.get_metadata_dict()
        named = [properties.get(name, "") for name in ("Title", "Author", "Subject", "Keywords")]
        marks = [mark.get_title() for mark in opened.get_toc()]
        language = text_of(pdfium.FPDFCatalog_GetLanguage, opened.raw)
        return Document(language, pages, tuple(text for text in (*named, *marks) if text))


def _page(document: Any, at: int) -> Page:
    page = document[at]
    text = page.get_textpage()
    elements, marked = elements_of(page.raw)
    links = _links(document.raw, page.raw)
    runs = tuple(_runs(text.raw, links, marked, Box(*bounds(page))))
    noted = tuple(notes(page.raw))
    text.close()
    page.close()
    return Page(at + 1, runs, elements, noted, tuple(target for _, target in links))


def _runs(
    text: Any, links: list[tuple[Box, str]], marked: dict[int, Element], shown: Box
) -> Iterator[Run]:
    import pypdfium2.raw as pdfium

    if not (signs := _signs(text)):
        return
    owners = _owners(text, len(signs))
    starts = [at for at, one in enumerate(owners) if at == 0 or one != owners[at - 1]]
    for start, end in zip(starts, [*starts[1:], len(signs)], strict=True):
        words = signs[start:end]
        seen = [at for at in range(start, end) if not signs[at].isspace()]
        if not seen:
            yield Run(words, Box(0, 0, 0, 0), 0)
            continue
        box = _sign_box(text, seen[0]).joined(_sign_box(text, seen[-1]))
        turns = 2 * pdfium.FPDFText_GetCharAngle(text, seen[0]) / math.pi
        turn = round(turns) % 4
        owner = pdfium.FPDFText_GetTextObject(text, seen[0])
        element = marked.get(pdfium.FPDFPageObj_GetMarkedContentID(owner)) if owner else None
        is_inside = box.is_within(shown)
        box = _upright(box, turn)
        # What lies aslant, as the mark of a draft across a page, is in no area for all its box.
        is_aslant = abs(turns - round(turns)) > _SLANT
        areas = [] if is_aslant else [(_upright(area, turn), to) for area, to in links]
        is_seen = (is_inside or is_aslant) and not (owner and is_unpainted(owner))
        yield Run(words, box, turn, _target(box, areas), element, is_seen)


def _signs(text: Any) -> str:
    """The signs of a page, one for each that pdfium counts."""
    import pypdfium2.raw as pdfium

    count = pdfium.FPDFText_CountChars(text)
    room = (ctypes.c_ushort * (2 * count + 2))()
    length = pdfium.FPDFText_GetText(text, 0, count, room) - 1
    whole = bytes(room)[: 2 * max(length, 0)].decode("utf-16-le", "replace")
    if len(whole) == count:
        return whole
    codes = (pdfium.FPDFText_GetUnicode(text, at) for at in range(count))
    return "".join(chr(code) if code else " " for code in codes)


_STRIDE = 8


def _owners(text: Any, count: int) -> list[int]:
    """For each sign the address of what it was set with; white space without has the last one's."""
    import pypdfium2.raw as pdfium

    def owner_of(at: int) -> int:
        owner = pdfium.FPDFText_GetTextObject(text, at)
        return ctypes.addressof(owner.contents) if owner else 0

    found: list[int] = []
    while (at := len(found)) < count:
        owner = owner_of(at)
        # The signs of one owner stand in a row: the same one further on owns all between.
        alike = at + _STRIDE < count and owner and owner_of(at + _STRIDE) == owner
        found += [owner or (found[-1] if found else 0)] * (_STRIDE if alike else 1)
    return found


def _sign_box(text: Any, at: int) -> Box:
    import pypdfium2.raw as pdfium

    box = pdfium.FS_RECTF()
    pdfium.FPDFText_GetLooseCharBox(text, at, box)
    return Box(box.left, box.bottom, box.right, box.top)


def _upright(box: Box, turn: int) -> Box:
    """The box in the eyes of who reads text that is turned by so many right angles."""
    for _ in range(-turn % 4):
        box = Box(box.bottom, -box.right, box.top, -box.left)
    return box


# Of a right angle: less is the rounding of the writer.
_SLANT = 0.02


def _target(box: Box, links: list[tuple[Box, str]]) -> str:
    """Where the link leads whose area the box lies in; the last one drawn lies on top.

    Words that begin in an area lead there too, for they may be longer than it.
    """
    for area, target in reversed(links):
        if box.is_within(area):
            return target
    inset = box.inset
    middle = (box.bottom + box.top) / 2
    return next(
        (
            to
            for area, to in reversed(links)
            if area.left <= box.left + inset < area.right and area.bottom <= middle <= area.top
        ),
        "",
    )


def _links(document: Any, page: Any) -> list[tuple[Box, str]]:
    """The areas of a page that lead to an address, and the address."""
    import pypdfium2.raw as pdfium

    found, at, link = [], ctypes.c_int(0), pdfium.FPDF_LINK()
    while pdfium.FPDFLink_Enumerate(page, at, link):
        box, action = pdfium.FS_RECTF(), pdfium.FPDFLink_GetAction(link)
        if not action or not pdfium.FPDFLink_GetAnnotRect(link, box):
            continue
        length = pdfium.FPDFAction_GetURIPath(document, action, None, 0)
        room = ctypes.create_string_buffer(max(length, 1))
        pdfium.FPDFAction_GetURIPath(document, action, room, length)
        target = room.value.decode("utf-8", "replace")
        area = Box(box.left, min(box.bottom, box.top), box.right, max(box.bottom, box.top))
        found.append((area, target))
    return found
