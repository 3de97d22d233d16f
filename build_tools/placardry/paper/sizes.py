"""The faces that a card can be printed on: millimetres, type sizes, margins."""

from __future__ import annotations

import pkgutil
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache


@dataclass(frozen=True, kw_only=True, slots=True)
class Face:
    """One size of card.

    Units: `width`, `height`, `margin` and `binding` in millimetres, the rest in points.

    Attributes:
        margin: kept clear on every side
        binding: kept clear on the left instead, with marks for two holes
        body: the largest and the smallest size of running words
        columns: how many columns its pieces may fill
        brief: too small for the sentence that defers to the makers' documents
    """

    width: int
    height: int
    margin: int
    body: tuple[int, int]
    title: int
    heading: int
    footer: int
    columns: int = 1
    binding: int | None = None
    brief: bool = False


@cache
def faces() -> Mapping[str, Face]:
    """Every face by the name that a card's `size` gives."""
    data = pkgutil.get_data("placardry.paper", "sizes.toml") or b""
    return {
        name: Face(**{**table, "body": tuple(table["body"])})
        for name, table in tomllib.loads(data.decode()).items()
    }
