"""The texts of a book that can be translated, by file and key, and what translates them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from placardry.book import COLLECTIONS, KIND_OF, SINGLES, Book
from placardry.book.machines import Engine, Machine
from placardry.book.pages import Page
from placardry.book.settings import BookSettings
from placardry.book.sources import Document
from placardry.book.translations import Translation, page_digest
from placardry.files import BOOK_FILE, text_of
from placardry.finding import light
from placardry.nodes import Scalar
from placardry.part import TRANSLATIONS
from placardry.resolve import Manual
from placardry.rules.texts import bared, holders
from placardry.translate import text_path
from placardry.walk import Leaf, texts

# Proper names, which stay as they are in every language.
_PROPER: Mapping[type[Any], tuple[str, ...]] = {
    Document: ("title", "issuer"),
    Machine: ("name", "model"),
    Engine: ("name",),
    BookSettings: ("publisher",),
}


@light
class Original:
    """One text in the book's own language, and the record or the settings that hold it."""

    leaf: Leaf
    owner: Any

    def is_needed(self, names: tuple[str, ...]) -> bool:
        """Whether it holds words that another language has other words for."""
        if str(self.leaf.path[-1]) in _PROPER.get(type(self.owner), ()):
            return False
        return any(char.isalpha() for char in bared(self.leaf.value, names))


@dataclass(frozen=True)
class Originals:
    """What a book has to translate."""

    book: Book

    @cached_property
    def by_file(self) -> Mapping[str, Mapping[str, Original]]:
        """The texts of each source file by the key that translations write."""
        found: dict[str, dict[str, Original]] = {}
        for leaf in texts(self.book.settings):
            key = "/".join(map(str, leaf.path))
            found.setdefault(BOOK_FILE, {})[key] = Original(leaf, self.book.settings)
        for kind, by_id in self.book.records.items():
            for record in (one for statements in by_id.values() for one in statements):
                if not isinstance(record, Page):
                    for leaf in texts(record):
                        key = text_path(kind, record, leaf.path)
                        own = found.setdefault(record.places.span.path, {})
                        own[key] = Original(leaf, record)
        return found

    @cached_property
    def pages(self) -> Mapping[str, Page]:
        """The pages in the book's own language, by file."""
        return {page.path: page for page in self._all_pages() if page.language is None}

    @cached_property
    def translated_pages(self) -> Mapping[tuple[str, str], tuple[Page, ...]]:
        """The translated pages by language and the file of their original."""
        found: dict[tuple[str, str], tuple[Page, ...]] = {}
        for page in self._all_pages():
            if page.language and page.translates:
                key = (page.language, page.translates)
                found[key] = (*found.get(key, ()), page)
        return found

    def _all_pages(self) -> Iterator[Page]:
        for statements in self.book.of(Page).values():
            yield from statements

    @cached_property
    def files(self) -> Mapping[tuple[str, str], tuple[str, ...]]:
        """The files that say they translate a source file, by language and source file."""
        found: dict[tuple[str, str], tuple[str, ...]] = {}
        for path, root in self.book.roots.items():
            said = root.get("translates")
            if path.startswith(TRANSLATIONS) and isinstance(said, Scalar):
                language = path.removeprefix(TRANSLATIONS).partition("/")[0]
                found[language, said.text] = (*found.get((language, said.text), ()), path)
        return found

    def translations(self) -> Iterator[tuple[str, Translation]]:
        """Every translation with its language."""
        for language, by_file in self.book.translations.items():
            for translation in by_file.values():
                yield language, translation

    def needed(self, manuals: Iterable[Manual]) -> Mapping[str, Mapping[str, Original]]:
        """The texts that manuals of one language print, by file, without those that need no words.

        Shape: as `by_file`; a file none of whose texts is needed is left out.
        """
        settings = self.book.settings
        shown = frozenset[int]().union(*map(holders, manuals))
        found = {
            path: {
                key: one
                for key, one in texts_.items()
                if (one.owner is settings or id(one.leaf.holder.places) in shown)
                and one.is_needed(settings.names)
            }
            for path, texts_ in self.by_file.items()
        }
        return {path: texts_ for path, texts_ in found.items() if texts_}

    def page_digest(self, path: str) -> str:
        """The digest of a page that its translations are bound to."""
        return page_digest(text_of(self.book.files[path]))

    def is_unreadable(self, language: str, path: str) -> bool:
        """Whether a file's translation is there but could not be read; it was told of then."""
        if path in self.book.translations.get(language, {}):
            return False
        likely = place_of(language, path)
        is_there = likely in self.book.files and likely not in self.book.roots
        return is_there or (language, path) in self.files

    def is_broken(self, path: str, key: str) -> bool:
        """Whether the record that a key leads into could not be read."""
        root = self.book.roots.get(path)
        if root is None:
            return True
        first, _, rest = key.partition("/")
        if first in COLLECTIONS:
            return f"{KIND_OF[COLLECTIONS[first]]}/{rest.partition('/')[0]}" in self.book.broken
        names = {kind: root.get(kind) for kind in SINGLES}
        return any(
            isinstance(name, Scalar) and f"{kind}/{name.text}" in self.book.broken
            for kind, name in names.items()
        )


def place_of(language: str, path: str) -> str:
    """Where the translation of a source file or of a page stands."""
    if path.startswith("content/"):
        return f"content/{language}/{path.removeprefix('content/')}"
    return f"{TRANSLATIONS}{language}/{path.removeprefix('procedures/')}"
