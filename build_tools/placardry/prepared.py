"""A book that was read and judged: what every door begins with."""

from __future__ import annotations

import gc
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from placardry.book import Book
from placardry.errors import PlacardryError
from placardry.files import BOOK_FILE, Files, read_folder
from placardry.finding import Finding, did_you_mean, has_errors, in_order
from placardry.loader import load
from placardry.resolve import Manual, resolve
from placardry.rules import check
from placardry.walk import forget


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

    def manual_of(self, machine: str) -> Manual:
        """A manual of a machine, in the book's own language if there is one.

        Raises:
            PlacardryError: the book has errors, or no manual for such a machine.
        """
        if self.book is None or has_errors(self.findings):
            raise PlacardryError("the book has errors; `placardry check` tells them")
        own = [manual for manual in self.manuals if manual.machine.id == machine]
        if not own:
            known = sorted({manual.machine.id for manual in self.manuals})
            hint = did_you_mean(machine, known, "known are " + ", ".join(known))
            raise PlacardryError(f"no manual is for a machine `{machine}`; {hint}")
        language = self.book.settings.language
        return min(own, key=lambda manual: (manual.language != language, manual.id))


def prepare(root: Path, on: date | None = None) -> Prepared:
    """Read and judge the book in a folder.

    Raises:
        NoBookError: the folder holds no book.
    """
    files, found = read_folder(root)
    return judge(files, on, found)


def judge(
    files: Files,
    on: date | None = None,
    found: Sequence[Finding] = (),
    earlier: Prepared | None = None,
    *,
    errors_only: bool = False,
) -> Prepared:
    """Load and judge a book from the bytes of its files.

    Args:
        files: content by path from the book's folder
        on: the day by which dates are judged, by default the book's own
        found: what was found while the files were read
        earlier: another state of the book, judged last; what both share is not judged again
        errors_only: ask only whether the book is sound, and for no warning or advice
    """
    # Nothing of a book becomes garbage while it is read, and looking for garbage doubles the time.
    gc.disable()
    if earlier is None:
        forget()
    try:
        if BOOK_FILE not in files and has_errors(found):
            return Prepared(files, None, (), in_order(found))  # it is there, but was not read
        book, loading = load(files, earlier.book if earlier else None)
        if book is None:
            return Prepared(files, None, (), in_order((*found, *loading)))
        manuals, strays = resolve(book)
        findings = check(book, manuals, strays, on, (*found, *loading), errors_only=errors_only)
        return Prepared(files, book, manuals, findings)
    finally:
        gc.freeze()
        gc.unfreeze()  # all that was made counts as old now, and is seldom looked through
        gc.enable()
