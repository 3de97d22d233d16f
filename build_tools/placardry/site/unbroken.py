"""Dates and card codes that stay on one line.

A browser may break a line behind the hyphens of `2026-06-01`, and who reads `2026-06-` at the edge
of a phone has read nothing. The words of a page stay as they are: only a style is put around them.
"""

from __future__ import annotations

import re

from placardry.codes import ALPHABET

_SIGNS = f"[{ALPHABET}]{{4}}"
_UNBROKEN = re.compile(rf"(?<![\w-])(?:\d{{4}}-\d\d-\d\d|{_SIGNS}-{_SIGNS})(?![\w-])")
# What holds no markup, or is no text of the page; and tags, whose attributes are left alone.
_BARE = "script|style|title|textarea|option|svg"
_TAG = r"""<(?:[^>"']|"[^"]*"|'[^']*')*>"""
_MARKUP = re.compile(
    rf"(<!--.*?-->|<(?P<bare>{_BARE})\b.*?</(?P=bare)\s*>|{_TAG})", re.DOTALL | re.IGNORECASE
)
_STYLED = r'<span style="white-space:nowrap">\g<0></span>'


def unbroken(page: str) -> str:
    """A page of HTML with a span around each date and each card code in its text.

    Source: Unicode Standard Annex 14, class HY: a line may end behind a hyphen; CSS Text 3,
    section 3: `white-space: nowrap`.
    """
    pieces = _MARKUP.split(page)
    # The pattern has two groups: text, markup, its name if bare, text, …
    return "".join(
        _UNBROKEN.sub(_STYLED, piece) if at % 3 == 0 else piece
        for at, piece in enumerate(pieces)
        if at % 3 != 2
    )
