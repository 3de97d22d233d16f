"""The figures that a page holds as data, for its script to compute with.

Whatever in JSON names a `figure` states its exact value and unit beside it, which must be those of
its row in the register.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from placardry.audit.register import Register
from placardry.audit.told import MALFORMED, UNKNOWN, WRONG, Told, tell
from placardry.finding import Span

_DATA = re.compile(r'<script type="application/json"[^>]*>(.*?)</script>', re.DOTALL)
_REBUILD = "build the manual again; change figures in the book alone"


def judged(path: str, data: bytes, register: Register, folder: str) -> tuple[int, list[Told]]:
    """How many figures a page holds as data, and what is wrong with them."""
    text = data.decode("utf-8", "replace")
    told: list[Told] = []
    count = 0
    for found in _DATA.finditer(text):
        start = text.count("\n", 0, found.start(1)) + 1
        try:
            rows = list(_rows(json.loads(found[1])))
        except ValueError as fault:
            message = f"the data of the page cannot be read: {fault}"
            told.append(tell(MALFORMED, _at(path, start), message, "build again"))
            continue
        for row in rows:
            anchor = str(row["figure"])
            line = start + found[1].count("\n", 0, max(found[1].find(json.dumps(anchor)), 0))
            told += _judged(_at(path, line), anchor, row, register, folder)
        count += len(rows)
    return count, told


def _rows(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if "figure" in value:
            yield value
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from _rows(one)


def _judged(
    span: Span, anchor: str, row: dict[str, Any], register: Register, folder: str
) -> Iterator[Told]:
    said = f"{row.get('exact')} {row.get('unit')}"
    entry = register.of(folder).get(anchor)
    if entry is None:
        message = f"the data of the page names `{anchor}`, which the register does not have"
        yield tell(UNKNOWN, span, message, _REBUILD, anchor, said)
        return
    try:
        value = Fraction(str(row.get("exact")))
    except (ValueError, ZeroDivisionError):
        value = None
    if entry.unit != row.get("unit") or {value} != set(entry.exact.values()):
        expected = " to ".join(f"{one} {entry.unit}" for one in entry.exact.values())
        message = f"the data of the page computes with {said} as `{anchor}`, which is {expected}"
        yield tell(WRONG, span, message, _REBUILD, anchor, said, expected)


def _at(path: str, line: int) -> Span:
    return Span(path, line, 1, line, 1)
