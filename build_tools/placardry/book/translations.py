"""Translations: texts in another language, each bound to the original that it was made from."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping
from functools import lru_cache

from placardry.book.record import Part, Text, record

UNTRANSLATED = "untranslated"  # what `was:` says of a page that holds its original's words


@lru_cache(maxsize=4096)  # several rules ask whether a translation is of its original
def text_digest(text: str) -> str:
    """Eight hexadecimal digits that change when a text changes other than in its spacing."""
    plain = " ".join(unicodedata.normalize("NFC", text).split())
    return hashlib.sha256(plain.encode()).hexdigest()[:8]


def page_digest(source: str) -> str:
    """The digest of a page's text below its front matter, that a translation is bound to."""
    return text_digest(page_body(source))


def page_body(source: str) -> str:
    """A page's text below its front matter."""
    lines = source.split("\n")
    if lines[0].rstrip() == "---":
        ends = (at for at, line in enumerate(lines) if at and line.rstrip() in ("---", "..."))
        lines = lines[next(ends, 0) + 1 :]
    return "\n".join(lines)


class Translated(Text):
    """Words in another language; none while they are still to be written."""

    __slots__ = ()
    MAY_BE_EMPTY = True

    @classmethod
    def parse(cls, text: str) -> Translated:
        """The text as it stands; quotes around nothing but spaces are empty."""
        return cls(text if text.strip() else "")


@record
class TranslatedText(Part):
    """One text, bound to the original that it translates.

    Attributes:
        text: the translation; empty where it is still to be written
        of: the original, in its own words or as their digest
        was: an older original, where the text still says what that said
    """

    text: Translated
    of: str
    was: str | None = None

    @property
    def is_due(self) -> bool:
        """Whether a translator has still to write it, or to change it."""
        return not self.text or self.was is not None

    def is_of(self, original: str) -> bool:
        """Whether it was made from this original."""
        digest = text_digest(original)
        return self.of == digest or text_digest(self.of) == digest


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
