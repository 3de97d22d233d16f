"""From one file to what it says: every record that it holds, decoded, and what is wrong with it.

A record that could not be read stays known as broken, and none is lost for another's fault.
"""

from __future__ import annotations

from collections.abc import Mapping as Map
from typing import Any

from placardry.book import COLLECTIONS, KIND_OF, SINGLES
from placardry.book.pages import Page
from placardry.book.record import Applicability, Record
from placardry.book.settings import FORMAT, BookSettings
from placardry.book.sources import Approval
from placardry.book.translations import Translation
from placardry.decoder import Report, check_id, decode, id_meant, is_gap, reader_of, wrong_shape
from placardry.files import BOOK_FILE
from placardry.finding import Finding, Span, did_you_mean
from placardry.markdown_reader import read_page
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.shapes import UNKNOWN_FORMAT, UNKNOWN_KEY
from placardry.source_text import MISNAMED_FILE, name_meant, shortened
from placardry.yaml_reader import read_yaml

TRANSLATIONS = "procedures/translations/"
# Keys that hold for everything in a file, and lists kept beside the collections.
FILE_KEYS = ("applies", "document")
LISTS: Map[str, type] = {"approvals": Approval}


class Part:
    """What one file says; filled while it is read, and then left as it is.

    Attributes:
        data: the bytes of the file
        unread: it could not be read as a whole, so that any name may have stood there
    """

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.findings: list[Finding] = []
        self.settings: BookSettings | None = None
        self.records: list[tuple[str, str, Record]] = []
        self.lists: dict[str, list[Any]] = {name: [] for name in LISTS}
        self.translation: Translation | None = None
        self.broken: list[str] = []
        self.unread = False
        self.root: Mapping | None = None

    @property
    def report(self) -> Report:
        """Takes a finding of the file."""
        return self.findings.append

    def add(self, cls: type[Record], name: str, record: Record | None) -> None:
        """Keep a record, or that one of this name could not be read."""
        kind = KIND_OF[cls]
        if record is None:
            self.broken.append(f"{kind}/{name}")
        else:
            self.records.append((kind, name, record))


def part_of(path: str, data: bytes) -> Part | None:
    """What a file says; None for one that is no source of a book."""
    part = Part(data)
    if path == BOOK_FILE:
        _read_settings(path, data, part)
    elif path.startswith("procedures/") and path.endswith(".yaml"):
        _read_yaml_file(path, data, part)
    elif path.startswith("content/") and path.endswith(".md"):
        _read_page_file(path, data, part)
    elif name := name_meant(path):
        part.unread = True
        message = f"`{shortened(path)}` is not read: its name ends in another way"
        part.report(Finding(MISNAMED_FILE, Span(path), message, f"rename it `{name}`"))
    else:
        return None
    return part


def _read_settings(path: str, data: bytes, part: Part) -> None:
    """Read `book.yaml`; where its format is unknown nothing else may be read."""
    root, findings = read_yaml(path, data)
    part.findings += findings
    if root is None:
        return
    version = root.get("format")
    if isinstance(version, Scalar) and version.text != str(FORMAT):
        message = f"the book's format is {version.text}; this release reads format {FORMAT}"
        mend = f"write `format: {FORMAT}`, or install a newer release"
        part.report(Finding(UNKNOWN_FORMAT, version.span, message, mend))
        part.unread = True
        return
    part.root = root
    part.settings = decode(BookSettings, root, part.report)


def _read_yaml_file(path: str, data: bytes, part: Part) -> None:
    root, findings = read_yaml(path, data)
    part.findings += findings
    if root is None:
        part.unread = True
        return
    part.root = root
    if path.startswith(TRANSLATIONS):
        part.translation = decode(Translation, root, part.report)
        return
    for single, cls in SINGLES.items():
        if single in root:
            _read_single(cls, single, root, part)
            return
    applies, document = _file_defaults(root, part)
    if applies is None:
        part.unread = True
    for key, below in root.entries:
        if key.text in FILE_KEYS:
            continue
        if key.text in COLLECTIONS:
            _read_collection(COLLECTIONS[key.text], below, applies, document, part)
        elif key.text in LISTS:
            read = reader_of(LISTS[key.text])
            items = below.items if isinstance(below, Sequence) else (below,)
            values = [read(item, part.report) for item in items]
            part.lists[key.text] += [v for v in values if isinstance(v, LISTS[key.text])]
        else:
            known = (*FILE_KEYS, *COLLECTIONS, *SINGLES, *LISTS)
            mend = did_you_mean(key.text, known, "remove it, or see the list of collections")
            message = f"`{shortened(key.text)}` is not something that a file can hold"
            part.report(Finding(UNKNOWN_KEY, key.span, message, mend))
            part.unread = True


def _read_single(cls: type[Record], key: str, root: Mapping, part: Part) -> None:
    name = root.get(key)
    applies, document = _file_defaults(root, part)
    if not isinstance(name, Scalar):
        wrong_shape(name or root, "one name", part.report)
        return
    if not check_id(name, part.report):
        part.add(cls, id_meant(name.text), None)
        return
    # `applies` and `document` were read as the file's; the record must not read them again.
    rest = tuple(entry for entry in root.entries if entry[0].text not in (key, *FILE_KEYS))
    given = {"id": name.text, "applies": applies or ()}
    places = Mapping(((name, name), *rest), name.span)
    record = decode(cls, Mapping(rest, name.span), part.report, places=places, **given)
    part.add(cls, name.text, None if applies is None else _with_document(record, document))


def _read_collection(
    cls: type[Record],
    node: Node,
    applies: tuple[Applicability, ...] | None,
    document: str | None,
    part: Part,
) -> None:
    if not isinstance(node, Mapping):
        wrong_shape(node, "names, each with its keys below it,", part.report)
        return
    for key, below in node.entries:
        if not check_id(key, part.report):
            part.add(cls, id_meant(key.text), None)
            continue
        statements = below.items if isinstance(below, Sequence) else (below,)
        for number, statement in enumerate(statements):
            place = number if isinstance(below, Sequence) else None
            given: dict[str, Any] = {"id": key.text, "statement": place}
            if isinstance(statement, Mapping):
                # A record is pointed at by its name, not by all that stands below it.
                given["places"] = Mapping(((key, key), *statement.entries), key.span)
            record = _with_document(decode(cls, statement, part.report, **given), document)
            if record is not None and applies:
                record = record.but(applies=(*applies, *record.applies))
            part.add(cls, key.text, None if applies is None else record)


def _file_defaults(
    root: Mapping, part: Part
) -> tuple[tuple[Applicability, ...] | None, str | None]:
    """What holds for all of a file; None for an `applies` that could not be read.

    Nobody knows then where the file's records hold, so each counts as broken.
    """
    applies: tuple[Applicability, ...] | None = ()
    node = root.get("applies")
    if node is not None:
        read = reader_of(tuple[Applicability, ...])
        value = None if is_gap(node) else read(node, part.report)
        applies = value if isinstance(value, tuple) else None
    document = root.get("document")
    if document is not None and not isinstance(document, Scalar):
        wrong_shape(document, "the name of one document", part.report)
        return applies, None
    return applies, document.text if document is not None else None


def _with_document(record: Any, document: str | None) -> Any:
    source = getattr(record, "source", None)
    if document is None or source is None or source.document is not None:
        return record
    return record.but(source=source.but(document=document))


def _read_page_file(path: str, data: bytes, part: Part) -> None:
    node, findings = read_page(path, data)
    part.findings += findings
    inside = path.removeprefix("content/").removesuffix(".md")
    name = inside.replace("/", "-").lower()
    if node is None:
        part.broken.append(f"page/{name}")
        return
    # `content/de/…` holds translations: a folder named like a language, with `translates:`.
    folder, _, rest = inside.partition("/")
    language = folder if rest and "translates" in node else None
    part.add(Page, name, decode(Page, node, part.report, id=name, language=language))
