"""The documents that a manual cites: what registers and the page of sources say of each."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from placardry.audit.told import SOURCE, Told, on_line, tell

Key = tuple[str, str]  # manual and id of the document
Row = Mapping[str, str]
FIELDS = ("title", "issuer", "edition", "dated")
_MEND = "build the manual again; sources are changed in the book alone"


@dataclass(frozen=True, slots=True)
class Cited:
    """What one file says of documents; `is_told` if it lists them, not only cites them."""

    path: str
    data: bytes
    rows: Mapping[Key, Row]
    is_told: bool = True

    def line(self, key: Key) -> int:
        """The line on which a document stands; 1 where it cannot be told."""
        if self.path.endswith(".html"):
            mark = f'<td id="{re.escape(key[1])}"'
        else:
            mark = f'"manual": "{re.escape(key[0])}",\\s*"id": "{re.escape(key[1])}",\\s*"title"'
        text = self.data.decode("utf-8", "replace")
        found = re.search(mark, text)
        return text.count("\n", 0, found.start()) + 1 if found else 1


def from_json(path: str, data: bytes) -> Cited:
    """The documents of a `register.json`."""
    rows = json.loads(data).get("documents", ())
    said = {(row["manual"], row["id"]): {name: _text(row[name]) for name in FIELDS} for row in rows}
    return Cited(path, data, said)


def from_page(path: str, data: bytes, manual: str) -> Cited:
    """The documents of a page of sources."""
    from selectolax.lexbor import LexborHTMLParser

    said = {}
    for row in LexborHTMLParser(data.decode("utf-8", "replace")).css("tr"):
        cells = row.css("td")
        id = cells[0].attributes.get("id") if cells else None
        if id and len(cells) >= len(FIELDS):
            texts = (_text(cell.text()) for cell in cells)
            said[manual, id] = dict(zip(FIELDS, texts, strict=False))
    return Cited(path, data, said)


def from_figures(path: str, rows: Mapping[tuple[str, str], Row]) -> Cited:
    """What the figures of a register say most of each document that they cite."""
    found: dict[Key, dict[str, Counter[str]]] = {}
    for (manual, _), row in rows.items():
        if row.get("document"):
            own = found.setdefault((manual, row["document"]), {})
            for name in FIELDS:
                if row.get(name):
                    own.setdefault(name, Counter())[row[name]] += 1
    said = {
        key: {name: counted.most_common(1)[0][0] for name, counted in own.items()}
        for key, own in found.items()
    }
    return Cited(path, b"", said, is_told=False)


def _text(value: str) -> str:
    return " ".join(value.split())


def agreed(all_cited: Iterable[Cited]) -> tuple[Mapping[Key, Row], tuple[Told, ...]]:
    """What most files say of each document, and which lists say otherwise."""
    cited = tuple(all_cited)
    told: list[Told] = []
    found: dict[Key, dict[str, str]] = {}
    for key in sorted({key for one in cited for key in one.rows}):
        said = [(one, one.rows[key]) for one in cited if key in one.rows]
        for name in FIELDS:
            values = [(one, row[name]) for one, row in said if name in row]
            counted = Counter(value for _, value in values).most_common()
            if not counted:
                continue
            right = counted[0][0]
            found.setdefault(key, {})[name] = right
            is_open = len(counted) > 1 and counted[0][1] == counted[1][1]
            told += _odd(key, name, values, right, is_open=is_open)
    return found, tuple(told)


def _odd(
    key: Key, name: str, values: list[tuple[Cited, str]], right: str, *, is_open: bool
) -> Iterator[Told]:
    for one, value in values:
        if value != right and one.is_told:
            line = one.line(key)
            others = "; nothing tells which is right" if is_open else ""
            beside = ", ".join(other.path for other, said in values if said == right)
            message = f"this file gives `{value}` as the {name} of `{key[1]}` ({key[0]})"
            message += f"; `{right}` stands in {beside}{others}"
            span = on_line(one.path, line)
            yield tell(SOURCE, span, message, _MEND, "", value, right)
