"""What the policy still demands of all that changed since the latest edition, before the next.

The book as it was issued is read from git, from the commit that brought the edition. Where that is
not to be had only the ledger tells of it, by which documents, words and policy cannot be compared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from placardry.book import Book
from placardry.book.policy import policy_of
from placardry.editions import latest_edition, says
from placardry.errors import PlacardryError
from placardry.files import git
from placardry.ledger import read
from placardry.review import compared
from placardry.review.demands import Case, Demand, demands
from placardry.review.history import history
from placardry.review.issued import between
from placardry.review.sight import seen
from placardry.review.touched import Touched

# What the edition itself meets.
_BY_EDITION = {"notice", "reprint"}


def unmet(
    root: Path, book: Book, entry: tuple[str, bytes], author: str | None, on: date | None
) -> tuple[tuple[Demand, ...], bool]:
    """The demands that are not met; and whether that is certain, or only what the ledger tells.

    Args:
        root: the folder of the book
        book: the book as it stands
        entry: the entry that would issue it
        author: who wrote what changed
        on: the day by which dates are judged
    """
    latest = latest_edition(book.editions)
    if latest is None:
        return (), True
    authors = (author,) if author else ()
    path = next(one.path for one in read(book.files).entries if one.edition == latest.number)
    found = _since(root, path, latest.digest, latest.dated, authors, on)
    is_certain = found is not None
    if found is None:
        found = _by_ledger({**book.files, entry[0]: entry[1]}, latest.number, book, authors)
    return tuple(one for one in found if not one.met and one.demand not in _BY_EDITION), is_certain


def _since(
    root: Path, path: str, digest: str, dated: date, authors: tuple[str, ...], on: date | None
) -> tuple[Demand, ...] | None:
    """What is demanded of all since the commit that brought an entry; None where none holds it."""
    try:
        added = git(root, "log", "--diff-filter=A", "--format=%H", "-n", "1", "--", path)
        commit = added.decode().strip()
        if not commit:
            return None
        sides = history(root, commit, None, on)
        old = sides.before.prepared.book
        if old is None or not says(digest, old, dated):
            return None
        sides = replace(sides, authors=(*sides.authors, *authors))
        return compared(sides, lambda *_: Touched()).demands
    except PlacardryError:
        return None


def _by_ledger(
    files: Mapping[str, bytes], latest: int, book: Book, authors: tuple[str, ...]
) -> tuple[Demand, ...]:
    after = max(one.edition or 0 for one in read(files).entries)
    listed = seen(between(files, latest, after), book, book, Touched())
    return demands(policy_of(book.settings), Case(listed, book, book, authors))
