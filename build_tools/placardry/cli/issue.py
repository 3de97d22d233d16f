"""`release`, `cards`, `recall`: what was issued, and what still holds of it."""

from __future__ import annotations

import argparse
import json
import shutil
import sys
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from placardry.errors import EnvironmentFault, PlacardryError
from placardry.wording import LANGUAGES

if TYPE_CHECKING:
    from placardry.book import Book
    from placardry.prepared import Prepared


def _width() -> int:
    return shutil.get_terminal_size((80, 24)).columns


def release(options: argparse.Namespace) -> int:
    """Issue an edition, or withdraw one."""
    from placardry.files import write_new
    from placardry.prepared import prepare
    from placardry.release import release, withdraw

    prepared = prepare(options.book, options.on)
    if prepared.book is None:
        raise PlacardryError("the book cannot be read; `placardry check` tells why")
    by, on = options.by or "", _day(prepared.book, options)
    if options.withdraw is not None:
        path, data = withdraw(
            prepared,
            options.withdraw,
            by=by,
            because=options.because or "",
            becauses=_translated(options, "because"),
            on=on,
        )
    else:
        path, data = release(
            prepared,
            by=by,
            summary=options.summary or "",
            summaries=_translated(options, "summary"),
            on=on,
            author=options.author,
            again=options.again,
        )
        _demanded(prepared.book, (path, data), options)
        if not _fits(prepared):
            return 1
    write_new(options.book, path, data)
    tell(prepared, options.book / path, json.loads(data))
    return 0


def _fits(prepared: Prepared) -> bool:
    """Whether all cards can be printed; says so where one cannot, for no edition can be mended."""
    from placardry.finding import has_errors, in_order
    from placardry.manual_output import unprintable
    from placardry.report import report

    found = in_order(one for manual in prepared.manuals for one in unprintable(manual))
    if not has_errors(found):
        return True
    sys.stderr.write(report(found, prepared.files, width=_width()))
    print("placardry: nothing was issued, for it could not be built", file=sys.stderr)
    return False


def _day(book: Book, options: argparse.Namespace) -> date | None:
    """The day of the entry, where one is named: of a withdrawal, today. None is yet to come."""
    today = datetime.now().astimezone().date()
    taken = [day for one in book.editions for day in (one.dated, one.withdrawn) if day]
    latest = max([today, *taken])  # days never go back, not even from one that was mistyped
    day: date | None = options.on
    if day is None and options.withdraw is not None:
        return latest
    asked = day or book.settings.dated
    if asked > latest:
        raise PlacardryError(
            f"{asked} is yet to come, for today is {today} on this computer; name the day with "
            "`--on`"
        )
    return day


def _demanded(book: Book, entry: tuple[str, bytes], options: argparse.Namespace) -> None:
    """Refuse an edition of which the book's policy still demands something."""
    from placardry.review.at_release import unmet

    found, is_certain = unmet(options.book, book, entry, options.author, options.on)
    if not found:
        return
    listed = "".join(f"\n  {one.demand}: {one.why}" for one in found)
    if is_certain:
        raise PlacardryError(f"since the latest edition the policy of the book is not met{listed}")
    print(
        "warning: the book as it was last issued is in no commit; by the ledger alone its policy "
        f"is not met{listed}",
        file=sys.stderr,
    )


def _translated(options: argparse.Namespace, key: str) -> dict[str, str]:
    """What was given for an option in each language, as `--summary-de`."""
    given = {one: getattr(options, f"{key}_{one}") for one in LANGUAGES}
    return {language: text for language, text in given.items() if text is not None}


def tell(prepared: Prepared, path: Path, said: Mapping[str, Any]) -> None:
    """Say what was written, and in time what it lacks."""
    is_issued = "edition" in said
    what = (
        f"issued edition {said['edition']}"
        if is_issued
        else f"withdrew edition {said['withdraws']}"
    )
    print(f"{what} on {said['dated']} in {path}; commit the file, then build")
    if not is_issued and prepared.book is not None:
        print(_put_back(prepared.book, said["withdraws"]))
    manuals = filter(None, said.get("manuals", {}).values())
    faces = sum(one is not None for manual in manuals for one in manual["cards"].values())
    if faces:
        print(f"cards with a new face: {faces}; `placardry cards` says what they replace")
    own = prepared.book.settings.language if prepared.book else ""
    given = {own.partition("-")[0], *said.get("summaries", ())}
    option = "summary" if is_issued else "because"
    for language in sorted({one.language.partition("-")[0] for one in prepared.manuals} - given):
        print(
            f"manuals in `{language}` tell it untranslated; to change that, delete the file before "
            f"you commit it and issue it again with `--{option}-{language}`"
        )


def _put_back(book: Book, withdrawn: int) -> str:
    """What the book needs after a withdrawal, before it is built."""
    from placardry.editions import latest_edition

    left = latest_edition(tuple(one for one in book.editions if one.number != withdrawn))
    if left is None:
        return "no edition stands: put the book right and issue it before you build"
    return (
        f"put the book back to what edition {left.number} said (with git) before you build, for "
        "the site prints what the book says now"
    )


def cards(options: argparse.Namespace) -> int:
    """Say what a code means today, or all issued and drafted; 1 where one does not hold."""
    from placardry.card_list import drafts, listing
    from placardry.prepared import prepare
    from placardry.standing import Issued, Standing, as_plain

    prepared = prepare(options.book)
    if prepared.book is None:
        raise PlacardryError("the book cannot be read; `placardry check` tells why")
    _trusted(prepared.files)
    issued = Issued(prepared.book)
    is_asked = options.code is not None
    unissued = {one.code: one for one in drafts(prepared.manuals, issued)}
    if is_asked:
        one = issued.verdict(options.code)
        found = [unissued.get(one.code, one)]
    else:
        found = sorted([*issued.verdicts(), *unissued.values()], key=lambda one: one.place)
    if options.format == "json":
        plain = {"cards": [as_plain(one) for one in found]}
        sys.stdout.write(json.dumps(plain, ensure_ascii=False, indent=1) + "\n")
    elif found:
        sys.stdout.write(listing(found, issued.latest, _width()))
    else:
        print("the book has no cards; add one under procedures/cards/")
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
    _private(path, options.book, "move the list elsewhere")
    if options.out is not None:
        _private(options.out, options.book, "name a folder elsewhere with --out")
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
        count = len(found.aircraft)
        print(f"wrote {count} notice{'s' * (count != 1)} to {options.out}", file=sys.stderr)
    if findings:
        nameless = {"": data}  # so that no line of a private list is shown
        sys.stderr.write(report(findings, nameless, width=_width()))
    if options.format == "json":
        sys.stdout.write(recall.as_json(found, findings))
    else:
        sys.stdout.write(recall.as_text(found, _width()))
    return 1 if has_errors(findings) else 0


def _trusted(files: Mapping[str, bytes]) -> None:
    """Refuse to judge cards by a ledger that is broken: a card that fell out would seem sound."""
    from placardry.ledger import read

    faults = read(files).faults
    if faults:
        raise PlacardryError(f"the ledger is broken: {faults[0].message}; {faults[0].mend}")


def _private(path: Path, book: Path, mend: str) -> None:
    """Refuse a place for serials from which they would be published, or shared with the book."""
    own, shared = path.resolve(), _repository(book.resolve()) or book.resolve()
    if own.is_relative_to(shared):
        where = "with the book, whose repository others read"
    elif any((one / "register.json").exists() for one in own.parents):
        where = "in a published folder"
    else:
        return
    raise PlacardryError(f"`{path}` lies {where}, and would give serials away; {mend}")


def _repository(path: Path) -> Path | None:
    """The folder of the repository that something lies in."""
    return next((one for one in (path, *path.parents) if (one / ".git").exists()), None)
