"""Pages of prose, written in Markdown under `content/`."""

from __future__ import annotations

from typing import Literal

from placardry.book.procedures import Hazard
from placardry.book.record import Applicability, Part, Record, Text, record


@record
class Passage(Part):
    """A run of Markdown, a safety message or a quotation that applies to certain machines.

    Attributes:
        line: the line of the file on which it begins
    """

    markdown: Text
    line: int
    hazard: Hazard | None = None
    quotation: bool = False
    applies: tuple[Applicability, ...] = ()


@record
class Page(Record):
    """One page of prose.

    Attributes:
        title: its first heading
        path: its file
        chapter: where it stands in the manual
        order: its place among the pages of its chapter
        translates: the page that it is a translation of, with `of`, that page's digest
        was: the digest of an older original, where the page still says what that said; or
            `untranslated`, where the original's own words stand in it
    """

    title: Text
    path: str
    chapter: Literal[
        "introduction", "operation", "set-up", "emergency", "maintenance", "reference"
    ] = "introduction"
    order: int = 50
    language: str | None = None
    translates: str | None = None
    of: str | None = None
    was: str | None = None
    passages: tuple[Passage, ...] = ()
