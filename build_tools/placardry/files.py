"""Files as bytes by path: from a folder or a git revision, and back to disk.

Paths are POSIX, relative to the book's root and in Unicode form NFC, so they are equal
everywhere. Only what stands below `procedures/` and `content/` belongs to a book. A test may give
any mapping of paths to bytes instead. With the doors, the only code that touches disk or git.
"""

from __future__ import annotations

import errno
import os
import posixpath
import unicodedata
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from placardry.errors import EnvironmentFault, NoBookError
from placardry.finding import Family, Finding, Note, Rule, Severity, Span

Files = Mapping[str, bytes]

FOLDERS = ("procedures", "content")
# What a file system says that has no hard links, such as that of most memory sticks.
_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EINVAL)
BOOK_FILE = "procedures/book.yaml"
SCHEMA_FOLDER = "procedures/schema/"
TEXT_ENDINGS = (".yaml", ".yml", ".md")
MOST_TEXT_BYTES = 4 * 2**20  # a file of author text; the largest sensible one is a hundredth of it
MOST_BYTES = 64 * 2**20  # a picture or a cited document

LINKED_FILE = Rule(
    "linked-file",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    """A file of the book is a symbolic link.

    A link may lead out of the book, where nobody reviews the text, and a link inside the book
    says everything twice. Links are not followed.

    Source: common practice, no source.
    """,
)
FILE_TOO_LARGE = Rule(
    "file-too-large",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    """A file is larger than 4 MiB of text, or 64 MiB of anything else.

    Nobody can review such a file, and reading it would stop every check.

    Source: common practice, no source.
    """,
)
UNREADABLE_FILE = Rule(
    "unreadable-file",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    """A file cannot be read from the disk.

    What it says would be missing from the manual without anybody noticing.

    Source: common practice, no source.
    """,
)
CLASHING_FILE_NAMES = Rule(
    "clashing-file-names",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    """Two file names differ only in capitals or in how accents are encoded.

    On many computers the two are one file, and one of them would be lost.

    Source: Unicode Standard Annex 15 (normalisation forms); common practice for capitals.

    Bad:
        content/notes.md
            # Notes

            Keep them short.
        content/Notes.md
            # More notes

            Read them twice.
    Good:
        content/notes.md
            # Notes

            Keep them short.
        content/more-notes.md
            # More notes

            Read them twice.
    """,
)


class _Entry(NamedTuple):
    """A file as its folder or revision lists it; `link` is where it leads if it is a link."""

    path: str
    size: int
    where: str
    link: str | None = None


def text_of(data: bytes) -> str:
    """The text of a file's bytes: no byte order mark, lines ended by a line feed alone.

    Bytes that are not UTF-8 become U+FFFD; the readers report them.
    """
    text = data.decode("utf-8", errors="replace")
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def require_book(root: Path) -> None:
    """Refuse a folder without a book.

    Raises: NoBookError.
    """
    if not (root / BOOK_FILE).is_file():
        raise NoBookError(
            f"there is no book in `{root}`: it has no {BOOK_FILE}; "
            "name the folder that holds `procedures` with --book"
        )


def is_free(folder: Path) -> bool:
    """Whether a folder may be filled: it is empty, or not there yet.

    Raises: EnvironmentFault if the disk refuses.
    """
    try:
        return not folder.exists() or (folder.is_dir() and not any(folder.iterdir()))
    except OSError as error:
        raise EnvironmentFault(f"cannot list `{folder}`: {_reason(error)}") from error


def read_folder(root: Path) -> tuple[Files, tuple[Finding, ...]]:
    """The files of the book in the folder `root`, sorted by path.

    Raises: NoBookError if the folder holds no book.
    """
    require_book(root)
    entries, findings = _sift(_list_folder(root))
    files: dict[str, bytes] = {}
    for entry in entries:
        try:
            files[entry.path] = Path(entry.where).read_bytes()
        except OSError as error:
            findings.append(_unreadable(entry.path, error))
    return files, tuple(findings)


def read_revision(repo: Path, revision: str) -> tuple[Files, tuple[Finding, ...]]:
    """The files of the book in the folder `repo` as they stood at a git revision.

    Blobs are read directly, without a checkout; so work trees and shallow clones will do.

    Raises: NoBookError if the revision holds no book; EnvironmentFault if git cannot read it.
    """
    commit = git(repo, "rev-parse", "--verify", "--end-of-options", revision + "^{commit}").strip()
    prefix = os.fsdecode(git(repo, "rev-parse", "--show-prefix")).rstrip("\n")
    listing = git(
        repo, "ls-tree", "-r", "-z", "-l", "--full-tree", commit.decode(), "--",
        *(prefix + folder for folder in FOLDERS),
    )  # fmt: skip
    entries, findings = _sift(_list_tree(repo, listing, len(prefix)))
    blobs = _blobs(repo, [entry.where for entry in entries])
    files = {entry.path: data for entry, data in zip(entries, blobs, strict=True)}
    if BOOK_FILE not in files:
        raise NoBookError(
            f"there is no book at revision `{revision}`: it has no {prefix}{BOOK_FILE}; "
            "name a later revision"
        )
    return files, tuple(findings)


def write_tree(root: Path, artifacts: Mapping[str, bytes]) -> None:
    """Write every artifact below `root`, making the folders that it needs.

    Raises: ValueError if a path would leave `root`; EnvironmentFault if the disk refuses.
    """
    for path in sorted(artifacts):
        if (
            path in ("", ".", "..")
            or path != posixpath.normpath(path)
            or path.startswith(("/", "../"))
        ):
            raise ValueError(f"artifact path `{path}` is not below its folder")
        target = root / path
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(artifacts[path])
        except OSError as error:
            raise EnvironmentFault(f"cannot write `{target}`: {_reason(error)}") from error


def write_new(root: Path, path: str, data: bytes) -> None:
    """Write a file that must not be there yet, whole or not at all.

    A crash leaves at most a file whose name begins with a dot, which no book reads.

    Raises: EnvironmentFault if the file is there, or the disk refuses.
    """
    target = root / path
    staged = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            with staged.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            _put(staged, target)
        finally:
            staged.unlink(missing_ok=True)
    except FileExistsError as error:
        raise EnvironmentFault(f"`{target}` is there already; look at it first") from error
    except OSError as error:
        raise EnvironmentFault(f"cannot write `{target}`: {_reason(error)}") from error


def _put(staged: Path, target: Path) -> None:
    """Give a finished file its name; one that is there is never replaced."""
    try:
        os.link(staged, target)  # refuses what is there, where a rename would replace it
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if target.exists():
            raise FileExistsError(error.errno, "is there already") from error
        staged.rename(target)


def _list_folder(root: Path) -> Iterator[_Entry]:
    """The files and links below the book's folders, as the disk names them."""
    pending = [folder for folder in FOLDERS if (root / folder).exists()]
    while pending:
        folder = pending.pop()
        if (root / folder).is_symlink():
            yield _Entry(folder, 0, "", str((root / folder).readlink()))
            continue
        try:
            with os.scandir(root / folder) as listed:
                children = list(listed)
        except OSError as error:
            raise EnvironmentFault(f"cannot list `{root / folder}`: {_reason(error)}") from error
        for child in children:
            path = f"{folder}/{child.name}"
            if child.is_symlink():
                yield _Entry(path, 0, child.path, str(Path(child.path).readlink()))
            elif child.is_dir() and not child.name.startswith("."):
                pending.append(path)
            elif child.is_file():
                yield _Entry(path, child.stat().st_size, child.path)


def _list_tree(repo: Path, listing: bytes, prefix_bytes: int) -> Iterator[_Entry]:
    """The files and links of `git ls-tree -r -z -l`."""
    for record in filter(None, listing.split(b"\0")):
        about, _, path_bytes = record.partition(b"\t")
        mode, kind, sha, size = about.decode().split()
        if kind != "blob":
            continue  # a submodule is another repository, not text of this book
        path = os.fsdecode(path_bytes)[prefix_bytes:]
        if mode == "120000":
            yield _Entry(path, 0, sha, os.fsdecode(_blobs(repo, [sha])[0]))
        else:
            yield _Entry(path, int(size), sha)


def _sift(listed: Iterator[_Entry]) -> tuple[list[_Entry], list[Finding]]:
    """The entries that are files of the book, in order, with NFC paths; and what is wrong."""
    kept: list[_Entry] = []
    findings: list[Finding] = []
    seen: dict[str, str] = {}
    for entry in sorted(listed):
        try:
            entry.path.encode()
        except UnicodeEncodeError:
            shown = entry.path.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
            findings.append(_unreadable(shown, ValueError("its name is not UTF-8")))
            continue
        path = unicodedata.normalize("NFC", entry.path)
        if path.startswith(SCHEMA_FOLDER) or any(part[0] == "." for part in path.split("/")):
            continue
        if finding := _refusal(path, entry, seen):
            findings.append(finding)
            continue
        kept.append(entry._replace(path=path))
    return sorted(kept), findings


def _refusal(path: str, entry: _Entry, seen: dict[str, str]) -> Finding | None:
    """Why the entry is not read, if it is not; notes its name in `seen`."""
    span = Span(path)
    if entry.link is not None:
        mend = "put the file itself in its place"
        return Finding(LINKED_FILE, span, f"`{path}` is a link to `{entry.link}`", mend)
    most = MOST_TEXT_BYTES if path.endswith(TEXT_ENDINGS) else MOST_BYTES
    if entry.size > most:
        message = f"`{path}` has {entry.size} bytes, more than the {most} that are read"
        mend = "split the file" if most == MOST_TEXT_BYTES else "replace the file by a smaller one"
        return Finding(FILE_TOO_LARGE, span, message, mend)
    first = seen.setdefault(path.casefold(), path)
    if first is not path:
        message = f"`{path}` and `{first}` are one file on many computers"
        note = Note(Span(first), "the other file")
        return Finding(CLASHING_FILE_NAMES, span, message, "rename one of the two files", (note,))
    return None


def _unreadable(path: str, error: OSError | ValueError) -> Finding:
    message = f"`{path}` cannot be read: {_reason(error)}"
    return Finding(UNREADABLE_FILE, Span(path), message, "make the file readable, or remove it")


def _reason(error: OSError | ValueError) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()


def way_to(folder: Path) -> str | None:
    """The way from the root of its repository to a folder: `books/tern/`; None if it is in none."""
    try:
        return os.fsdecode(git(folder, "rev-parse", "--show-prefix")).rstrip("\n")
    except EnvironmentFault:
        return None


def _blobs(repo: Path, shas: list[str]) -> list[bytes]:
    """The bytes of git blobs, in the order of `shas`."""
    asked = "".join(f"{sha}\n" for sha in shas).encode()
    answer = git(repo, "cat-file", "--batch", asked=asked)
    blobs: list[bytes] = []
    here = 0
    for sha in shas:
        end = answer.index(b"\n", here)
        header = answer[here:end].decode().split()
        if len(header) != 3:
            raise EnvironmentFault(
                f"git holds no copy of blob {sha}; fetch the whole repository with `git fetch`"
            )
        size = int(header[2])
        blobs.append(answer[end + 1 : end + 1 + size])
        here = end + 1 + size + 1
    return blobs


def git(repo: Path, *arguments: str, asked: bytes = b"") -> bytes:
    """What a git command prints; it never writes, prompts or goes to the network.

    Raises: EnvironmentFault if git is missing or refuses.
    """
    import subprocess  # slow to import, and most commands ask git nothing

    quiet = {"LC_ALL": "C", "GIT_OPTIONAL_LOCKS": "0", "GIT_NO_LAZY_FETCH": "1"}
    try:
        done = subprocess.run(
            ["git", "-C", str(repo), *arguments],
            input=asked, capture_output=True, check=False, env={**os.environ, **quiet},
        )  # fmt: skip
    except OSError as error:
        raise EnvironmentFault(
            f"cannot run git: {_reason(error)}; install git, then try again"
        ) from error
    if done.returncode != 0:
        said = done.stderr.decode(errors="replace").strip().split("\n")[0]
        raise EnvironmentFault(
            f"git cannot read `{repo}`: {said}; name a revision that this repository holds "
            "(a shallow copy is completed by `git fetch --unshallow`)"
        )
    return done.stdout
