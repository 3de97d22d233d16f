"""Translations: texts in another language, each bound to the original that it was made from."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from placardry.book.record import Part, Text


def text_digest(text: str) -> str:
    """Eight hexadecimal digits that change when a text changes other than in its spacing."""
    plain = " ".join(unicodedata.normalize("NFC", text).split())
    return hashlib.sha256(plain.encode()).hexdigest()[:8]


@dataclass(frozen=True, kw_only=True, slots=True)
class TranslatedText(Part):
    """One text, and the digest of the original that it translates."""

    text: Text
    of: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Translation(Part):
    """The translation of the texts of one source file.

    Shape: `texts` maps the path of a text, such as `limits/egt-full-power/exceeded` or
    `steps/0/hazard/avoid`, to its translation.

    Attributes:
        translates: the source file, from the book's folder
    """

    translates: str
    texts: Mapping[str, TranslatedText]
