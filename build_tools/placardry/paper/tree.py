"""Markdown as a tree of plain values that a template walks.

The parser is the one of the pages; its elements become a small closed set of nodes, and whatever
else there might be is printed as its words.

Shape of a block: `k` its kind, and
    heading    `level`, `id`, `c`
    para       `look` ("", "expect", "note", …), `c`; `leads` up to a list or a table
    bullets, numbers   `items`, each a list of blocks; `start`
    table      `head`, `rows`: cells of `c` and `id`; `aligns`
    hazard     `signal`, `word`, `c` (blocks)
    box        `word`, `c` (blocks);  quote  `c` (blocks);  code  `t`;  rule
Shape of a run, of which `c` is a list: `t`, and `b` bold, `i` italic, `m` code, `href`, `br`,
`lang` of words in another language; or a picture: `src`, `alt`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Any
from xml.etree.ElementTree import Element

from placardry.pages.tree import element_tree

Node = dict[str, Any]

HEADINGS = {f"h{level}": level for level in range(1, 7)}
SIGNALS = ("danger", "warning", "caution", "notice")
STYLES = {"strong": "b", "b": "b", "em": "i", "i": "i", "code": "m"}


def read(markdown: str) -> list[Node]:
    """The blocks of a page; a paragraph that leads up to a list or a table says so."""
    blocks = list(_blocks(_children(element_tree(markdown))))
    for one, after in pairwise(blocks):
        if one["k"] == "para" and after["k"] in ("table", "bullets", "numbers"):
            one["leads"] = True
    return blocks


def _children(element: Element) -> Iterator[Element | str]:
    """What stands in an element, words and elements in their order."""
    if element.text:
        yield str(element.text)
    for child in element:
        yield child
        if child.tail:
            yield str(child.tail)


def _blocks(children: Iterable[Element | str]) -> Iterator[Node]:
    """The blocks among children; loose words between them become a paragraph."""
    loose: list[Element | str] = []
    for child in children:
        block = None if isinstance(child, str) else _block(child)
        if block is None:
            loose.append(child)
            continue
        yield from _paragraph(loose)
        loose = []
        yield block
    yield from _paragraph(loose)


def _paragraph(children: Iterable[Element | str], look: str = "", id: str = "") -> Iterator[Node]:
    runs = list(_trimmed(_runs(children, {})))
    if runs or id:
        yield {"k": "para", "look": look, "id": id, "c": runs}


def _block(element: Element) -> Node | None:
    """An element as a block; None for one that stands in a line."""
    tag, id = str(element.tag), element.get("id", "")
    if tag in HEADINGS:
        runs = list(_trimmed(_runs(_children(element), {})))
        return {"k": "heading", "level": HEADINGS[tag], "id": id, "c": runs}
    if tag == "p":
        empty = {"k": "para", "look": "", "id": "", "c": []}
        return next(_paragraph(_children(element), element.get("class", ""), id), empty)
    if tag in ("ul", "ol"):
        items = [list(_blocks(_children(item))) for item in element]
        kind = "bullets" if tag == "ul" else "numbers"
        return {"k": kind, "start": int(element.get("start", "1")), "items": items}
    if tag == "table":
        return _table(element)
    if tag == "blockquote":
        return {"k": "quote", "c": list(_blocks(_children(element)))}
    if tag == "pre":
        return {"k": "code", "t": "".join(element.itertext()).strip("\n")}
    if tag == "hr":
        return {"k": "rule"}
    return _division(element) if tag == "div" else None


def _division(element: Element) -> Node:
    """A safety message, which is an admonition named by a signal word; any other is a box."""
    looks = element.get("class", "").split()
    title = element.find("p[@class='admonition-title']")
    inside = list(_blocks(child for child in _children(element) if child is not title))
    # The alert symbol is drawn.
    word = "" if title is None else "".join(title.itertext()).lstrip("\u26a0\ufe0f ")
    signal = next((name for name in looks if name in SIGNALS), None)
    if signal is None:
        return {"k": "box", "word": word, "c": inside}
    return {"k": "hazard", "signal": signal, "word": word, "c": inside}


def _table(element: Element) -> Node:
    head, *rows = [[_cell(cell) for cell in row] for row in element.iter("tr")]
    first = next(element.iter("tr"))
    aligns = [cell.get("style", "").partition("text-align: ")[2].strip(";") for cell in first]
    return {"k": "table", "head": head, "rows": rows, "aligns": aligns}


def _cell(element: Element) -> Node:
    return {"id": element.get("id", ""), "c": list(_trimmed(_runs(_children(element), {})))}


def _runs(children: Iterable[Element | str], style: Mapping[str, Any]) -> Iterator[Node]:
    """Words with their styles, flat; white space as HTML reads it."""
    for child in children:
        if isinstance(child, str):
            yield {**style, "t": re.sub(r"[ \t\r\n]+", " ", child)}
        elif child.tag == "br":
            yield {**style, "t": "", "br": True}
        elif child.tag == "img":
            yield {**style, "t": "", "src": child.get("src", ""), "alt": child.get("alt", "")}
        elif child.tag in STYLES:
            own = {"lang": said_in} if (said_in := child.get("lang")) else {}
            yield from _runs(_children(child), {**style, STYLES[str(child.tag)]: True, **own})
        elif child.tag == "a":
            yield from _runs(_children(child), {**style, "href": child.get("href", "")})
        else:
            yield from _runs(_children(child), style)


def _trimmed(runs: Iterable[Node]) -> Iterator[Node]:
    """The runs without empty ones, and without white space at either end."""
    kept = [run for run in runs if run["t"] or len(run) > 1]
    while kept and kept[0].keys() == {"t"} and kept[0]["t"] == " ":
        kept.pop(0)
    while kept and kept[-1].keys() == {"t"} and kept[-1]["t"] == " ":
        kept.pop()
    for at, run in enumerate(kept):
        text = run["t"].lstrip(" ") if at == 0 else run["t"]
        yield {**run, "t": text.rstrip(" ") if at == len(kept) - 1 else text}
