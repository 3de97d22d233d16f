"""What a PDF says, as blocks of text for the auditor: its pages, and what no page shows.

A figure is identified by the link whose area its signs stand in, so an identity that a reader
could not click is none. Alternative texts, properties and bookmarks are read as well.
"""

from __future__ import annotations

from collections.abc import Iterator

from placardry.audit.claims import Block, Piece
from placardry.audit.pdf_grouping import Group, groups
from placardry.audit.pdf_reading import read as read_document


def read(path: str, data: bytes) -> tuple[str, tuple[Block, ...]]:
    """The language that a PDF is in, empty where it does not say, and its blocks of text.

    Raises:
        PlacardryError: the bytes are no PDF.
    """
    document = read_document(path, data)
    blocks = (
        Block(path, tuple(_pieces(one)), one.text if one.is_row else "", page=one.page)
        for one in groups(document)
    )
    return document.language, tuple(blocks)


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
