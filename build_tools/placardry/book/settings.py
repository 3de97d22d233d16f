"""`procedures/book.yaml`: the book's own settings, at most a dozen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from placardry.book.figures import Acceptance
from placardry.book.record import Part, Text

FORMAT = 1


@dataclass(frozen=True, kw_only=True, slots=True)
class BookSettings(Part):
    """What is said once for the whole book.

    Attributes:
        format: the version of this format; this release reads 1
        book: the book's short name, used in file names and codes
        title: the title on every manual
        publisher: who answers for it
        dated: the date that outputs carry and expiries are judged by, until an edition is issued
        language: the language that the source is written in
        site_url: where the site is published
        safety: the caution printed at the start of every manual
        names: words that hold digits and are names, not figures (`M6`, `RON 95`)
        accept: warnings that are accepted for a time
    """

    format: int
    book: str
    title: Text
    publisher: Text
    dated: date
    language: str = "en"
    site_url: str | None = None
    safety: Text
    names: tuple[str, ...] = ()
    accept: tuple[Acceptance, ...] = ()
