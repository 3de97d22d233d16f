"""What a stranger's PDF readers find in a document: pdfium for glyphs, pypdf for structure."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium

POINT_MM = 25.4 / 72


@dataclass(frozen=True)
class Glyph:
    """One printed character and its box from the upper left corner of the page, in points."""

    char: str
    left: float
    top: float
    right: float
    bottom: float
    size: float
    """Of the type, in points."""

    @property
    def area(self) -> float:
        return (self.right - self.left) * (self.bottom - self.top)

    def common(self, other: Glyph) -> float:
        """The area that both cover."""
        width = min(self.right, other.right) - max(self.left, other.left)
        height = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(width, 0.0) * max(height, 0.0)


def sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of each page."""
    document = pypdfium2.PdfDocument(pdf)
    return [
        (round(width * POINT_MM, 2), round(height * POINT_MM, 2))
        for width, height in (document[at].get_size() for at in range(len(document)))
    ]


def glyphs(pdf: bytes) -> list[list[Glyph]]:
    """The visible characters of each page, in the order of the text."""
    document = pypdfium2.PdfDocument(pdf)
    return [list(_glyphs_of(document[at])) for at in range(len(document))]


def _glyphs_of(page: pypdfium2.PdfPage) -> Iterator[Glyph]:
    height = page.get_height()
    text = page.get_textpage()
    for at in range(text.count_chars()):
        char = text.get_text_range(at, 1)
        if not char.strip():
            continue
        left, bottom, right, top = text.get_charbox(at)
        size = pdfium.FPDFText_GetFontSize(text.raw, at)
        yield Glyph(char, left, height - top, right, height - bottom, size)


def overlaps(pdf: bytes, largest: float = 40) -> list[str]:
    """Characters that print over each other; type above `largest` points is a watermark."""
    found = []
    for page in glyphs(pdf):
        seen: list[Glyph] = []
        for glyph in sorted(page, key=lambda one: one.left):
            if glyph.size > largest:
                continue
            seen = [one for one in seen if one.right > glyph.left]
            found += [
                f"{one.char}{glyph.char} at {glyph.left:.0f}, {glyph.top:.0f}"
                for one in seen
                if one.common(glyph) > 0.3 * min(one.area, glyph.area)
            ]
            seen.append(glyph)
    return found


def lines(pdf: bytes) -> list[str]:
    """The text of all pages line by line as pdfium reads it."""
    document = pypdfium2.PdfDocument(pdf)
    texts = [document[at].get_textpage().get_text_range() for at in range(len(document))]
    return [line.strip() for text in texts for line in text.splitlines() if line.strip()]


def boxes(pdf: bytes) -> str:
    """Each stretch of text with its box in millimetres: left, top, width, height."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for at in range(len(document)):
        page = document[at]
        text, height = page.get_textpage(), page.get_height()
        for rect in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(rect)
            words = text.get_text_bounded(left, bottom, right, top).strip()
            edges = (left, height - top, right - left, top - bottom)
            found.append(" ".join(f"{edge * POINT_MM:5.1f}" for edge in edges) + "  " + words)
    return "\n".join(found) + "\n"


def links(pdf: bytes) -> list[str]:
    """The addresses that the document leads to, in order of its pages."""
    return [str(action["/URI"]) for action in _actions(pdf) if "/URI" in action]


def _actions(pdf: bytes) -> Iterator[Any]:
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        notes: Any = page.get("/Annots") or ()
        for note in notes:
            yield note.get_object().get("/A", {})


def structure(pdf: bytes) -> list[str]:
    """The tags of the document in reading order."""
    return list(_tags(catalog(pdf)["/StructTreeRoot"]))


def catalog(pdf: bytes) -> Any:
    """The root of the document."""
    return pypdf.PdfReader(io.BytesIO(pdf)).root_object


def title(pdf: bytes) -> str | None:
    """The title that a reader's window shows."""
    found = pypdf.PdfReader(io.BytesIO(pdf)).metadata
    return found.title if found else None


def bookmarks(pdf: bytes) -> list[str]:
    """The titles of the outline, of all levels."""
    return list(_titles(pypdf.PdfReader(io.BytesIO(pdf)).outline))


def _titles(outline: Any) -> Iterator[str]:
    for one in outline:
        if isinstance(one, list):
            yield from _titles(one)
        else:
            yield str(one.title)


def _tags(node: object) -> Iterator[str]:
    if isinstance(node, pypdf.generic.IndirectObject):
        node = node.get_object()
    if isinstance(node, list):
        for one in node:
            yield from _tags(one)
    elif isinstance(node, dict):
        if "/S" in node:
            yield str(node["/S"])
        yield from _tags(node.get("/K"))


def fonts(pdf: bytes) -> dict[str, bool]:
    """Each font that the document uses, and whether it is embedded."""
    found: dict[str, bool] = {}
    pages: Any = pypdf.PdfReader(io.BytesIO(pdf)).pages
    for page in pages:
        for font in page["/Resources"].get("/Font", {}).values():
            below = font.get_object().get("/DescendantFonts", [font])[0].get_object()
            described = below["/FontDescriptor"]
            embedded = any(f"/FontFile{kind}" in described for kind in ("", "2", "3"))
            found[str(below["/BaseFont"]).partition("+")[2]] = embedded
    return found
