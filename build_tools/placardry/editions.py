"""Editions: which issued state, if any, the book as it stands is."""

from __future__ import annotations

from placardry.book import Book
from placardry.book.sources import Edition
from placardry.meaning import digest


def book_digest(book: Book) -> str:
    """The digest of everything that the book means, but for its editions and approvals."""
    records = [
        statement
        for by_id in book.records.values()
        for statements in by_id.values()
        for statement in statements
    ]
    translations = [one for files in book.translations.values() for one in files.values()]
    return digest([*records, *translations, book.settings])


def current_edition(book: Book) -> Edition | None:
    """The latest edition, if it stands and the book still says what it said; None is a draft."""
    if not book.editions:
        return None
    latest = max(book.editions, key=lambda edition: edition.number)
    if latest.withdrawn is not None or latest.digest != book_digest(book):
        return None
    return latest
