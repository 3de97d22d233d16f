"""The list of editions in the copies of `editions.json`, against the pages of editions."""

from __future__ import annotations

import html
import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import fields

from placardry.audit.claims import plain
from placardry.audit.past import History, Issue
from placardry.audit.told import PAST, Told, line_at, on_line, tell

Files = Mapping[str, bytes]
MEND = "build the manual again; what was issued is never edited"


def agreed(
    files: Files, copies: tuple[History, ...], folders: Iterable[str]
) -> tuple[dict[int, Issue], list[Told]]:
    """The editions as most copies and the pages of editions tell them, and which copies differ."""
    paths = (f"{folder}/editions.html" if folder else "editions.html" for folder in folders)
    pages = [plain(_TAG.sub(" ", files.get(one, b"").decode("utf-8", "replace"))) for one in paths]
    told: list[Told] = []
    found: dict[int, Issue] = {}
    for number in sorted({number for one in copies for number in one.editions}):
        given = [(one.path, one.editions.get(number)) for one in copies]
        counted = Counter(one for _, one in given)
        right = max(counted, key=lambda one: (_backed(one, pages), counted[one]))
        if right is not None:
            found[number] = right
        for path, one in given:
            if one != right:
                said, expected = _difference(one, right)
                what = f"edition {number} with `{said}`"
                told.append(odd(files, path, what, said, expected, ""))
    return found, told


_TAG = re.compile(r"<[^<>]*>")


def _backed(issue: Issue | None, pages: list[str]) -> int:
    """How much of what is said of an edition stands on the pages of editions."""
    if issue is None:
        return 0
    said = [html.escape(text, quote=False) for text in (issue.dated, *issue.summaries)]
    return sum(bool(text) and plain(text) in page for text in said for page in pages)


def _difference(one: Issue | None, other: Issue | None) -> tuple[str, str]:
    if one is None or other is None:
        return ("", other.dated) if other else (one.dated if one else "", "")
    name = next(
        field.name
        for field in fields(Issue)
        if getattr(one, field.name) != getattr(other, field.name)
    )
    found, expected = getattr(one, name), getattr(other, name)
    if isinstance(found, tuple):
        return " / ".join(found), " / ".join(expected)
    return str(found), str(expected)


def odd(files: Files, path: str, what: str, found: str, expected: str, figure: str) -> Told:
    """What a copy says otherwise than what else speaks of it."""
    line = _line(files[path], figure or found)
    message = f"this file gives {what}; what else speaks of it gives `{expected or 'nothing'}`"
    return tell(PAST, on_line(path, line), message, MEND, figure, found, expected)


def _line(data: bytes, words: str) -> int:
    id, _, part = words.partition(".")
    marks = (f'"id": {json.dumps(id)}, "part": {json.dumps(part or None)}', words)
    at = max(data.find(one.encode()) for one in marks)
    return line_at(data, at)
