"""What a pull request does to the limits, seen before it is merged.

history   the two sides: revisions, folders; and who wrote what lies between
touched   the pages and card faces that are not the same on both
sight     each change as a reviewer must see it, with `size` and `seen`
demands   what the policy of the book demands, and whether it is met
judged    all of it, and the sentences that every report shares
text, markdown, page, machine   the reports
pictures  each touched card before, after, and where they differ
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from pathlib import Path

from placardry import changes
from placardry.book import Book
from placardry.book.policy import policy_of
from placardry.errors import EnvironmentFault, PlacardryError
from placardry.files import FOLDERS, is_free, read_folder, write_tree
from placardry.finding import Severity
from placardry.loader import load
from placardry.prepared import Prepared
from placardry.review import machine, markdown, page, text
from placardry.review.demands import Case, Demand, demands
from placardry.review.history import History, Side, history
from placardry.review.issued import between
from placardry.review.judged import Review, Style
from placardry.review.pictures import pictures
from placardry.review.sight import seen
from placardry.review.touched import Touched, touched

__all__ = [
    "ENDINGS",
    "FORMATS",
    "Review",
    "Style",
    "compared",
    "may_write",
    "of_editions",
    "review",
    "write",
    "write_file",
]

FORMATS: Mapping[str, Callable[[Review, Style], str]] = {
    "text": text.render,
    "markdown": markdown.render,
    "json": machine.as_json,
    "html": page.render,
    "annotations": machine.as_annotations,
    "code-quality": machine.as_code_quality,
}
PAGE = "review.html"
ENDINGS = {".html": "html", ".md": "markdown", ".json": "json", ".txt": "text"}
"""The forms of a review in a single file, by the end of its name."""
_OWN = re.compile(
    "|".join(
        (
            rf"(<!DOCTYPE html>\s*)?{re.escape(markdown.MARKER)}",
            r"(\d+ changes?:\s|no change of meaning\s\().*?\nthe policy (is|demands) ",
            r'\{\s*"changes": \[.*"demands": \[',
            r'\[\s*(\]|\{\s*"description": [^\n]*\s*"check_name": "placardry-)',
            r"::(warning|notice) file=",
            r"\Z",
        )
    ),
    re.DOTALL,
)
"""How a review begins, in any of `FORMATS`; some of them are empty."""
Touching = Callable[[Prepared, Prepared, set[str]], Touched]


def review(root: Path, before: str, after: str | None, on: date | None = None) -> Review:
    """What changed between two states of the book in `root`, judged by its policy.

    Raises:
        PlacardryError: a side is not there, holds no book, or one of which nothing can be read.
    """
    if before.isdecimal() and after is not None and after.isdecimal():
        return of_editions(root, int(before), int(after))
    return compared(history(root, before, after, on))


def of_editions(root: Path, old: int, new: int) -> Review:
    """What changed from one issued edition to another; nothing is demanded any more.

    Raises:
        PlacardryError: one of them was not issued.
    """
    files, _ = read_folder(root)
    found = between(files, old, new)
    book, _ = load(files)
    nothing = Prepared({}, None, (), ())
    sides = History(Side(f"edition {old}", nothing), Side(f"edition {new}", nothing))
    listed = seen(found, book, book, Touched()) if book is not None else ()
    return Review(sides, listed, (), Touched())


def compared(sides: History, touching: Touching = touched) -> Review:
    """What changed between two sides, judged by the policy of the earlier one.

    Where the later side has errors, what can be compared still is, and `sound` is not met.

    Args:
        sides: the two
        touching: finds the pages and faces; the part that takes the time
    """
    old, new = sides.before.prepared, sides.after.prepared
    unsound = tuple(_unsound(sides))
    if old.book is None:
        name = sides.before.name
        raise PlacardryError(
            f"the book at `{name}` cannot be read, so nothing can be compared with it; "
            "name another state"
        )
    if new.book is None:
        return Review(sides, (), unsound, Touched())
    both = [
        changes.Side(book=old.book, manuals=old.manuals),
        changes.Side(book=new.book, manuals=new.manuals),
    ]
    found = _told(old.book, new.book, changes.changes(*both))
    shown = touching(old, new, {name for one in found for name in one.manuals})
    listed = seen(found, old.book, new.book, shown)
    faces = tuple(face.path for face in shown.faces)
    case = Case(listed, old.book, new.book, sides.authors, faces)
    return Review(sides, listed, (*unsound, *demands(policy_of(old.book.settings), case)), shown)


def _told(old: Book, new: Book, found: Iterable[changes.Change]) -> list[changes.Change]:
    """The changes, without those that only a record which cannot be read pretends."""
    broken, unread = old.broken | new.broken, old.unread | new.unread
    if not broken and not unread:
        return list(found)

    def is_pretended(one: changes.Change) -> bool:
        there, here = (book.records.get(one.type, {}).get(one.id) for book in (old, new))
        if there is None or here is None:
            return bool(unread) or one.of in broken
        return there == here  # it is on fewer machines, for what it refers to cannot be read

    return [one for one in found if not is_pretended(one)]


def may_write(out: Path, book: Path) -> None:
    """Refuse a place in which a review would replace something else, or be a part of the book.

    Raises:
        EnvironmentFault: it is such a place.
    """
    place = out.resolve()
    if any(place.is_relative_to((book / one).resolve()) for one in FOLDERS):
        raise EnvironmentFault(f"`{out}` lies in the book; name a place elsewhere with --out")
    if out.is_file():
        try:
            said = out.read_bytes().decode(errors="replace").replace("\r\n", "\n")
        except OSError as fault:
            raise EnvironmentFault(f"`{out}` cannot be read: {fault.strerror}") from fault
        if not _OWN.match(said):
            raise EnvironmentFault(f"`{out}` is no review; name a new file with --out")
    elif out.is_dir() and not is_free(out) and not (out / PAGE).is_file():
        raise EnvironmentFault(f"`{out}` holds other files; name a new or empty folder with --out")


def write_file(found: Review, out: Path, format: str, most: int | None = None) -> Path:
    """Write a review in one of `FORMATS` into a file, which is given back.

    Raises:
        EnvironmentFault: the disk refuses.
    """
    write_tree(out.parent, {out.name: FORMATS[format](found, Style(most=most)).encode()})
    return out


def write(found: Review, out: Path) -> Path:
    """Write page, comment, data and pictures of the cards into a folder; the page is given back.

    Raises:
        EnvironmentFault: the disk refuses.
    """
    drawn = pictures(found.touched.faces)
    files = {path: data for one in drawn for path, data in one.files.items()}
    files[PAGE] = page.with_pictures(found, drawn).encode()
    files["review.md"] = markdown.render(found, Style()).encode()
    files["review.json"] = machine.as_json(found, Style()).encode()
    write_tree(out, files)
    return out / PAGE


def _unsound(sides: History) -> list[Demand]:
    """The errors of either side; those of the earlier one are no fault of the change."""
    demands = []
    for side, met in ((sides.after, False), (sides.before, True)):
        errors = [one for one in side.prepared.findings if one.severity is Severity.ERROR]
        if errors:
            first = f"{errors[0].span}: {errors[0].message}"
            count = f"{len(errors)} error{'s' * (len(errors) != 1)}"
            why = f"the book at `{side.name}` has {count}, the first in {first}; pages and cards "
            why += "are not compared; `placardry check` tells them all"
            demands.append(Demand("sound", met, why))
    return demands
