"""The text of a PDF as it is read: by paragraphs, rows of tables, lines.

A group knows which of its parts lead where. The tags of the page say what belongs together (ISO
14289-1); text without tags goes by lines. Knows nothing of figures.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import reduce

from placardry.audit.pdf_reading import Box, Document, Page, Run
from placardry.audit.pdf_tags import Element


@dataclass(frozen=True, slots=True)
class Link:
    """The part `text[start:end]` of a group, and the address that it leads to."""

    start: int
    end: int
    target: str


@dataclass(frozen=True, slots=True)
class Group:
    """Text of one page (0 for what no page shows) with its links.

    `is_row` if it is of several cells, `is_quoted` if it is tagged as somebody else's words.
    """

    page: int
    text: str
    links: tuple[Link, ...] = ()
    is_row: bool = False
    is_quoted: bool = False


def groups(document: Document) -> Iterator[Group]:
    """All text of the document: of pages, then alternative texts, properties, bookmarks."""
    for page in document.pages:
        for runs in _together(page):
            yield _joined(page.number, runs)
        for element in page.elements:
            if element.alternative:
                yield Group(page.number, element.alternative)
    for text in document.unseen:
        yield Group(0, text)


_INLINE = frozenset({"Span", "Link", "Strong", "Em", "Code", "Quote", "Reference", "Figure"})
_CELL = " | "


def _together(page: Page) -> Iterator[list[Run]]:
    """The runs of each group, in the order in which the groups begin."""
    found: dict[object, list[Run]] = {}
    line = 0
    for run in page.runs:
        if run.element is None:
            key: object = -1 - line
            line += run.text.endswith("\n")
        else:
            key = _holder(run.element).number
        found.setdefault(key, []).append(run)
    yield from _rows(found.values())


def _block(element: Element) -> Element:
    """The nearest tag around that is no part of a line."""
    return next((one for one in element.around() if one.tag not in _INLINE), element)


def _holder(element: Element) -> Element:
    """What is read at once: the row of a table, or else the block."""
    return next((one for one in element.around() if one.tag == "TR"), _block(element))


def _rows(blocks: Iterable[list[Run]]) -> Iterator[list[Run]]:
    """The blocks, but cells of a grid that stand in one row as one."""
    row: list[Run] = []
    first: list[Run] = []
    for runs in blocks:
        if row and not _are_level(first, runs):
            yield row
            row = []
        first = first if row else runs
        row = [*row, *runs]
    if row:
        yield row


def _are_level(one: list[Run], other: list[Run]) -> bool:
    """Whether two blocks are cells of the same grid and level with each other."""
    grids = [_grid(one), _grid(other)]
    if grids[0] is None or grids[0] is not grids[1] or one[0].turn != other[0].turn:
        return False
    return _extent(one).is_beside(_extent(other))


def _grid(runs: list[Run]) -> Element | None:
    """What holds the cell that the runs stand in."""
    block = _block(runs[0].element) if runs[0].element else None
    return block.parent if block and block.tag == "Div" else None


def _extent(runs: list[Run]) -> Box:
    boxes = [run.box for run in runs if run.text.strip()] or [runs[0].box]
    return reduce(Box.joined, boxes)


_SPACE = re.compile(r"[ \t]*[\r\n]+[ \t]*| {2,}|\t")
_HYPHEN = "\ufffe"  # pdfium's sign for a hyphen at the end of a line


def _joined(page: int, runs: list[Run]) -> Group:
    """The runs as one text; a figure that goes on in the next line is led on by one link."""
    text = ""
    links: list[Link] = []
    block = None
    for run in runs:
        own = _block(run.element) if run.element else None
        if text and own is not block:
            text = text.rstrip(" ") + _CELL
        block = own
        words = _SPACE.sub(" ", run.text.replace(_HYPHEN, "-"))
        if text[-1:] in ("", " "):
            words = words.lstrip(" ")
        if run.target and words.strip(" "):
            start = len(text) + len(words) - len(words.lstrip(" "))
            end = start + len(words.strip(" "))
            last = links[-1] if links else None
            if last and last.target == run.target and not text[last.end :].strip(" "):
                start = links.pop().start
            links.append(Link(start, end, run.target))
        text += words
    quoted = [run for run in runs if run.element and _is_quoted(run.element)]
    return Group(page, text.rstrip(" "), tuple(links), _CELL in text, len(quoted) == len(runs))


def _is_quoted(element: Element) -> bool:
    return any(one.tag == "BlockQuote" for one in element.around())
