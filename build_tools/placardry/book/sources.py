"""Where figures come from and who answers for them: documents, approvals, editions."""

from __future__ import annotations

from collections.abc import Mapping as Map
from dataclasses import field
from datetime import date
from typing import Annotated, Literal

from placardry.book.record import DocumentId, Part, Record, Text, record, refers
from placardry.finding import light
from placardry.nodes import Mapping, Scalar


@record
class Document(Record):
    """A cited document, or a dealer's own measurement marked as such.

    Attributes:
        title: the title as printed on it
        issuer: who issued it
        edition: the edition as printed on it
        dated: its date
        kind: whose word it is
        file: its path in the book's folder, when it is kept there
        superseded_by: the newer document that replaces it
    """

    title: Text
    issuer: Text
    edition: str
    dated: date
    kind: Literal["maker", "measurement", "authority", "standard"] = "maker"
    file: str | None = None
    superseded_by: Annotated[str, refers("document", closed=False)] | None = None


@record
class Source(Part):
    """A place in a document. In YAML a bare text is a place in the file's `document`."""

    place: str
    document: DocumentId | None = None

    @classmethod
    def from_scalar(cls, scalar: Scalar) -> Source:
        """A place in the document that the whole file cites."""
        key = Scalar("place", scalar.span)
        return cls(place=scalar.text, places=Mapping(((key, scalar),), scalar.span))


@record
class Approval(Part):
    """One person's word for the content that a digest binds.

    Attributes:
        of: `kind/id` of the record approved
        digest: digest of its meaning when it was approved
        author: who wrote what was approved
    """

    of: str
    by: str
    on: date
    digest: str
    author: str | None = None


@light
class FigureChange:
    """How one figure of a manual went from an edition to another; None where it was not there.

    Attributes:
        figure: its anchor in the register
        before, after: in the unit that the manual prints first, as `88 degC`
        direction: a word of `changes.direction`
        held_before, held_after: under which condition, in the manual's language; empty if always
    """

    manual: str
    figure: str
    before: str | None
    after: str | None
    direction: str
    held_before: str = ""
    held_after: str = ""


@record
class Edition(Part):
    """An issued state of the book, as the ledger tells it.

    Attributes:
        summary: what is new, by language; the book's own comes first
        digest: digest of the meaning of the whole book when it was issued
        after: the edition that stood until then; None where none did
        changes: the figures that are not as in that edition
        cards: the cards whose faces are not as in that edition, each with its manual
        withdrawn: the day on which it was withdrawn
        because: why it was, by language
    """

    number: int
    dated: date
    approver: str
    summary: Map[str, Text]
    digest: str
    after: int | None = None
    changes: tuple[FigureChange, ...] = field(default=(), compare=False)
    cards: tuple[tuple[str, str], ...] = field(default=(), compare=False)
    withdrawn: date | None = None
    because: Map[str, Text]


def said_in(texts: Map[str, str], language: str) -> tuple[str, str]:
    """What an edition says in a language, or else in the book's own; and which of them it is."""
    own = language.partition("-")[0].lower()
    found = own if own in texts else next(iter(texts), own)
    return texts.get(found, ""), found
