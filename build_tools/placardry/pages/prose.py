"""The pages of prose that the publisher wrote, in their chapters."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterable, Iterator, Mapping

from placardry.book.pages import Page, Passage
from placardry.pages.inline import Inline, Markdown
from placardry.pages.page import PageFile, Writing
from placardry.pages.places import guide_path
from placardry.pages.steps import hazard

_PICTURE = re.compile(r"!\[[^\]]*\]\(\s*<?([^)\s>]+)")


def pages(writing: Writing) -> Iterator[PageFile]:
    """The pages in their order; a page of which nothing applies is left out."""
    found = writing.manual.of(Page).values()
    for page in sorted(found, key=lambda page: (page.order, page.path)):
        path = guide_path(page)
        write = writing.inline(path)
        passages = [_passage(write, passage) for passage in page.passages]
        if passages:
            title = writing.said(page.title)
            yield writing.page(path, title, page.chapter, "prose", passages=passages)


def _passage(write: Inline, passage: Passage) -> Markdown:
    if passage.hazard is not None:
        return hazard(write, passage.hazard)
    if passage.quotation:
        return quoted(write, passage.markdown)
    return write.prose(passage.markdown)


def quoted(write: Inline, words: str) -> Markdown:
    """Somebody's own words, line by line as they stand."""
    lines = [f"> {write.text(line)}" for line in words.splitlines()]
    return Markdown("  \n".join(lines))


def pictures(pages: Iterable[PageFile], files: Mapping[str, bytes]) -> Mapping[str, bytes]:
    """The pictures that the pages show, from the book's files, by their path among the pages."""
    found: dict[str, bytes] = {}
    for page in pages:
        for match in _PICTURE.finditer(page.markdown):
            path = posixpath.normpath(posixpath.join(posixpath.dirname(page.path), match[1]))
            data = files.get("content/" + path.removeprefix("guide/"))
            if path.startswith("guide/") and data is not None:
                found[path] = data
    return dict(sorted(found.items()))
