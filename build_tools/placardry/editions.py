"""Editions: which issued state, if any, a book, a manual or a card as it stands is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from itertools import takewhile

from placardry.book import Book
from placardry.book.settings import BookSettings
from placardry.book.sources import Edition
from placardry.deltas import State
from placardry.ledger import read, states
from placardry.meaning import digest
from placardry.resolve import Manual


def book_digest(book: Book, on: date) -> str:
    """The digest of everything that the book means as issued on a day.

    Its editions and approvals are not part of it, nor how it is governed or where it is published.
    """
    return _digest(book, _read(book.settings, on))


def manual_digest(manual: Manual, on: date) -> str:
    """The digest of everything that one manual means as issued on a day."""
    return _digest(manual, _read(manual.settings, on))


def says(digest: str | None, of: Book | Manual, on: date) -> bool:
    """Whether a digest that an entry of the ledger holds is of this book or manual."""
    settings = _read(of.settings, on)
    # Entries that earlier releases of ours wrote are of the address of the site, too.
    addressed = replace(settings, site_url=of.settings.site_url)
    return digest == _digest(of, settings) or (
        addressed != settings and digest == _digest(of, addressed)
    )


def _digest(of: Book | Manual, settings: BookSettings) -> str:
    if isinstance(of, Manual):
        own = [one for by_id in of.records.values() for one in by_id.values()]
        whole = (of.entry, settings, of.machine, of.engine, of.airframe)
        return digest([*own, *whole, of.market, of.panel])
    records = [one for by_id in of.records.values() for own in by_id.values() for one in own]
    translations = [one for files in of.translations.values() for one in files.values()]
    return digest([*records, *translations, settings])


def _read(settings: BookSettings, on: date) -> BookSettings:
    """What an owner is told by the settings: an edition bears its own day, and no policy.

    Nor is it of the address of the site: like a card's code it is of what is read, wherever.
    """
    return replace(settings, dated=on, site_url=None, policy=None, approve=(), accept=())


def latest_edition(editions: tuple[Edition, ...]) -> Edition | None:
    """The latest edition that was not withdrawn."""
    standing = [one for one in editions if one.withdrawn is None]
    return max(standing, key=lambda edition: edition.number, default=None)


def current_edition(book: Book) -> Edition | None:
    """The latest standing edition, if the book still says what it said; None is a draft."""
    latest = latest_edition(book.editions)
    return latest if latest and says(latest.digest, book, latest.dated) else None


def current_for(book: Book, manual: Manual) -> Edition | None:
    """The latest standing edition, if this manual still says what it said there."""
    latest = latest_edition(book.editions)
    if latest is None:
        return None
    stood = states(read(book.files))[latest.number].get(manual.id, {})
    return latest if says(stood.get("digest"), manual, latest.dated) else None


def issued_cards(book: Book, manual: str) -> Mapping[str, tuple[str, Edition]]:
    """For each card of a manual in the latest standing edition its code, and since which edition.

    The edition is the one that last changed the card's face.
    """
    latest = latest_edition(book.editions)
    if latest is None:
        return {}
    stood = states(read(book.files))
    cards = stood[latest.number].get(manual, {}).get("cards", {})
    return {
        card: (said["code"], face_edition(book.editions, stood, manual, card))
        for card, said in cards.items()
    }


def face_edition(
    editions: tuple[Edition, ...], stood: Mapping[int, State], manual: str, card: str
) -> Edition:
    """The standing edition since which a card says what it says in the latest one."""
    standing = sorted(
        (one for one in editions if one.withdrawn is None), key=lambda one: -one.number
    )
    code = code_in(stood, standing[0].number, manual, card)
    same = takewhile(lambda one: code_in(stood, one.number, manual, card) == code, standing)
    return list(same)[-1]


def code_in(
    stood: Mapping[int, Mapping[str, object]], number: int, manual: str, card: str
) -> str | None:
    """The code of a card in an edition, if it was in it."""
    there: object = stood[number]
    for key in (manual, "cards", card, "code"):
        there = there.get(key) if isinstance(there, Mapping) else None
    return there if isinstance(there, str) else None


__all__ = [
    "book_digest",
    "code_in",
    "current_edition",
    "current_for",
    "face_edition",
    "issued_cards",
    "latest_edition",
    "manual_digest",
    "says",
]
