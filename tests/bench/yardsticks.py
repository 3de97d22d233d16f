"""What others need for the same bytes, or a part of our work alone.

`python -m tests.bench.yardsticks events FOLDER`
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from pathlib import Path

import yaml


def load(data: bytes) -> None:
    """Libyaml and PyYAML's own constructor."""
    yaml.load(data, Loader=yaml.CSafeLoader)


def events(data: bytes) -> None:
    """Libyaml's parser alone."""
    for _ in yaml.parse(data, Loader=yaml.CSafeLoader):
        pass


def book(folder: Path) -> None:
    """Our own reading of a book, before it is resolved and judged."""
    gc.disable()  # as `prepared.judge` does
    from placardry.files import read_folder  # the yardsticks of others do not wait for it
    from placardry.loader import load as load_book

    loaded, findings = load_book(read_folder(folder)[0])
    if loaded is None or findings:
        raise SystemExit(f"{len(findings)} findings")


def main(name: str, *folders: str) -> None:
    """Reads every YAML file below `folders` in the way called `name`."""
    if name == "book":
        for folder in folders:
            book(Path(folder))
        return
    read: Callable[[bytes], None] = {"load": load, "events": events}[name]
    for path in (path for folder in folders for path in sorted(Path(folder).rglob("*.yaml"))):
        read(path.read_bytes())


if __name__ == "__main__":
    main(*sys.argv[1:])
