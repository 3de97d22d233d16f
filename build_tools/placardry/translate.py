"""The book's texts in a manual's language.

A text is found by its file and its path in that file; a page by the page that it translates.
A text without a translation stays as it is; the rules report it.
"""

from __future__ import annotations

from typing import Any

from placardry.book import COLLECTIONS, KIND_OF, Book
from placardry.book.pages import Page
from placardry.book.record import Record
from placardry.book.settings import BookSettings
from placardry.book.translations import TranslatedText, Translation
from placardry.walk import Path, per_record, with_texts

COLLECTION_OF = {KIND_OF[cls]: name for name, cls in COLLECTIONS.items()}


def text_path(kind: str, record: Record, path: Path) -> str:
    """The path of a text of a record within its file, as translations write it."""
    steps = [str(step) for step in path]
    if kind in COLLECTION_OF:
        steps = [COLLECTION_OF[kind], record.id, *_statement(record), *steps]
    return "/".join(steps)


def _statement(record: Record) -> list[str]:
    """Which of several statements in one list this is; nothing where it stands alone."""
    return [] if record.statement is None else [str(record.statement)]


class Translator:
    """Puts records into one language; leaves them as they are in the book's own."""

    def __init__(self, book: Book, language: str) -> None:
        self.files: dict[str, Translation] = {}
        self.pages: dict[str, Page] = {}
        if language == book.settings.language:
            return
        self.files = dict(book.translations.get(language, {}))
        self.pages = {
            page.translates: page
            for statements in book.of(Page).values()
            for page in statements
            if page.language == language and page.translates
        }

    def record(self, record: Any) -> Any:
        """The record with its texts in the language."""
        if isinstance(record, Page):
            page = self.pages.get(record.path)
            return record if page is None else _page(record, page)
        translation = self.files.get(record.places.span.path)
        return record if translation is None else _record(record, translation)

    def settings(self, settings: BookSettings) -> BookSettings:
        """The book's settings with their texts in the language."""
        translation = self.files.get("procedures/book.yaml")
        return settings if translation is None else _settings(settings, translation)


# Each is asked once, so that all manuals of a language hold one and the same record.


@per_record
def _record(record: Any, translation: Translation) -> Any:
    kind = KIND_OF[type(record)]

    def say(path: Path, _: str) -> str | None:
        found = translation.texts.get(text_path(kind, record, path))
        return (found.text or None) if isinstance(found, TranslatedText) else None

    return with_texts(record, say)


@per_record
def _page(page: Page, other: Page) -> Page:
    return page.but(title=other.title, passages=other.passages, places=other.places)


@per_record
def _settings(settings: BookSettings, translation: Translation) -> BookSettings:
    def say(path: Path, _: str) -> str | None:
        found = translation.texts.get("/".join(map(str, path)))
        return (found.text or None) if found else None

    translated: BookSettings = with_texts(settings, say)
    return translated
