"""What others need for the same bytes: `python -m tests.bench.yardsticks events FOLDER`."""

from __future__ import annotations

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


def main(name: str, folder: str) -> None:
    """Reads every YAML file below `folder` in the way called `name`."""
    read: Callable[[bytes], None] = {"load": load, "events": events}[name]
    for path in sorted(Path(folder).rglob("*.yaml")):
        read(path.read_bytes())


if __name__ == "__main__":
    main(*sys.argv[1:])
