"""Every text of a book with its place and language, and what in it is not plain words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from placardry.book import Book
from placardry.book.pages import Page
from placardry.book.sources import Edition
from placardry.book.translations import Translation
from placardry.files import text_of
from placardry.finding import Span, light
from placardry.nodes import Scalar
from placardry.references import locate, references
from placardry.resolve import OF_ONE, Manual, per_view
from placardry.walk import Leaf, leaves, per_record, texts

# Stands for what is no plain word; no letter, no digit, and in no text that can be read.
BLANK = "\ufffc"


@light
class Written:
    """One text as it stands in its file.

    Attributes:
        owner: the record, the settings, the edition or the translation that holds it
        source: the text of the whole file
    """

    leaf: Leaf
    owner: Any
    language: str
    source: str

    @property
    def text(self) -> str:
        """The text itself."""
        return self.leaf.value

    @property
    def is_markdown(self) -> bool:
        """Whether it is prose of a page."""
        return self.leaf.path[-1:] == ("markdown",)

    @property
    def is_translation(self) -> bool:
        """Whether another text is its original."""
        return isinstance(self.owner, Translation) or (
            isinstance(self.owner, Page) and self.owner.language is not None
        )

    def span(self, start: int, end: int) -> Span:
        """Where `text[start:end]` stands in the file."""
        node = self.leaf.node
        if not isinstance(node, Scalar):
            return node.span
        return locate(node, self.source, start, end)


def written(book: Book) -> Iterator[Written]:
    """Every text of the book: records and pages, settings, editions, translations."""
    sources: dict[str, str] = {}
    for owner, language in _owners(book):
        path = owner.places.span.path
        if path not in sources:
            sources[path] = text_of(book.files.get(path, b""))
        for leaf in texts(owner):
            # What an edition says in each language stands under that language.
            said_in = str(leaf.path[1]) if isinstance(owner, Edition) else language
            yield Written(leaf, owner, said_in, sources[path])


def _owners(book: Book) -> Iterator[tuple[Any, str]]:
    own = book.settings.language
    yield book.settings, own
    for by_id in book.records.values():
        for statements in by_id.values():
            for record in statements:
                yield record, (isinstance(record, Page) and record.language) or own
    for edition in book.editions:
        yield edition, own
    for language, translations in book.translations.items():
        for translation in translations.values():
            yield translation, language


def holders(manual: Manual) -> frozenset[int]:
    """The identities of the places of everything in a manual that can hold a text.

    A manual narrows and translates records, but keeps the places of what it keeps.
    """
    own = (manual.entry, manual.machine, *manual.of(Page).values())
    return _shared(manual).union(*map(_holders, own))


@per_view
def _shared(manual: Manual) -> frozenset[int]:
    others = (kind for kind in manual.records if kind not in OF_ONE)
    return frozenset().union(
        *(_holders(record) for kind in others for record in manual.records[kind].values())
    )


@per_record
def _holders(record: Any) -> frozenset[int]:
    return frozenset(id(leaf.holder.places) for leaf in leaves(record))


_ADDRESS = re.compile(
    # Links, pictures, mail. A mail's name is looked for from its first character only.
    r"\]\([^)\n]*\)|https?://[^\s)>]+|(?<![\w.+-])[\w.+-]+@[\w-]+\.[\w.-]+"
)
_HEADING_NUMBER = re.compile(r"^#+ +[0-9]+(?:\.[0-9]+)*[.)]?(?= )", re.MULTILINE)


def bared(text: str, names: tuple[str, ...] = ()) -> str:
    """The text, equally long, with references, addresses and declared names blanked."""
    text = blanked(text, ((one.start, one.end) for one in references(text)))
    if any(sign in text for sign in ("](", "://", "@")):
        text = _ADDRESS.sub(_blank, text)
    if "#" in text:
        text = _HEADING_NUMBER.sub(_blank, text)
    for name in names:
        if name in text:
            text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", _blank, text)
    return text


def blanked(text: str, stretches: Iterable[tuple[int, int]]) -> str:
    """The text, equally long, with these stretches blanked; they stand in order, and apart."""
    parts, here = [], 0
    for start, end in stretches:
        parts += [text[here:start], BLANK * (end - start)]
        here = end
    return "".join([*parts, text[here:]])


def _blank(match: re.Match[str]) -> str:
    return BLANK * len(match[0])
