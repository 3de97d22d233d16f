"""What a PDF says, as blocks of text for the auditor: its pages, and what no page shows.

A figure is identified by the link whose area its signs stand in, so an identity that a reader
could not click is none. Alternative texts, properties and bookmarks are read as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from placardry.audit.claims import Block, Piece
from placardry.audit.pdf_grouping import Group, groups
from placardry.audit.pdf_reading import Page
from placardry.audit.pdf_reading import read as read_document


def read(path: str, data: bytes) -> tuple[str, tuple[Block, ...]]:
    """The language that a PDF is in, empty where it does not say, and its blocks of text.

    Raises:
        PlacardryError: the bytes are no PDF.
    """
    document = read_document(path, data)
    blocks = [
        Block(path, tuple(_pieces(one)), one.text if one.is_row else "", page=one.page)
        for one in groups(document)
    ]
    for page in document.pages:
        blocks += [Block(path, (piece,), page=page.number) for piece in _beside(page)]
    return document.language, tuple(blocks)


_FOOT = re.compile(r"\b([0-9A-Z]{4}-[0-9A-Z]{4})\s+·\s+[\w-]+\s+/\s+[\w-]+")
_CODE = re.compile(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}$")
_CHECK = re.compile(r"\bcheck\.html(?:[#?]|$)")


def _beside(page: Page) -> Iterator[Piece]:
    """What a page has beside its text: what is hidden, notes, and the codes of its card checks."""
    for run in page.runs:
        if not run.is_seen:
            yield Piece(run.text, free="hidden")
    for text in page.notes:
        yield Piece(text or "a note without words", free="strange")
    feet = _FOOT.findall("\n".join(run.text for run in page.runs))
    led = [target for target in page.leads if _CHECK.search(target)]
    said = [element.alternative for element in page.elements if _CODE.search(element.alternative)]
    for each in (led, said):
        codes = [found[0] for one in each if (found := _CODE.search(one))]
        # As many as there are feet stand in the order of the feet; labels have none.
        rights = [{foot} for foot in feet] if len(codes) == len(feet) else [set(feet)] * len(codes)
        for code, right in zip(codes, rights, strict=True):
            if feet and code not in right:
                yield Piece(code, free="code")
    for target in led:
        yield Piece("", target)


def _pieces(group: Group) -> Iterator[Piece]:
    at, quoted = 0, "quotation" if group.is_quoted else ""
    for link in group.links:
        if at < link.start:
            yield Piece(group.text[at : link.start], free=quoted)
        # A value as it stood in an edition says so in its address: docs/editions.md.
        free = "former" if "?edition=" in link.target else ""
        yield Piece(group.text[link.start : link.end], link.target, free)
        at = link.end
    if at < len(group.text):
        yield Piece(group.text[at:], free=quoted)
