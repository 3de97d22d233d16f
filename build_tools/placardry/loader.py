"""From files to a book: read every file, decode every record, and lose none for another's fault.

The loader knows which file may hold what. Whether the book makes sense is for the rules.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping as Map
from typing import Any

from placardry import ledger
from placardry.book import COLLECTIONS, KIND_OF, SINGLES, Book
from placardry.book.pages import Page
from placardry.book.record import Applicability, Record
from placardry.book.settings import FORMAT, BookSettings
from placardry.book.sources import Approval
from placardry.book.translations import Translation
from placardry.decoder import Report, check_id, decode, id_meant, is_gap, reader_of, wrong_shape
from placardry.errors import NoBookError
from placardry.files import BOOK_FILE
from placardry.finding import Finding, Span, did_you_mean, in_order
from placardry.markdown_reader import read_page
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.shapes import UNKNOWN_FORMAT, UNKNOWN_KEY
from placardry.source_text import MISNAMED_FILE, name_meant, shortened
from placardry.yaml_reader import read_yaml

TRANSLATIONS = "procedures/translations/"
# Keys that hold for everything in a file, and lists kept beside the collections.
FILE_KEYS = ("applies", "document")
LISTS: Map[str, type] = {"approvals": Approval}


class _Reading:
    """What has been read so far; filled file by file, closed into a `Book` at the end."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.settings: BookSettings | None = None
        self.records: dict[str, dict[str, tuple[Record, ...]]] = {}
        self.lists: dict[str, list[Any]] = {name: [] for name in LISTS}
        self.translations: dict[str, dict[str, Translation]] = {}
        self.broken: set[str] = set()
        self.unread: set[str] = set()
        self.roots: dict[str, Mapping] = {}

    @property
    def report(self) -> Report:
        return self.findings.append

    def add(self, cls: type[Record], name: str, record: Record | None) -> None:
        kind = KIND_OF[cls]
        if record is None:
            self.broken.add(f"{kind}/{name}")
            return
        statements = self.records.setdefault(kind, {})
        statements[name] = (*statements.get(name, ()), record)


def load(files: Map[str, bytes]) -> tuple[Book | None, tuple[Finding, ...]]:
    """A book from the bytes of its files, and what is wrong with them.

    Args:
        files: content by path from the book's folder, with `/` between folders

    Returns:
        The book, or None where its settings cannot be read; and the findings, in order.

    Raises:
        NoBookError: there is no `procedures/book.yaml`.
    """
    if BOOK_FILE not in files:
        raise NoBookError(f"there is no {BOOK_FILE} here; name the book's folder with --book")
    reading = _Reading()
    if not _read_settings(files[BOOK_FILE], reading):
        return None, in_order(reading.findings)
    for path in sorted(files):
        if path.startswith("procedures/") and path.endswith(".yaml") and path != BOOK_FILE:
            _read_yaml_file(path, files[path], reading)
        elif path.startswith("content/") and path.endswith(".md"):
            _read_page_file(path, files[path], reading)
        elif name := name_meant(path):
            reading.unread.add(path)
            message = f"`{shortened(path)}` is not read: its name ends in another way"
            reading.report(Finding(MISNAMED_FILE, Span(path), message, f"rename it `{name}`"))
    findings = in_order(reading.findings)
    if reading.settings is None:
        return None, findings
    book = Book(
        settings=reading.settings,
        records=reading.records,
        approvals=tuple(reading.lists["approvals"]),
        editions=ledger.editions(ledger.read(files)),
        translations=reading.translations,
        broken=frozenset(reading.broken),
        unread=frozenset(reading.unread),
        files=files,
        roots=reading.roots,
    )
    return book, findings


def _read_settings(data: bytes, reading: _Reading) -> bool:
    """Read `book.yaml`; False where its format is unknown, so that nothing else may be read."""
    root, findings = read_yaml(BOOK_FILE, data)
    reading.findings += findings
    if root is None:
        return True
    version = root.get("format")
    if isinstance(version, Scalar) and version.text != str(FORMAT):
        message = f"the book's format is {version.text}; this release reads format {FORMAT}"
        mend = f"write `format: {FORMAT}`, or install a newer release"
        reading.report(Finding(UNKNOWN_FORMAT, version.span, message, mend))
        return False
    reading.roots[BOOK_FILE] = root
    reading.settings = decode(BookSettings, root, reading.report)
    return True


def _read_yaml_file(path: str, data: bytes, reading: _Reading) -> None:
    root, findings = read_yaml(path, data)
    reading.findings += findings
    if root is None:
        reading.unread.add(path)
        return
    reading.roots[path] = root
    if path.startswith(TRANSLATIONS):
        _read_translation(path, root, reading)
        return
    for single, cls in SINGLES.items():
        if single in root:
            _read_single(cls, single, root, reading)
            return
    applies, document = _file_defaults(root, reading)
    if applies is None:
        reading.unread.add(path)
    for key, below in root.entries:
        if key.text in FILE_KEYS:
            continue
        if key.text in COLLECTIONS:
            _read_collection(COLLECTIONS[key.text], below, applies, document, reading)
        elif key.text in LISTS:
            read = reader_of(LISTS[key.text])
            items = below.items if isinstance(below, Sequence) else (below,)
            values = [read(item, reading.report) for item in items]
            reading.lists[key.text] += [v for v in values if isinstance(v, LISTS[key.text])]
        else:
            known = (*FILE_KEYS, *COLLECTIONS, *SINGLES, *LISTS)
            mend = did_you_mean(key.text, known, "remove it, or see the list of collections")
            message = f"`{shortened(key.text)}` is not something that a file can hold"
            reading.report(Finding(UNKNOWN_KEY, key.span, message, mend))
            reading.unread.add(path)


def _read_single(cls: type[Record], key: str, root: Mapping, reading: _Reading) -> None:
    name = root.get(key)
    applies, document = _file_defaults(root, reading)
    if not isinstance(name, Scalar):
        wrong_shape(name or root, "one name", reading.report)
        return
    if not check_id(name, reading.report):
        reading.add(cls, id_meant(name.text), None)
        return
    # `applies` and `document` were read as the file's; the record must not read them again.
    rest = tuple(entry for entry in root.entries if entry[0].text not in (key, *FILE_KEYS))
    node = Mapping(((name, name), *rest), name.span)
    record = decode(
        cls, Mapping(rest, name.span), reading.report, id=name.text, applies=applies or ()
    )
    if record is not None:
        record = dataclasses.replace(_with_document(record, document), places=node)
    reading.add(cls, name.text, None if applies is None else record)


def _read_collection(
    cls: type[Record],
    node: Node,
    applies: tuple[Applicability, ...] | None,
    document: str | None,
    reading: _Reading,
) -> None:
    if not isinstance(node, Mapping):
        wrong_shape(node, "names, each with its keys below it,", reading.report)
        return
    for key, below in node.entries:
        if not check_id(key, reading.report):
            reading.add(cls, id_meant(key.text), None)
            continue
        statements = below.items if isinstance(below, Sequence) else (below,)
        for number, statement in enumerate(statements):
            place = number if isinstance(below, Sequence) else None
            record = decode(cls, statement, reading.report, id=key.text, statement=place)
            if record is not None and isinstance(statement, Mapping):
                record = dataclasses.replace(
                    _with_document(record, document),
                    applies=(*(applies or ()), *record.applies),
                    # A record is pointed at by its name, not by all that stands below it.
                    places=Mapping(((key, key), *statement.entries), key.span),
                )
            reading.add(cls, key.text, None if applies is None else record)


def _file_defaults(
    root: Mapping, reading: _Reading
) -> tuple[tuple[Applicability, ...] | None, str | None]:
    """What holds for all of a file; None for an `applies` that could not be read.

    Nobody knows then where the file's records hold, so each counts as broken.
    """
    applies: tuple[Applicability, ...] | None = ()
    node = root.get("applies")
    if node is not None:
        read = reader_of(tuple[Applicability, ...])
        value = None if is_gap(node) else read(node, reading.report)
        applies = value if isinstance(value, tuple) else None
    document = root.get("document")
    if document is not None and not isinstance(document, Scalar):
        wrong_shape(document, "the name of one document", reading.report)
        return applies, None
    return applies, document.text if document is not None else None


def _with_document(record: Any, document: str | None) -> Any:
    source = getattr(record, "source", None)
    if document is None or source is None or source.document is not None:
        return record
    return dataclasses.replace(record, source=dataclasses.replace(source, document=document))


def _read_translation(path: str, root: Mapping, reading: _Reading) -> None:
    language = path.removeprefix(TRANSLATIONS).split("/")[0]
    translation = decode(Translation, root, reading.report)
    if translation is not None:
        reading.translations.setdefault(language, {})[translation.translates] = translation


def _read_page_file(path: str, data: bytes, reading: _Reading) -> None:
    node, findings = read_page(path, data)
    reading.findings += findings
    inside = path.removeprefix("content/").removesuffix(".md")
    name = inside.replace("/", "-").lower()
    if node is None:
        reading.broken.add(f"page/{name}")
        return
    # `content/de/…` holds translations: a folder named like a language, with `translates:`.
    folder, _, rest = inside.partition("/")
    language = folder if rest and "translates" in node else None
    reading.add(Page, name, decode(Page, node, reading.report, id=name, language=language))
