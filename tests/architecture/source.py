"""The package's modules as the architecture tests read them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "build_tools" / "placardry"


@dataclass(frozen=True)
class Module:
    """One file: its name below the package ("book.limits"), its text, its tree."""

    name: str
    text: str
    tree: ast.Module

    @property
    def floor(self) -> str:
        """The module or folder directly below the package that it belongs to."""
        return self.name.split(".", 1)[0]

    @property
    def lines(self) -> int:
        """How many lines the file has."""
        return len(self.text.splitlines())


@cache
def modules() -> tuple[Module, ...]:
    """All modules of the package, in order of their names."""
    return tuple(sorted(_read(), key=lambda module: module.name))


def _read() -> Iterator[Module]:
    for path in PACKAGE.rglob("*.py"):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" and parts[:-1] else parts)
        text = path.read_text(encoding="utf-8")
        yield Module(name, text, ast.parse(text))
