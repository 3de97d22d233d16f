"""The figures that a page holds as data, for its script to compute with.

Whatever in JSON names a `figure` states its exact value and unit beside it, which must be those of
its row in the register. The due calculator holds every interval of the manual, each once, where it
belongs.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from placardry.audit.register import Entry, Register
from placardry.audit.told import MALFORMED, UNKNOWN, WRONG, Told, on_line, tell
from placardry.finding import Span

_DATA = re.compile(r'<script type="application/json"[^>]*>(.*?)</script>', re.DOTALL)
DUE = "due.html"
_SERIES = {
    ("hours",): "hours",
    ("calendar",): "calendar",
    ("severe", "hours"): "severe",
    ("severe", "calendar"): "severe-calendar",
}
_SINGLE = ("life", "tolerance")
REBUILD = "build the manual again; change figures in the book alone"


def judged(path: str, data: bytes, register: Register, folder: str) -> tuple[int, list[Told]]:
    """How many figures a page holds as data, and what is wrong with them."""
    text = data.decode("utf-8", "replace")
    told: list[Told] = []
    count = 0
    is_whole = True
    places: list[tuple[str, Any]] = []
    at = 1
    for found in _DATA.finditer(text):
        start = text.count("\n", 0, found.start(1)) + 1
        try:
            whole = json.loads(found[1])
            rows = list(_rows(whole))
        except ValueError as fault:
            is_whole = False
            message = f"the data of the page cannot be read: {fault}"
            told.append(tell(MALFORMED, _at(path, start), message, "build again"))
            continue
        for row in rows:
            anchor = str(row["figure"])
            line = start + found[1].count("\n", 0, max(found[1].find(json.dumps(anchor)), 0))
            told += _judged(_at(path, line), anchor, row, register, folder)
        count += len(rows)
        if not places and (places := list(_places(whole))):
            at = start
    if is_whole and path.rpartition("/")[2] == DUE:
        told += _misplaced(_at(path, at), places, register.of(folder))
    return count, told


def held(text: str) -> Iterator[Any]:
    """What a page holds as JSON, one script after the other.

    Raises:
        ValueError: it is no JSON.
    """
    return (json.loads(found[1]) for found in _DATA.finditer(text))


def tasks_in(whole: Any) -> list[Any]:
    """The tasks in the data of the due calculator."""
    return _listed(_in(whole, "tasks"))


def _rows(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if "figure" in value:
            yield value
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from _rows(one)


def _places(whole: Any) -> Iterator[tuple[str, Any]]:
    """The identity that belongs in each place of each task, and what stands there."""
    for task in tasks_in(whole):
        name = _in(task, "id")
        for keys, part in _SERIES.items():
            series = task
            for key in keys:
                series = _in(series, key)
            yield f"{name}.{part}", _in(series, "every")
            for number, point in enumerate(_listed(_in(series, "points")), 1):
                yield f"{name}.{part}-{number}", point
        for part in _SINGLE:
            yield f"{name}.{part}", _in(task, part)


def _in(value: Any, key: str) -> Any:
    return value.get(key) if isinstance(value, dict) else None


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _misplaced(
    span: Span, places: list[tuple[str, Any]], entries: Mapping[str, Entry]
) -> Iterator[Told]:
    """Where another figure stands than belongs there, or none, or one twice."""
    filled = [(anchor, row) for anchor, row in places if row is not None]
    for anchor, row in filled:
        found = _in(row, "figure")
        if found == anchor or (isinstance(found, str) and found not in entries):
            continue  # one that the register does not have is told of already
        said = f"{found or 'no figure'} {_in(row, 'exact')} {_in(row, 'unit')}"
        message = f"the data of the page computes with {said} where `{anchor}` belongs"
        yield tell(WRONG, span, message, REBUILD, anchor, said, _exact(entries.get(anchor)))
    times = Counter(anchor for anchor, _ in filled)
    for anchor, entry in entries.items():
        if entry.type == "interval" and times[anchor] != 1:
            said = f"{times[anchor]} times" if times[anchor] else "nothing"
            has = f"has `{anchor}` {said}" if times[anchor] else f"lacks `{anchor}`"
            message = f"the data of the page {has}, which stands once: {_exact(entry)}"
            yield tell(WRONG, span, message, REBUILD, anchor, said, _exact(entry))


def _exact(entry: Entry | None) -> str:
    return " to ".join(f"{one} {entry.unit}" for one in entry.exact.values()) if entry else ""


def _judged(
    span: Span, anchor: str, row: dict[str, Any], register: Register, folder: str
) -> Iterator[Told]:
    said = f"{row.get('exact')} {row.get('unit')}"
    entry = register.of(folder).get(anchor)
    if entry is None:
        message = f"the data of the page names `{anchor}`, which the register does not have"
        yield tell(UNKNOWN, span, message, REBUILD, anchor, said)
        return
    try:
        value = Fraction(str(row.get("exact")))
    except (ValueError, ZeroDivisionError):
        value = None
    if entry.unit != row.get("unit") or {value} != set(entry.exact.values()):
        expected = _exact(entry)
        message = f"the data of the page computes with {said} as `{anchor}`, which is {expected}"
        yield tell(WRONG, span, message, REBUILD, anchor, said, expected)


def _at(path: str, line: int) -> Span:
    return on_line(path, line)
