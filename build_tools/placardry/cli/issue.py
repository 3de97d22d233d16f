"""`release`, `cards`, `recall`: what was issued, and what still holds of it."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from placardry.errors import EnvironmentFault, PlacardryError


def release(options: argparse.Namespace) -> int:
    """Issue an edition, or withdraw one."""
    from placardry.files import write_new
    from placardry.prepared import prepare
    from placardry.release import release, withdraw

    prepared = prepare(options.book, options.on)
    if prepared.book is None:
        raise PlacardryError("the book cannot be read; `placardry check` tells why")
    on: date = options.on or prepared.book.settings.dated
    if options.withdraw is not None:
        path, data = withdraw(
            prepared, options.withdraw, by=options.by or "", because=options.because or "", on=on
        )
    else:
        path, data = release(
            prepared,
            by=options.by or "",
            summary=options.summary or "",
            on=on,
            author=options.author,
        )
    write_new(options.book, path, data)
    what = "withdrew edition" if options.withdraw is not None else "issued edition"
    number = json.loads(data).get("edition", options.withdraw)
    print(f"{what} {number} in {options.book / path}; commit the file, then build")
    return 0


def cards(options: argparse.Namespace) -> int:
    """Say what a code means today, or all issued and drafted; 1 where one does not hold."""
    from placardry.prepared import prepare
    from placardry.release import drafts
    from placardry.standing import Issued, Standing, as_plain, sentence

    prepared = prepare(options.book)
    if prepared.book is None:
        raise PlacardryError("the book cannot be read; `placardry check` tells why")
    _trusted(prepared.files)
    issued = Issued(prepared.book)
    is_asked = options.code is not None
    unissued = {one.code: one for one in drafts(prepared, issued)}
    if is_asked:
        one = issued.verdict(options.code)
        found = [unissued.get(one.code, one)]
    else:
        found = sorted([*issued.verdicts(), *unissued.values()], key=lambda one: one.place)
    if options.format == "json":
        plain = {"cards": [as_plain(one) for one in found]}
        sys.stdout.write(json.dumps(plain, ensure_ascii=False, indent=1) + "\n")
    else:
        sys.stdout.write(
            "".join(f"{sentence(one)}\n" for one in found) or "the book has no cards\n"
        )
    return 1 if is_asked and found[0].standing is not Standing.CURRENT else 0


def recall(options: argparse.Namespace) -> int:
    """Say which aircraft carry cards that no longer hold; 1 where a row could not be judged."""
    from placardry import recall
    from placardry.files import is_free, write_tree
    from placardry.finding import has_errors
    from placardry.notice import notices
    from placardry.prepared import prepare
    from placardry.report import report

    path: Path = options.list
    if path.resolve().is_relative_to(_repository(options.book.resolve())):
        raise PlacardryError(
            f"`{path}` lies in the book's repository, where serials would be published with it; "
            "move the list out of it"
        )
    try:
        data = path.read_bytes()
    except OSError as fault:
        raise EnvironmentFault(f"`{path}` cannot be read: {fault.strerror}") from fault
    if options.out is not None and not is_free(options.out):
        raise EnvironmentFault(f"`{options.out}` is not an empty folder; name a new one with --out")
    prepared = prepare(options.book)
    if prepared.book is None:
        raise PlacardryError("the book cannot be read; `placardry check` tells why")
    _trusted(prepared.files)
    found = recall.recall(prepared.book, path.name, data)
    findings = found.findings
    if options.out is not None:
        made, unprinted = notices(found, prepared)
        write_tree(options.out, made)
        findings += unprinted
    if findings:
        sys.stderr.write(report(findings, {}))
    if options.format == "json":
        sys.stdout.write(recall.as_json(found, findings))
    else:
        sys.stdout.write(recall.as_text(found))
    return 1 if has_errors(findings) else 0


def _trusted(files: Mapping[str, bytes]) -> None:
    """Refuse to judge cards by a ledger that is broken: a card that fell out would seem sound."""
    from placardry.ledger import read

    faults = read(files).faults
    if faults:
        raise PlacardryError(f"the ledger is broken: {faults[0].message}; {faults[0].mend}")


def _repository(book: Path) -> Path:
    """The folder of the repository that a book lies in; without one, the book's own."""
    return next((one for one in (book, *book.parents) if (one / ".git").exists()), book)
