"""A published register against the entries that the book gives today."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from placardry.audit.copies import Copy
from placardry.audit.copies_reading import from_json
from placardry.audit.told import BOOK, MALFORMED, Told, on_line, tell
from placardry.finding import Span

Entries = Mapping[str, Iterable[Mapping[str, Any]]]
"""The entries of each manual, in the shape of `figures` in `register.json`."""

_LEFT_OUT = frozenset(["used_in"])  # only a build knows where a figure ends up


def differences(files: Mapping[str, bytes], entries: Entries) -> Iterator[Told]:
    """What the registers among the files say otherwise than the book."""
    book = {
        key: row
        for rows in entries.values()
        for key, row in from_json("", json.dumps({"figures": list(rows)}).encode()).rows.items()
    }
    paths = [path for path in files if path.endswith("register.json") and path.count("/") <= 1]
    for path in sorted(paths):
        try:
            published = from_json(path, files[path])
        except (AttributeError, KeyError, TypeError, ValueError):
            continue  # told where the register is read
        manuals = {manual for manual, _ in published.rows}
        for manual in sorted(manuals - set(entries)):
            message = f"the book has no manual `{manual}`"
            yield tell(MALFORMED, Span(path), message, "build again, or name another book")
        known = {key: row for key, row in book.items() if key[0] in manuals}
        yield from _compared(published, known)


def _compared(published: Copy, book: Mapping[tuple[str, str], Mapping[str, str]]) -> Iterator[Told]:
    for key in sorted(published.rows.keys() | book.keys()):
        here, there = published.rows.get(key), book.get(key)
        if there is None and not any(one[0] == key[0] for one in book):
            continue
        names = [
            name
            for name in sorted((here or {}).keys() | (there or {}).keys())
            if name not in _LEFT_OUT and (here or {}).get(name) != (there or {}).get(name)
        ]
        if not names:
            continue
        line = published.line(key)
        found = "; ".join((here or {}).get(name, "") for name in names) if here else ""
        expected = "; ".join((there or {}).get(name, "") for name in names) if there else ""
        says = f"`{key[1]}` ({key[0]}) is of another book: {', '.join(names)} differ"
        if here is None or there is None:
            says = (
                f"`{key[1]}` ({key[0]}) stands only in the {'book' if here is None else 'output'}"
            )
        span = on_line(published.path, line)
        yield tell(BOOK, span, says, "build the manual again", key[1], found, expected)
