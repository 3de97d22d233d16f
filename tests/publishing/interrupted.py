"""Builds that are cut short: `python -m tests.publishing.interrupted kill EMPTY-FOLDER`.

Prints what became of the published folder as JSON: how many points were tried, how often the old
folder, the new one or none stood there. Ends with an error where it was neither of them.
"""

from __future__ import annotations

import ctypes
import errno
import json
import os
import random
import resource
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from hashlib import sha256
from pathlib import Path

from placardry import publish, swap
from placardry.errors import EnvironmentFault
from placardry.files import write_tree
from placardry.swap import Place
from tests.books import files
from tests.publishing.elsewhere import BOOK as TWO_MANUALS

Tree = Mapping[str, bytes]
OLD: Tree = {"manifest.json": b"{}", "index.html": b"old", "a/b/c.txt": b"o", "a/gone.txt": b""}
NEW: Tree = {"manifest.json": b"{}", "index.html": b"new", "a/b/c.txt": b"n", "d/e.txt": b"" * 9}
BOOK = tuple(files().items())
# Of these acts Python tells before it asks the system for them.
CHANGES = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "ctypes.dlsym")
CAME_THROUGH, REFUSED, NEVER_STOPPED = 0, 2, 4


def tree(folder: Path) -> dict[str, bytes]:
    """The files of a folder by path; empty where there is none."""
    return {
        one.relative_to(folder).as_posix(): one.read_bytes()
        for one in sorted(folder.rglob("*"))
        if one.is_file()
    }


def forked(work: Callable[[], int], kill_after: float | None = None) -> int:
    """The exit status of some work in a process of its own, killed after so many seconds."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            status = work()
        except EnvironmentFault:
            status = REFUSED
        finally:
            os._exit(status)
    if kill_after is not None:
        time.sleep(kill_after)
        os.kill(child, signal.SIGKILL)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def stop_at(number: int, below: Path, stop: Callable[[], None]) -> Callable[[], bool]:
    """Call `stop` before the act of this number on the disk; gives whether it came to that."""
    seen = 0

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal seen
        if event in CHANGES or (event == "open" and str(below) in str(arguments[0])):
            seen += 1
            if seen == number:
                stop()

    sys.addaudithook(hook)
    return lambda: seen >= number


def dies() -> None:
    """The process ends as if its current were cut."""
    os.kill(os.getpid(), signal.SIGKILL)


def fails(number: int) -> Callable[[], None]:
    """The system refuses one act with this error."""

    def fail() -> None:
        raise OSError(number, os.strerror(number))

    return fail


def swapped(out: Path, files: Tree) -> None:
    """Files in the place of the published folder, as `publish` puts them there."""
    with Place(out) as place:
        place.write(files)
        place.swap()


def at_every_act(folder: Path, stop: Callable[[], None]) -> Counter[str]:
    """A swap stopped at its first act on the disk, at its second … until one comes through."""
    found: Counter[str] = Counter()
    out = folder / "site"
    for number in range(1, 1000):
        swapped(out, OLD)

        def work(number: int = number) -> int:
            stopped = stop_at(number, folder, stop)
            swapped(out, NEW)
            return CAME_THROUGH if stopped() else NEVER_STOPPED

        status = forked(work)
        if status == NEVER_STOPPED:
            return found
        found[judged(out, OLD, NEW)] += 1
        swapped(out, NEW)
        left = [one.name for one in folder.iterdir()]
        if tree(out) != NEW or left != [out.name]:
            raise SystemExit(f"after a stop at act {number}: {left}")
    raise SystemExit("no swap comes to its end")


def judged(out: Path, old: Tree, new: Tree) -> str:
    """Which of the two stands there."""
    there = tree(out)
    if there == old:
        return "old"
    if there == new:
        return "new"
    if not out.exists():
        return "none"
    raise SystemExit(f"{sorted(there)} is neither the old folder nor the new one")


def at_random(folder: Path, rounds: int, seed: int) -> Counter[str]:
    """Builds of two books in turn, killed at moments spread over a build, denser at its swap."""
    out, chance = folder / "site", random.Random(seed)  # noqa: S311 - the same moments at each run
    books = [folder / "one", folder / "two"]
    for book, dated in zip(books, ("2026-01-31", "2026-03-01"), strict=True):
        text = {p: d.replace(b"dated: 2026-01-31", f"dated: {dated}".encode()) for p, d in BOOK}
        write_tree(book, text)
    good = [_published(book, out) for book in books]
    if good[0] == good[1]:
        raise SystemExit("the two books publish the same, so nothing would be seen")
    began = time.perf_counter()
    forked(lambda: _build(books[0], out))
    whole = time.perf_counter() - began
    found: Counter[str] = Counter()
    last = 0
    for number in range(rounds):
        share = chance.uniform(0, 1.2) if number % 2 else chance.gauss(1, 0.05)
        old, new, book = good[last], good[1 - last], books[1 - last]
        forked(partial(_build, book, out), max(0.0, share * whole))
        which = judged(out, old, new)
        found[which] += 1
        last = 1 - last if which == "new" else last
    found.update(old=0, new=0, none=0)  # each is told of, also where there was none
    if _published(books[0], out) != good[0] or list(folder.glob(".site*")):
        raise SystemExit("the next build does not clear what was left")
    return found


def _published(book: Path, out: Path) -> Tree:
    if forked(lambda: _build(book, out)) != CAME_THROUGH:
        raise SystemExit(f"{book} is not published")
    made = tree(out)
    listed = {one["path"]: one["sha256"] for one in json.loads(made["manifest.json"])["files"]}
    if listed != {p: sha256(d).hexdigest() for p, d in made.items() if p != "manifest.json"}:
        raise SystemExit("the manifest lists other files than there are")
    return made


def _build(book: Path, out: Path) -> int:
    _, findings = publish.build(book, out, workers=1)
    return 1 if findings else CAME_THROUGH


def in_a_crowd(folder: Path, builders: int) -> Counter[str]:
    """Many builds of one folder at once, for two seconds."""
    out, trees = folder / "site", [{**NEW, "by.txt": bytes([one])} for one in range(builders)]
    swapped(out, trees[0])

    def work(files: Tree) -> int:
        until = time.monotonic() + 2
        while time.monotonic() < until:
            with suppress(EnvironmentFault):  # another build has the place
                swapped(out, files)
        return CAME_THROUGH

    children = []
    for files_of_one in trees:
        child = os.fork()
        if child == 0:
            os._exit(work(files_of_one))
        children.append(child)
    statuses = [os.waitstatus_to_exitcode(os.waitpid(one, 0)[1]) for one in children]
    if any(statuses) or tree(out) not in trees or len(list(folder.iterdir())) > 1:
        raise SystemExit(f"{statuses}, {sorted(folder.iterdir())}")
    return Counter(whole=builders)


def on_a_small_disk(folder: Path) -> Counter[str]:
    """A file that is cut while it is written, for the disk takes no more."""
    out = folder / "site"
    swapped(out, OLD)

    def work() -> int:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        swapped(out, {**NEW, "picture.png": bytes(4000)})
        return CAME_THROUGH

    if forked(work) != REFUSED or len(list(folder.iterdir())) > 1:
        raise SystemExit("a file that did not fit is published, or left behind")
    return Counter([judged(out, OLD, NEW)])


def with_workers(folder: Path) -> Counter[str]:
    """A build of two manuals by two workers, killed when both work."""
    write_tree(folder / "book", TWO_MANUALS)
    adopt_orphans = 36  # prctl(2), PR_SET_CHILD_SUBREAPER
    ctypes.CDLL(None).prctl(adopt_orphans, 1, 0, 0, 0)
    build = os.fork()
    if build == 0:
        publish.build(folder / "book", folder / "site", workers=2)
        os._exit(0)
    children = Path(f"/proc/{build}/task/{build}/children")
    while len(children.read_text("ascii").split()) < 2:
        time.sleep(0.01)
    os.kill(build, signal.SIGKILL)
    until, left = time.monotonic() + 20, True
    while left and time.monotonic() < until:
        try:
            os.waitpid(-1, os.WNOHANG)
            time.sleep(0.01)
        except ChildProcessError:
            left = False
    return Counter(ended=int(not left))


def main(how: str, folder: Path, rounds: int, seed: int) -> None:
    """Tries one way of being stopped in an empty folder and prints what became of the target."""
    if how == "kill":
        found = at_every_act(folder, dies)
    elif how == "kill-renames":
        swap._exchanged = lambda one, other: False
        found = at_every_act(folder, dies)
    elif how == "random":
        found = at_random(folder, rounds, seed)
    elif how == "workers":
        found = with_workers(folder)
    elif how == "crowd":
        found = in_a_crowd(folder, 6)
    elif how == "small-disk":
        found = on_a_small_disk(folder)
    else:
        found = at_every_act(folder, fails(getattr(errno, how)))
    sys.stdout.write(json.dumps(found))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), *map(int, sys.argv[3:5] or (0, 0)))
