"""The places of published files at which a forger can edit something, by kind of file."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from placardry.recognise import quantities
from tests.audit.edits import BOUNDS, Entries, Spot, anchors_of, condition_of
from tests.audit.pdf_spots import pdf_spots
from tests.audit.removals import taken_out

NO_ANCHOR: frozenset[str] = frozenset()


def spots(path: str, data: bytes, entries: Entries) -> list[Spot]:
    """All that can be edited in a file, or taken out of it."""
    return [*_edited(path, data, entries), *taken_out(path, data, entries)]


def _edited(path: str, data: bytes, entries: Entries) -> list[Spot]:
    """All that can be edited, by the end of the file's name."""
    name, end = path.rpartition("/")[2], path.rpartition(".")[2]
    readers: Mapping[str, Callable[[], Iterator[Spot]]] = {
        "register.json": lambda: _json_spots(data),
        "editions.json": lambda: _history_spots(data, {row["manual"] for row in entries.values()}),
        "manifest.json": lambda: _text_of(data, _DATED, "edition"),
        "register.csv": lambda: _csv_spots(data),
        "search_index.json": lambda: _index_spots(data, entries),
        "search_index.js": lambda: _index_spots(data, entries),
        "sources.html": lambda: _cited_spots(data),
    }
    if name in readers:
        return list(readers[name]())
    if end == "html":
        return list(_page_spots(data, entries))
    if end == "svg":
        return list(_drawing_spots(data))
    return list(pdf_spots(data, entries)) if end == "pdf" else []


def _text_of(data: bytes, mark: re.Pattern[str], kind: str) -> Iterator[Spot]:
    """What a pattern finds in a text, as its group `text`."""
    whole = data.decode()
    for found in mark.finditer(whole):
        anchors = frozenset({found["anchor"]}) if "anchor" in mark.groupindex else NO_ANCHOR
        text = html.unescape(found["text"])
        yield Spot(kind, anchors, text, _put(whole, *found.span("text")))


def _put(whole: str, start: int, end: int) -> Callable[[str], bytes]:
    return lambda new: f"{whole[:start]}{html.escape(new)}{whole[end:]}".encode()


_DATED = re.compile(r'"edition": \{\s*"number": (?P<text>\d+)')
_NAMED = r"(?:Edition|edition|Ausgabe|up to|bis)"
_NUMBER = re.compile(rf"{_NAMED} (?P<text>\d+)(?= (?:of|vom) )")
_DAY = re.compile(rf"(?:{_NAMED} \d+ (?:of|vom)|As of|Stand) (?:<span[^>]*>)?(?P<text>[\d-]+)")
_LINK = re.compile(
    r'<a\b[^>]*href="[^"#?]*register\.html#(?P<anchor>[^"]+)"[^>]*>(?P<text>[^<]*\d[^<]*)</a>'
    r"(?P<after>[^<]*)"
)
_FORMER = re.compile(
    r'<(?:a|s)\b[^>]*data-former="(?P<anchor>[^"]+)"[^>]*>(?P<text>[^<]*\d[^<]*)<'
    r'|<span class="former" data-figure="(?P<now>[^"]+)"[^>]*>(?P<shown>[^<]*\d[^<]*)<'
)
_SOURCE = re.compile(
    r'<td id="(?P<anchor>[^"]+)"><code>(?:(?!</tr>).)*?sources\.html#[^"]*">'
    r"(?P<title>[^<]*)</a>, (?P<place>[^<]*)</td>",
    re.S,
)
_CITED = re.compile(
    r'<td id="[^"]+">(?P<title>[^<]+)</td>\s*<td>(?P<issuer>[^<]+)</td>\s*'
    r"<td>(?P<edition>[^<]+)</td>"
)
_WORD = re.compile(rf"\b({'|'.join(BOUNDS)})\s+$", re.IGNORECASE)


def _page_spots(data: bytes, entries: Entries) -> Iterator[Spot]:
    page = data.decode()
    for found in _LINK.finditer(page):
        anchor, text = frozenset({found["anchor"]}), html.unescape(found["text"])
        yield Spot("figure", anchor, text, _put(page, *found.span("text")))
        yield Spot("link", anchor, text, _put(page, *found.span("anchor")))
        if not text[:1].isspace():  # else it would be the end of what stands before it
            yield Spot("beside", anchor, text, _put(page, found.start(), found.start()))
        word = _WORD.search(page, max(0, found.start() - 30), found.start())
        if word and word[1] in BOUNDS:
            yield Spot("bound", anchor, word[1], _put(page, *word.span(1)))
        condition = condition_of(entries, found["anchor"])
        if condition and (place := found["after"].find(condition)) >= 0:
            start = found.start("after") + place
            end = start + len(condition)
            yield Spot("condition", anchor, condition, _put(page, start, end))
            yield Spot("negated", anchor, condition, _put(page, start, start))
    for found in _FORMER.finditer(page):
        name, text = ("anchor", "text") if found["anchor"] else ("now", "shown")
        said = html.unescape(found[text])
        yield Spot("former", frozenset({found[name]}), said, _put(page, *found.span(text)))
    for found in _SOURCE.finditer(page):
        for name in ("title", "place"):
            anchor = frozenset({found["anchor"]})
            said = html.unescape(found[name])
            yield Spot("source", anchor, said, _put(page, *found.span(name)))
    yield from _text_of(data, _NUMBER, "edition")
    yield from _text_of(data, _DAY, "edition")


def _cited_spots(data: bytes) -> Iterator[Spot]:
    page = data.decode()
    for found in _CITED.finditer(page):
        for name in ("title", "issuer", "edition"):
            said = html.unescape(found[name])
            yield Spot("source", NO_ANCHOR, said, _put(page, *found.span(name)))


def _json_spots(data: bytes) -> Iterator[Spot]:
    whole = json.loads(data)
    for at, row in enumerate(whole["figures"]):
        for kind, keys, text in _leaves(row):
            yield Spot(
                kind, frozenset({_anchor(row)}), text, _in_json(data, ("figures", at, *keys))
            )
    for at, row in enumerate(whole["documents"]):
        for key in ("title", "issuer", "edition"):
            yield Spot("source", NO_ANCHOR, row[key], _in_json(data, ("documents", at, key)))
    yield from _text_of(data, _DATED, "edition")


def _leaves(row: Mapping[str, Any]) -> Iterator[tuple[str, tuple[str, ...], str]]:
    yield "figure", ("written",), row["written"]
    for end in ("low", "high", "value"):
        if end in row["exact"]:
            yield "number", ("exact", end), row["exact"][end]
    for unit, ends in row["published"].items():
        yield "figure", ("shown", unit), row["shown"][unit]
        for end, text in ends.items():
            yield "number", ("published", unit, end), text
        if isinstance(row["margin"][unit], str):
            yield "number", ("margin", unit), row["margin"][unit]
    if row["exceeded"] and any(quantities(row["exceeded"])):
        yield "number", ("exceeded",), row["exceeded"]
    if row["condition"]:
        yield from _of_condition(row["condition"])
    for key in ("document", "edition", "place"):
        if (row["source"] or {}).get(key):
            yield "source", ("source", key), row["source"][key]


def _of_condition(row: Mapping[str, Any]) -> Iterator[tuple[str, tuple[str, ...], str]]:
    yield "condition", ("condition", "text"), row["text"]
    for name, span in row["spans"].items():
        for end in ("low", "high"):
            if span[end]:
                yield "number", ("condition", "spans", name, end), span[end]


def _history_spots(data: bytes, manuals: set[str]) -> Iterator[Spot]:
    """What it tells of editions, and of manuals that lie in the folder."""
    whole = json.loads(data)
    for at, row in enumerate(whole["editions"]):
        for name in ("dated", "seal"):
            yield Spot("edition", NO_ANCHOR, row[name], _in_json(data, ("editions", at, name)))
    for at, row in enumerate(whole["figures"]):
        for unit, text in row["shown"].items() if row["manual"] in manuals else ():
            anchor = frozenset({_anchor(row)})
            make = _in_json(data, ("figures", at, "shown", unit))
            kind = "former number" if 1 in row["editions"] else "number"
            yield Spot(kind, anchor, text, make)
    for at, row in enumerate(whole["cards"]):
        if row["manual"] in manuals:
            yield Spot("edition", NO_ANCHOR, row["code"], _in_json(data, ("cards", at, "code")))


def _in_json(data: bytes, keys: tuple[str | int, ...]) -> Callable[[str], bytes]:
    def make(new: str) -> bytes:
        whole = json.loads(data)
        place = whole
        for key in keys[:-1]:
            place = place[key]
        place[keys[-1]] = new
        return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()

    return make


def _anchor(row: Mapping[str, Any]) -> str:
    return f"{row['id']}.{row['part']}" if row["part"] else str(row["id"])


def _csv_spots(data: bytes) -> Iterator[Spot]:
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    head = rows[0]

    def with_cell(at: int, column: int) -> Callable[[str], bytes]:
        def make(new: str) -> bytes:
            out = io.StringIO()
            made = [list(row) for row in rows]
            made[at][column] = new
            csv.writer(out, lineterminator="\n").writerows(made)
            return out.getvalue().encode()

        return make

    kinds = {"written": "figure", "shown": "figure", "condition": "condition",
             "document": "source", "edition": "source", "place": "source"}  # fmt: skip
    for at, row in enumerate(rows[1:], start=1):
        cells = dict(zip(head, row, strict=True))
        for name, kind in kinds.items():
            if cells[name]:
                anchor = frozenset({_anchor(cells)})
                yield Spot(kind, anchor, cells[name], with_cell(at, head.index(name)))


def _index_spots(data: bytes, entries: Entries) -> Iterator[Spot]:
    start, end = data.index(b"{"), data.rindex(b"}") + 1
    docs = json.loads(data[start:end])["docs"]

    def within(at: int, place: slice) -> Callable[[str], bytes]:
        def make(new: str) -> bytes:
            whole = json.loads(data[start:end])
            text = whole["docs"][at]["text"]
            whole["docs"][at]["text"] = text[: place.start] + new + text[place.stop :]
            dumped = json.dumps(whole, sort_keys=True, separators=(",", ":"))
            return data[:start] + dumped.encode() + data[end:]

        return make

    for at, doc in enumerate(docs):
        for found in quantities(doc["text"]):
            anchors = anchors_of(entries, found.text)
            yield Spot("figure", anchors, found.text, within(at, slice(found.start, found.end)))
            word = _WORD.search(doc["text"], max(0, found.start - 30), found.start)
            if word and word[1] in BOUNDS and anchors:
                yield Spot("bound", anchors, word[1], within(at, slice(*word.span(1))))


def _drawing_spots(data: bytes) -> Iterator[Spot]:
    """A figure in a drawing; where it holds none, one in the place of a number."""
    drawing = data.decode()
    for text in re.finditer(r">([^<>]*\d[^<>]*)<", drawing):
        held = list(quantities(text[1]))
        for found in held:
            start = text.start(1) + found.start
            make = _put(drawing, start, start + len(found.text))
            yield Spot("figure", NO_ANCHOR, found.text, make)
        if not held:
            yield Spot("added", NO_ANCHOR, text[1], _put(drawing, *text.span(1)))
