"""The two sides of a review: git revisions, folders or editions; and who wrote what lies between.

Nothing is checked out and nothing is written, so a shallow clone or a second work tree will do.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from placardry.errors import EnvironmentFault, NoBookError
from placardry.files import BOOK_FILE, git, read_folder, read_revision, require_book, way_to
from placardry.prepared import Prepared, judge

WORKING = "the working folder"
# Who approves a change writes this file, and is not an author for that.
APPROVALS = "procedures/approvals.yaml"


@dataclass(frozen=True)
class Side:
    """A state of the book.

    Attributes:
        name: as it was asked for
        prepared: what stands there, and its errors
    """

    name: str
    prepared: Prepared


@dataclass(frozen=True)
class History:
    """What is compared.

    Attributes:
        authors: who wrote the commits between the two; empty where nobody can say
        prefix: the way from the repository's root to the book
    """

    before: Side
    after: Side
    authors: tuple[str, ...] = ()
    prefix: str = ""


def history(root: Path, before: str, after: str | None, on: date | None = None) -> History:
    """The two states that two names mean, each a folder with a book or a git revision.

    Of two branches that parted, the earlier side is where they parted, as it is for the forges.

    Raises:
        PlacardryError: a name leads to no book, or git cannot tell.
    """
    old, new = _folder(before), root if after is None else _folder(after)
    if old is not None and new is not None:
        require_book(new)
        first = _read(before, old, on)
        return History(first, _read(after or WORKING, new, on, earlier=first.prepared))
    old_commit = _commit(root, before) if old is None else ""
    new_commit = _commit(root, after or "HEAD") if new is None or after is None else ""
    if old_commit and new_commit:
        old_commit = _parting(root, old_commit, new_commit)
    first = _read(before, old or root, on, old_commit)
    commit = new_commit if new is None else ""
    second = _read(after or WORKING, new or root, on, commit, first.prepared)
    has_log = bool(old_commit and new_commit)
    authors = _authors(root, old_commit, new_commit, is_working=after is None) if has_log else ()
    return History(first, second, authors, way_to(root) or "")


def _read(
    name: str, folder: Path, on: date | None, commit: str = "", earlier: Prepared | None = None
) -> Side:
    """A state of the book: a folder's as it is, or as it was at a commit."""
    try:
        files, found = read_revision(folder, commit) if commit else read_folder(folder)
    except NoBookError as error:
        raise NoBookError(str(error).replace(commit, name) if commit else str(error)) from error
    return Side(name, judge(files, on, found, earlier, errors_only=True))


def _folder(name: str | None) -> Path | None:
    """The folder of this name, if a book stands in it."""
    if name is None:
        return None
    path = Path(name)
    return path if (path / BOOK_FILE).is_file() else None


def _commit(root: Path, name: str) -> str:
    """The commit that a name means.

    Raises: EnvironmentFault.
    """
    try:
        asked = git(root, "rev-parse", "--verify", "--end-of-options", name + "^{commit}")
    except EnvironmentFault as fault:
        said = str(fault)
        if said.startswith("cannot run git"):
            raise
        if "not a git repository" in said:
            raise EnvironmentFault(
                f"`{root}` is in no git repository, and no book stands in a folder `{name}`; "
                "name two folders with books, or work in a repository"
            ) from fault
        raise EnvironmentFault(
            f"there is no revision `{name}` here, and no book in a folder of that name; "
            "fetch it with `git fetch` (a shallow copy with `git fetch --unshallow`)"
        ) from fault
    return asked.decode().strip()


def _parting(root: Path, old: str, new: str) -> str:
    """Where two lines of commits parted; the old one itself, if one holds the other or none."""
    try:
        shared = git(root, "merge-base", old, new).decode().strip()
    except EnvironmentFault:  # a shallow copy may not reach so far back
        return old
    return old if shared == new else shared


def _authors(root: Path, old: str, new: str, *, is_working: bool) -> tuple[str, ...]:
    """The authors of the commits that lead from one side to the other, and of what is not yet one.

    A shared commit names its others in `Co-authored-by`; a commit of approvals alone has none.
    """
    places = ("--", "procedures", "content", f":(exclude){APPROVALS}")
    form = "--format=%aN%x00%(trailers:key=Co-authored-by,valueonly,separator=%x00)"
    lines = git(root, "log", form, f"{old}..{new}", *places).decode(errors="replace")
    names = {one.split("<")[0].strip() for one in lines.replace("\n", "\0").split("\0")}
    if is_working and git(root, "status", "--porcelain", *places):
        try:
            names.add(git(root, "config", "user.name").decode(errors="replace").strip())
        except EnvironmentFault:
            names.discard("")  # nobody is named on this computer
    return tuple(sorted(names - {""}))
