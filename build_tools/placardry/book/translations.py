"""Translations: texts in another language, each bound to the original that it was made from."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping

from placardry.book.record import Part, Text, record


def text_digest(text: str) -> str:
    """Eight hexadecimal digits that change when a text changes other than in its spacing."""
    plain = " ".join(unicodedata.normalize("NFC", text).split())
    return hashlib.sha256(plain.encode()).hexdigest()[:8]


def page_digest(source: str) -> str:
    """The digest of a page's text below its front matter, that a translation is bound to."""
    lines = source.split("\n")
    if lines[0].rstrip() == "---":
        ends = (at for at, line in enumerate(lines) if at and line.rstrip() in ("---", "..."))
        lines = lines[next(ends, 0) + 1 :]
    return text_digest("\n".join(lines))


@record
class TranslatedText(Part):
    """One text, and the digest of the original that it translates."""

    text: Text
    of: str


@record
class Translation(Part):
    """The translation of the texts of one source file.

    Shape: `texts` maps the path of a text, such as `limits/egt-full-power/exceeded` or
    `steps/0/hazard/avoid`, to its translation.

    Attributes:
        translates: the source file, from the book's folder
    """

    translates: str
    texts: Mapping[str, TranslatedText]
