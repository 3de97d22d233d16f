"""A book that was read and judged: what every door begins with."""

from __future__ import annotations

import gc
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from placardry.book import Book
from placardry.errors import PlacardryError
from placardry.files import Files, read_folder
from placardry.finding import Finding, did_you_mean, in_order
from placardry.loader import load
from placardry.resolve import Manual, resolve
from placardry.rules import check


@dataclass(frozen=True)
class Prepared:
    """A book that was read and judged, ready to be published if nothing is wrong."""

    files: Files
    book: Book | None
    manuals: tuple[Manual, ...]
    findings: tuple[Finding, ...]

    def manual(self, name: str) -> Manual:
        """A manual by its id.

        Raises:
            PlacardryError: the book declares no such manual.
        """
        known = {manual.id: manual for manual in self.manuals}
        if name not in known:
            hint = did_you_mean(name, known, "known are " + ", ".join(f"`{id}`" for id in known))
            raise PlacardryError(f"the book has no manual `{name}`; {hint}")
        return known[name]


def prepare(root: Path, on: date | None = None) -> Prepared:
    """Read and judge the book in a folder.

    Raises:
        NoBookError: the folder holds no book.
    """
    files, found = read_folder(root)
    return judge(files, on, found)


def judge(files: Files, on: date | None = None, found: Iterable[Finding] = ()) -> Prepared:
    """Load and judge a book from the bytes of its files; `found` was found while reading them."""
    # Nothing of a book becomes garbage while it is read, and looking for garbage doubles the time.
    gc.disable()
    try:
        book, loading = load(files)
        if book is None:
            return Prepared(files, None, (), in_order((*found, *loading)))
        manuals, strays = resolve(book)
        findings = check(book, manuals, strays, on, (*found, *loading))
        return Prepared(files, book, manuals, findings)
    finally:
        gc.enable()
