"""A build as it would go on another machine: `python -m tests.publishing.elsewhere BOOK OUT SEED`.

The file system lists folders in another order, new files get other permissions, and it is another
day. Prints as JSON in how many folders the order was another, and how many processes did the work.
"""

from __future__ import annotations

import datetime
import json
import os
import random
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from placardry import publish
from tests.books import files

MANUALS = """\
markets: {us: {name: America, units: [degF, psi], rules: Ask your authority.}}
manuals: {tern-us: {machine: tern, market: us, language: en}}
"""
BOOK = files(more=MANUALS)


SEEN = {"disordered": 0, "processes": 0}


def _disordered(names: list[Any], chance: random.Random) -> list[Any]:
    mixed = chance.sample(names, len(names))
    SEEN["disordered"] += mixed != names
    return mixed


class _Later(datetime.datetime):
    """The clock of a day long after today."""

    @classmethod
    def now(cls, tz: datetime.tzinfo | None = None) -> _Later:
        return cls.fromtimestamp(time.time(), tz)


class _Shuffled:
    """What `os.scandir` gives, in a disorder of its own."""

    def __init__(self, entries: Any, chance: random.Random) -> None:
        with entries:
            names = sorted(entries, key=lambda one: one.name)
        self.entries: Iterator[Any] = iter(_disordered(names, chance))

    def __iter__(self) -> Iterator[Any]:
        return self.entries

    def __next__(self) -> Any:
        return next(self.entries)

    def close(self) -> None:
        """Nothing is open any more."""

    def __enter__(self) -> _Shuffled:
        return self

    def __exit__(self, *_: object) -> None:
        return None


def main(book: Path, out: Path, seed: int) -> None:
    """Builds with one worker or two, as the seed is even or odd, and as many years from now."""
    clock = time.time
    time.time = lambda: clock() + seed * 366 * 86400
    datetime.datetime = _Later  # type: ignore[misc]
    chance = random.Random(seed)  # noqa: S311 - the same order at each run
    scandir, listdir = os.scandir, os.listdir
    shuffle: Any = lambda path=".": _Shuffled(scandir(path), chance)  # noqa: E731
    os.scandir = shuffle
    mixed: Any = lambda path=".": _disordered(sorted(listdir(path)), chance)  # noqa: E731
    os.listdir = mixed
    os.umask(0o077 if seed % 2 else 0o002)
    start = publish.processes

    def counted(workers: int) -> Any:
        SEEN["processes"] = max(SEEN["processes"], workers)
        return start(workers)

    publish.processes = counted
    _, findings = publish.build(book, out, workers=1 + seed % 2)
    sys.stdout.write(json.dumps(SEEN))
    sys.exit(1 if findings else 0)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))
