"""Approvals: a person's word for what records mean, each bound to the meaning by a digest.

Pure; the command line writes what is given here.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from placardry.book import Book
from placardry.book.policy import policy_of, same
from placardry.book.sources import Approval
from placardry.errors import PlacardryError
from placardry.files import text_of
from placardry.finding import did_you_mean, has_errors
from placardry.meaning import digest
from placardry.prepared import Prepared

PATH = "procedures/approvals.yaml"
HEAD = "# yaml-language-server: $schema=schema/collections.json\n"

_PLAIN = re.compile(r"[^\W\d_](?:[\w.'’ -]*[\w.])?")  # a name that YAML reads as it stands


@dataclass(frozen=True, slots=True)
class Approved:
    """What approving came to.

    Shape: `new` and `kept` are `kind/id`, in order; `file` is what `PATH` must now hold.

    Attributes:
        kept: approved before, with the same meaning, and so left alone
    """

    new: tuple[str, ...]
    kept: tuple[Approval, ...]
    file: bytes


def approve(
    prepared: Prepared, names: Iterable[str], by: str, on: date, author: str | None = None
) -> Approved:
    """Approve these records of a book as they stand; an older approval of one is replaced.

    Args:
        prepared: the book
        names: the records, each as `kind/id` or as `id` alone
        by: who approves
        on: the day of it
        author: who wrote what is approved, where that is to be kept

    Raises:
        PlacardryError: the book has errors, a name leads to no record or to several, nobody is
            named, an author approves their own work against the policy, or the file of approvals
            holds something else or an older approval of one stands elsewhere.
    """
    book = prepared.book
    if book is None or has_errors(prepared.findings):
        raise PlacardryError("a book with errors cannot be approved; `placardry check` tells them")
    by = _person(by, "--by", "approves")
    author = None if author is None else _person(author, "--author", "wrote it")
    if author is not None and not policy_of(book.settings).author_approves and same(author, by):
        raise PlacardryError(
            f"{by} wrote it and cannot approve it by the book's policy; let somebody else read it"
        )
    others = [key for key in book.roots.get(PATH, ()) if key != "approvals"]
    if others:
        raise PlacardryError(f"{PATH} holds `{others[0]}:` too; move that to a file of its own")
    wanted = sorted({_known(book, name) for name in names})
    now = {of: _digest(book, of) for of in wanted}
    kept = tuple(one for one in book.approvals if now.get(one.of) == one.digest)
    new = [of for of in wanted if of not in {one.of for one in kept}]
    for one in book.approvals:
        if one.of in new and one.places.span.path != PATH:
            where = f"{one.places.span.path}, line {one.places.span.line}"
            raise PlacardryError(f"an older approval of `{one.of}` stands in {where}; remove it")
    lines = [
        _line(one.of, one.by, one.on, one.digest, one.author)
        for one in book.approvals
        if one.places.span.path == PATH and one.of not in new
    ]
    lines += [_line(of, by, on, now[of], author) for of in new]
    return Approved(tuple(new), kept, _file(prepared.files.get(PATH, b""), lines))


def _known(book: Book, name: str) -> str:
    """The `kind/id` that a name means."""
    by_id: dict[str, list[str]] = {}
    for kind, records in book.records.items():
        for id in records:
            by_id.setdefault(id, []).append(f"{kind}/{id}")
    whole = {of for found in by_id.values() for of in found}
    if name in whole:
        return name
    found = by_id.get(name, [])
    if len(found) > 1:
        raise PlacardryError(f"`{name}` is the name of several: {', '.join(sorted(found))}")
    if not found and book.records.get(name):
        first = next(iter(book.records[name]))
        raise PlacardryError(
            f"`{name}` is a kind of record; name each one that was read, as in `{name}/{first}`"
        )
    if not found:
        hint = did_you_mean(name, whole | set(by_id), "write `KIND/NAME`, as in `limit/coolant`")
        raise PlacardryError(f"there is no `{name}` in the book; {hint}")
    return found[0]


def _digest(book: Book, of: str) -> str:
    kind, _, name = of.partition("/")
    return digest(book.records[kind][name])


def _person(name: str, option: str, does: str) -> str:
    """A person's name on one line, with one space between its words."""
    name = " ".join(name.split())
    if not name.isprintable() or not any(char.isalpha() for char in name):
        raise PlacardryError(f"nobody is named; write `{option}` with the name of who {does}")
    return name


def _line(of: str, by: str, on: date, meaning: str, author: str | None) -> str:
    wrote = "" if author is None else f", author: {_quoted(author)}"
    return f"  - {{of: {of}, by: {_quoted(by)}{wrote}, on: {on}, digest: {meaning}}}\n"


def _quoted(name: str) -> str:
    return name if _PLAIN.fullmatch(name) else json.dumps(name, ensure_ascii=False)


def _file(old: bytes, lines: list[str]) -> bytes:
    """The file with these lines sorted, below the comments at its head."""
    head = ""
    for line in text_of(old).splitlines(keepends=True):
        if not line.startswith("#"):
            break
        head += line
    body = "".join(sorted(lines))
    return f"{head or HEAD}approvals:\n{body}".encode()
