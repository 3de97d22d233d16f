"""From files to a book: what each file says, put together.

`part` knows which file may hold what. Whether the book makes sense is for the rules.
"""

from __future__ import annotations

from collections.abc import Mapping as Map

from placardry import ledger
from placardry.book import Book
from placardry.book.record import Record
from placardry.book.settings import BookSettings
from placardry.book.translations import Translation
from placardry.errors import NoBookError
from placardry.files import BOOK_FILE
from placardry.finding import Finding, in_order
from placardry.part import TRANSLATIONS, Part, part_of


def load(
    files: Map[str, bytes], earlier: Book | None = None
) -> tuple[Book | None, tuple[Finding, ...]]:
    """A book from the bytes of its files, and what is wrong with them.

    Args:
        files: content by path from the book's folder, with `/` between folders
        earlier: another state of the book; a file that is the same there is not read again, and
            the records of both are one

    Returns:
        The book, or None where its settings cannot be read; and the findings, in order.

    Raises:
        NoBookError: there is no `procedures/book.yaml`.
    """
    if BOOK_FILE not in files:
        raise NoBookError(f"there is no {BOOK_FILE} here; name the book's folder with --book")
    known: Map[str, Part] = earlier.parts if earlier is not None else {}
    parts: dict[str, Part] = {}
    for path in (BOOK_FILE, *(path for path in sorted(files) if path != BOOK_FILE)):
        is_known = path in known and known[path].data == files[path]
        part = known[path] if is_known else part_of(path, files[path])
        if part is not None:
            parts[path] = part
        if path == BOOK_FILE and part is not None and part.unread:  # its format is unknown
            break
    findings = in_order(one for part in parts.values() for one in part.findings)
    settings = parts[BOOK_FILE].settings
    return (None if settings is None else _whole(files, parts, settings)), findings


def _whole(files: Map[str, bytes], parts: Map[str, Part], settings: BookSettings) -> Book:
    """The book of which these are the parts."""
    records: dict[str, dict[str, tuple[Record, ...]]] = {}
    translations: dict[str, dict[str, Translation]] = {}
    for path, part in parts.items():
        for kind, name, record in part.records:
            statements = records.setdefault(kind, {})
            statements[name] = (*statements.get(name, ()), record)
        if part.translation is not None:
            language = path.removeprefix(TRANSLATIONS).split("/")[0]
            translations.setdefault(language, {})[part.translation.translates] = part.translation
    return Book(
        settings=settings,
        records=records,
        approvals=tuple(one for part in parts.values() for one in part.lists["approvals"]),
        editions=ledger.editions(ledger.read(files), settings.language),
        translations=translations,
        broken=frozenset(name for part in parts.values() for name in part.broken),
        unread=frozenset(path for path, part in parts.items() if part.unread),
        files=files,
        roots={path: part.root for path, part in parts.items() if part.root is not None},
        parts=parts,
    )
