"""The tables of words, one file a language."""

from __future__ import annotations

import pkgutil
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from placardry.wording import LANGUAGES

_SLOT = re.compile(r"\{([a-z]+)\}")


@dataclass(frozen=True)
class Words:
    """The words of one language by `table.key`."""

    language: str
    table: Mapping[str, str]

    def __getitem__(self, key: str) -> str:
        return self.table[key]

    def get(self, key: str) -> str | None:
        """The words under a key, or None."""
        return self.table.get(key)

    def pieces(self, key: str) -> Iterator[tuple[str, bool]]:
        """The words of a key cut at its slots: (text, False) or (slot's name, True)."""
        for at, piece in enumerate(_SLOT.split(self.table[key])):
            if piece:
                yield piece, at % 2 == 1


@cache
def words(language: str) -> Words:
    """The words of a language, by its primary subtag.

    Raises:
        KeyError: there is no table for the language.
    """
    primary = language.partition("-")[0].lower()
    if primary not in LANGUAGES:
        raise KeyError(language)
    data = pkgutil.get_data("placardry.wording", f"{primary}.toml") or b""
    tables = tomllib.loads(data.decode())
    flat = {
        f"{table}.{key}": said for table, below in tables.items() for key, said in below.items()
    }
    return Words(primary, flat)
