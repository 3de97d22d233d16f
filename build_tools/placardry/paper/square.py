"""The QR code on a face, which leads to the card check."""

from __future__ import annotations

from functools import cache


@cache
def code_square(address: str) -> str:
    """The QR code that leads to an address, as SVG, without the quiet zone of 4 modules around it.

    Units: one module is one unit wide. Source: ISO/IEC 18004.
    """
    import segno

    made = segno.make(address, error="l", micro=False)
    return str(made.svg_inline(border=0, light="#fff", omitsize=True))
