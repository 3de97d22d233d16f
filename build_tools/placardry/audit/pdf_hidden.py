"""What a page of a PDF holds that its reader does not see, or that no build puts on it.

Source: ISO 32000-1, 9.3.6 (text rendering mode), 14.11.2 (page boundaries), 12.5 (annotations).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from placardry.audit.pdf_tags import text_of

_INVISIBLE = frozenset([3, 7])  # neither filled nor stroked


def is_unpainted(owner: Any) -> bool:
    """Whether a text object paints nothing: by its mode, or because it is wholly transparent."""
    import ctypes

    import pypdfium2.raw as pdfium

    if pdfium.FPDFTextObj_GetTextRenderMode(owner) in _INVISIBLE:
        return True
    red, green, blue, alpha = (ctypes.c_uint(255) for _ in range(4))
    is_known = pdfium.FPDFPageObj_GetFillColor(owner, red, green, blue, alpha)
    return bool(is_known) and alpha.value == 0


def bounds(page: Any) -> tuple[float, float, float, float]:
    """What is shown of a page: left, bottom, right, top."""
    shown, whole = page.get_cropbox(), page.get_mediabox()
    return (
        max(shown[0], whole[0]),
        max(shown[1], whole[1]),
        min(shown[2], whole[2]),
        min(shown[3], whole[3]),
    )


def notes(page: Any) -> Iterator[str]:
    """The text of each annotation of a page that is no link; a note's window belongs to it."""
    import pypdfium2.raw as pdfium

    for at in range(pdfium.FPDFPage_GetAnnotCount(page)):
        note = pdfium.FPDFPage_GetAnnot(page, at)
        kind = pdfium.FPDFAnnot_GetSubtype(note)
        if kind not in (pdfium.FPDF_ANNOT_LINK, pdfium.FPDF_ANNOT_POPUP):
            yield text_of(_contents, note)
        pdfium.FPDFPage_CloseAnnot(note)


def _contents(note: Any, room: Any, length: int) -> int:
    import pypdfium2.raw as pdfium

    return int(pdfium.FPDFAnnot_GetStringValue(note, b"Contents", room, length))
