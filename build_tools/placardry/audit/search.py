"""The search index against the sections of the pages that it leads to."""

from __future__ import annotations

import html
import json
import posixpath
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from placardry.audit.claims import Piece
from placardry.audit.differing import differing
from placardry.audit.told import MALFORMED, SEARCH, Told, line_at, on_line, tell
from placardry.finding import Span

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

_TAG = re.compile(r"<[^<>]*>")
_HEADING = re.compile(r"h[1-6]")
_UNREAD = frozenset(["script", "style", "template"])


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with the text below it; of a page, `pieces` say where its figures lead."""

    text: str
    pieces: tuple[Piece, ...] = ()

    @property
    def squeezed(self) -> str:
        """The text without any white space, which an index places as it likes."""
        return "".join(self.text.split())


Counts = Mapping[str, int]


def judged(
    start: str, files: Mapping[str, bytes], unsound: Collection[str] = ()
) -> tuple[list[Told], tuple[Counts, Counts]]:
    """What is wrong with the index of a manual, which lies there as JSON and as a script.

    What two of the three (both files and the page) say is taken for true. Counted are the files
    of the index and the figures in them.

    Args:
        start: the folder of the manual as it begins a path
        files: those of the manual, by path in it
        unsound: pages of which it was told already that they are not as they were built
    """
    told: list[Told] = []
    figures = 0
    read: dict[str, dict[str, Section]] = {}
    pages: dict[str, dict[str, Section]] = {}
    language = "en"
    for name in (f"{_NAME}.json", f"{_NAME}.js"):
        if name not in files:
            continue
        try:
            whole = json.loads(_WRITTEN.sub("", files[name].decode()))
            rows = {row["location"]: _indexed(row["title"], row["text"]) for row in whole["docs"]}
            language = str(whole["config"]["lang"][0])
        except (KeyError, TypeError, ValueError, IndexError) as fault:
            message = f"the search index cannot be read: {fault}"
            told.append(tell(MALFORMED, Span(start + name), message, _MEND))
            continue
        read[name] = rows
    for location in sorted({one for rows in read.values() for one in rows}):
        page, _, anchor = location.partition("#")
        page = posixpath.join(page, "index.html") if page.endswith("/") or not page else page
        if page in unsound:
            continue
        if page not in pages:
            pages[page] = sections(files[page]) if page in files else {}
        said = {name: rows[location] for name, rows in read.items() if location in rows}
        there = pages[page].get(anchor)
        held = there.pieces if there else ()
        figures += len(said) * sum(bool(piece.figure) for piece in held)
        for name, (mine, other) in _odd(said, there, page).items():
            line = _line(files.get(name, b""), location, name)
            span = on_line(start + name, line)
            told.append(_told(span, location, mine, other, held, language))
    told += _left_out(start, read, pages)
    return told, ({_KIND: len(read)}, {_KIND: figures})


_NAME = "search/search_index"
_WRITTEN = re.compile(r"\Avar __index = (?=\{)")  # before the script's copy; nothing behind it
_KIND = "search indexes"
_MEND = "build the manual again"
Sides = tuple[Section, Section | None]


def _indexed(title: str, text: str) -> Section:
    return Section(html.unescape(_TAG.sub(" ", f"{title} {text}")))


def _odd(said: Mapping[str, Section], there: Section | None, page: str) -> dict[str, Sides]:
    """Which of the files stand alone with what they say, each with what the rest say."""
    squeezed = {one.squeezed for one in said.values()}
    if len(said) > 1 and len(squeezed) == 1 and there and there.squeezed not in squeezed:
        return {page: (there, next(iter(said.values())))}
    right = there.squeezed if there else None
    sound = next((one for one in said.values() if one.squeezed == right), there)
    return {name: (one, sound) for name, one in said.items() if one.squeezed != right}


def _left_out(
    start: str,
    read: Mapping[str, Mapping[str, Section]],
    pages: Mapping[str, Mapping[str, Section]],
) -> Iterator[Told]:
    """The sections with figures of indexed pages that a file of the index does not have."""
    for page, own in pages.items():
        for anchor, section in own.items():
            if not any(piece.figure for piece in section.pieces):
                continue
            names = {f"{one}#{anchor}" if anchor else one for one in (page, _short(page))}
            lacking = [name for name, rows in read.items() if names.isdisjoint(rows)]
            if lacking:
                location = f"{page}#{anchor}" if anchor else page
                message = f"the search index does not have `{location}`, where figures stand"
                yield tell(SEARCH, Span(start + lacking[0]), message, _MEND, "", "", location)


def _short(page: str) -> str:
    """The address of a page as an index may give it: that of its folder."""
    return page.removesuffix("index.html")


def _line(data: bytes, location: str, name: str) -> int:
    mark = f'id="{location.partition("#")[2]}"' if name.endswith(".html") else json.dumps(location)
    at = data.find(mark.encode())
    return line_at(data, at)


def _told(
    span: Span,
    location: str,
    mine: Section,
    other: Section | None,
    figures: tuple[Piece, ...],
    language: str,
) -> Told:
    if other is None:
        message = f"the search index leads to `{location}`, which is not there"
        return tell(SEARCH, span, message, _MEND, "", location)
    words = differing(mine.text, other.text, language)
    message = f"`{location}` has `{words.found}` here, where the search index or the page has "
    message += f"`{words.expected}`"
    figure = _figure(figures, words.start, words.end)
    return tell(SEARCH, span, message, _MEND, figure, words.found, words.expected)


_NEAR = 12
_NEAR_AFTER = 60


def _figure(pieces: tuple[Piece, ...], start: int, end: int) -> str:
    """The figure in a changed place, close behind it, or else before it.

    `start` and `end` count signs that are no white space.
    """
    at, before = 0, ""
    for piece in pieces:
        begin, at = at, at + len("".join(piece.text.split()))
        if not piece.figure:
            continue
        if begin >= end + _NEAR:
            break
        if at > start:
            return piece.figure
        before = piece.figure if start - at < _NEAR_AFTER else ""
    return before


@dataclass(slots=True)
class _Gathered:
    head: list[Piece] = field(default_factory=list)
    text: list[Piece] = field(default_factory=list)

    @property
    def section(self) -> Section:
        pieces = (*self.head, Piece(" "), *self.text)
        return Section("".join(piece.text for piece in pieces), pieces)


def sections(data: bytes) -> dict[str, Section]:
    """The sections of a page by the anchor of their heading; the first one has the anchor `""`."""
    from selectolax.lexbor import LexborHTMLParser

    article = LexborHTMLParser(data.decode("utf-8", "replace")).css_first("article")
    found = {"": _Gathered()}
    if article is not None:
        _gather(article, found, [""], "")
    return {anchor: one.section for anchor, one in found.items()}


def _gather(node: LexborNode, found: dict[str, _Gathered], here: list[str], target: str) -> None:
    child = node.child
    while child is not None:
        tag = child.tag or ""
        if tag == "-text":
            found[here[0]].text.append(Piece(child.text_content or "", target))
        elif _HEADING.fullmatch(tag) and child.attributes.get("id"):
            if found[""].head or tag != "h1":
                here[0] = child.attributes["id"] or ""
            found.setdefault(here[0], _Gathered()).head.append(Piece(child.text()))
        elif tag not in _UNREAD:
            leads = child.attributes.get("href") or "" if tag == "a" else target
            _gather(child, found, here, leads)
        child = child.next
