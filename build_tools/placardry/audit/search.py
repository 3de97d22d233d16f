"""The search index against the sections of the pages that it leads to."""

from __future__ import annotations

import html
import json
import posixpath
import re
from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING

from placardry.audit.told import MALFORMED, SEARCH, Told, tell
from placardry.finding import Span
from placardry.recognise import quantities

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

_TAG = re.compile(r"<[^<>]*>")
_HEADING = re.compile(r"h[1-6]")
_UNREAD = frozenset(["script", "style", "template"])


Section = tuple[str, str]  # heading and text


def judged(start: str, files: Mapping[str, bytes], unsound: Collection[str] = ()) -> Iterator[Told]:
    """What is wrong with the index of a manual, which lies there as JSON and as a script.

    What two of the three (both files and the page) say is taken for true.

    Args:
        start: the folder of the manual as it begins a path
        files: those of the manual, by path in it
        unsound: pages of which it was told already that they are not as they were built
    """
    read: dict[str, dict[str, Section]] = {}
    pages: dict[str, dict[str, Section]] = {}
    language = "en"
    for name in (f"{_NAME}.json", f"{_NAME}.js"):
        if name not in files:
            continue
        try:
            text = files[name].decode()
            whole = json.loads(text[text.index("{") : text.rindex("}") + 1])
            rows = {row["location"]: (row["title"], row["text"]) for row in whole["docs"]}
            language = str(whole["config"]["lang"][0])
        except (KeyError, TypeError, ValueError, IndexError) as fault:
            message = f"the search index cannot be read: {fault}"
            yield tell(MALFORMED, Span(start + name), message, _MEND)
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
        for name, other in _odd(said, there, page).items():
            line = _line(files.get(name, b""), location, name)
            span = Span(start + name, line, 1, line, 1)
            mine = there if name == page else said[name]
            yield _told(span, location, mine, other, language)


_NAME = "search/search_index"
_MEND = "build the manual again"


def _odd(
    said: Mapping[str, Section], there: Section | None, page: str
) -> dict[str, Section | None]:
    """Which of the files stand alone with what they say, and what the rest say."""
    squeezed = {name: _squeezed(" ".join(one)) for name, one in said.items()}
    own = None if there is None else _squeezed(" ".join(there))
    if len(squeezed) > 1 and len(set(squeezed.values())) == 1 and own not in squeezed.values():
        return {page: next(iter(said.values()))} if there is not None else dict.fromkeys(said)
    return {name: there for name, one in squeezed.items() if one != own}


def _line(data: bytes, location: str, name: str) -> int:
    mark = f'id="{location.partition("#")[2]}"' if name.endswith(".html") else json.dumps(location)
    at = data.find(mark.encode())
    return data.count(b"\n", 0, max(at, 0)) + 1


def _told(
    span: Span, location: str, said: Section | None, other: Section | None, language: str
) -> Told:
    if said is None or other is None:
        message = f"the search index leads to `{location}`, which is not there"
        return tell(SEARCH, span, message, _MEND, "", location)
    mine, theirs = (html.unescape(_TAG.sub(" ", " ".join(one))) for one in (said, other))
    known = {one.figure for one in quantities(theirs, language)}
    stray = [one.text for one in quantities(mine, language) if one.figure not in known]
    what = f"`{stray[0]}`" if stray else "words"
    message = f"`{location}` has {what} here, which the search index or the page has not"
    found = stray[0] if stray else " ".join(mine.split())
    return tell(SEARCH, span, message, _MEND, "", found, " ".join(theirs.split()))


def _squeezed(text: str) -> str:
    """A text without tags and without any white space, which an index places as it likes."""
    return "".join(html.unescape(_TAG.sub("", text)).split())


def sections(data: bytes) -> dict[str, Section]:
    """The sections of a page by the anchor of their heading: heading and text.

    The first section has the anchor `""`.
    """
    from selectolax.lexbor import LexborHTMLParser

    article = LexborHTMLParser(data.decode("utf-8", "replace")).css_first("article")
    found: dict[str, list[list[str]]] = {"": [[], []]}
    if article is not None:
        _gather(article, found, [""])
    return {anchor: ("".join(head), "".join(text)) for anchor, (head, text) in found.items()}


def _gather(node: LexborNode, found: dict[str, list[list[str]]], here: list[str]) -> None:
    child = node.child
    while child is not None:
        tag = child.tag or ""
        if tag == "-text":
            found[here[0]][1].append(html.escape(child.text_content or ""))
        elif _HEADING.fullmatch(tag) and child.attributes.get("id"):
            if found[""][0] or tag != "h1":
                here[0] = child.attributes["id"] or ""
            found.setdefault(here[0], [[], []])[0].append(html.escape(child.text()))
        elif tag not in _UNREAD:
            _gather(child, found, here)
        child = child.next
