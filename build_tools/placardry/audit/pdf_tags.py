"""The tags of a PDF's page: what its parts are to a reader, and what they stand in.

Source: ISO 32000-1, 14.7 (logical structure), read through pdfium.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True, eq=False)
class Element:
    """A tag of the page: its name, its number in the order of the page, and what it stands in."""

    number: int
    tag: str
    parent: Element | None
    alternative: str = ""

    def around(self) -> Iterator[Element]:
        """The element and all that it stands in, outwards."""
        one: Element | None = self
        while one is not None:
            yield one
            one = one.parent


def elements_of(page: Any) -> tuple[tuple[Element, ...], dict[int, Element]]:
    """The tags of a page in their order, and for each marked content the tag that holds it."""
    import pypdfium2.raw as pdfium

    tree = pdfium.FPDF_StructTree_GetForPage(page)
    if not tree:
        return (), {}
    elements: list[Element] = []
    marked: dict[int, Element] = {}

    def visit(raw: Any, parent: Element | None) -> None:
        tag = text_of(pdfium.FPDF_StructElement_GetType, raw)
        said = text_of(pdfium.FPDF_StructElement_GetAltText, raw)
        one = Element(len(elements), tag, parent, said)
        elements.append(one)
        for at in range(pdfium.FPDF_StructElement_CountChildren(raw)):
            child = pdfium.FPDF_StructElement_GetChildAtIndex(raw, at)
            if child:
                visit(child, one)
            elif (mark := pdfium.FPDF_StructElement_GetChildMarkedContentID(raw, at)) >= 0:
                marked[mark] = one

    for at in range(pdfium.FPDF_StructTree_CountChildren(tree)):
        visit(pdfium.FPDF_StructTree_GetChildAtIndex(tree, at), None)
    pdfium.FPDF_StructTree_Close(tree)
    return tuple(elements), marked


def text_of(ask: Callable[..., int], raw: Any) -> str:
    """The text that a function of pdfium gives into a buffer, UTF-16 with two zeros behind it."""
    length = ask(raw, None, 0)
    if length <= 2:
        return ""
    room = (ctypes.c_ushort * (length // 2))()
    ask(raw, room, length)
    return bytes(room)[: length - 2].decode("utf-16-le", "replace")
