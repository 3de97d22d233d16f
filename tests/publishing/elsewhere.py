"""A build as it would go on another machine: `python -m tests.publishing.elsewhere BOOK OUT SEED`.

The file system lists folders in another order, and new files get other permissions.
"""

from __future__ import annotations

import os
import random
import sys
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


class _Shuffled:
    """What `os.scandir` gives, in a disorder of its own."""

    def __init__(self, entries: Any, chance: random.Random) -> None:
        with entries:
            names = sorted(entries, key=lambda one: one.name)
        self.entries: Iterator[Any] = iter(chance.sample(names, len(names)))

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
    """Builds with one worker or two, as the seed is even or odd."""
    chance = random.Random(seed)  # noqa: S311 - the same order at each run
    scandir, listdir = os.scandir, os.listdir
    shuffle: Any = lambda path=".": _Shuffled(scandir(path), chance)  # noqa: E731
    os.scandir = shuffle
    mixed: Any = lambda path=".": chance.sample(names := listdir(path), len(names))  # noqa: E731
    os.listdir = mixed
    os.umask(0o077 if seed % 2 else 0o002)
    _, findings = publish.build(book, out, workers=1 + seed % 2)
    sys.exit(1 if findings else 0)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))
