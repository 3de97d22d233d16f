"""`procedures/book.yaml`: the book's own settings, at most a dozen."""

from __future__ import annotations

import re
from datetime import date

from placardry.book.figures import Acceptance
from placardry.book.policy import ApprovedKind, Policy
from placardry.book.record import Part, Text, record
from placardry.errors import Malformed

FORMAT = 1


class Address(str):
    """The address of a site."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> Address:
        """The address, if it is one that every card may lead to.

        Raises:
            Malformed: it is not of the web.
        """
        if re.fullmatch(r"https?://[^\s<>\"'`\\{}|^]+", text):
            return cls(text)
        message = f"`{text}` is not the address of a site"
        raise Malformed(message, "write all of it, such as `https://example.com/manuals/`")


@record
class BookSettings(Part):
    """What is said once for the whole book.

    Attributes:
        format: the version of this format; this release reads 1
        book: the book's short name, used in file names and codes
        title: the title on every manual
        publisher: who answers for it
        dated: the date that outputs carry and expiries are judged by, until an edition is issued
        language: the language that the source is written in
        site_url: where the site is published
        safety: the caution printed at the start of every manual
        names: words that hold digits and are names, not figures (`M6`, `RON 95`)
        accept: warnings that are accepted for a time
        approve: the kinds of which every record must be approved
        policy: what a change of the book demands before it may be merged
    """

    format: int
    book: str
    title: Text
    publisher: Text
    dated: date
    language: str = "en"
    site_url: Address | None = None
    safety: Text
    names: tuple[str, ...] = ()
    accept: tuple[Acceptance, ...] = ()
    approve: tuple[ApprovedKind, ...] = ()
    policy: Policy | None = None
