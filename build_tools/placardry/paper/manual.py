"""The printed manual: the same pages as the site's, in one tagged PDF.

The page is A5, upright: it reads on a phone without zooming, two of them print on a sheet of A4
as they are, and it goes into the pocket of a harness.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from placardry.finding import Finding
from placardry.pages.page import PageFile
from placardry.pages.places import REGISTER
from placardry.paper.faults import PICTURES, faults
from placardry.paper.inked import Register, inked
from placardry.paper.tree import Node, read
from placardry.paper.typesetter import typeset
from placardry.wording.phrases import Speaker, spoken

SAMPLES = 3  # how many of a column's longest words and cells are measured
NESTING = ("box", "hazard", "quote")
LONGEST = 26  # letters from which the template breaks a word
SHORT_ITEM = 500  # letters below which an item of a list is not parted by the end of a page


def render(
    speaker: Speaker,
    pages: Iterable[PageFile],
    pictures: Mapping[str, bytes],
    *,
    draft: bool,
    state_line: str,
    dated: date | None = None,
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """The manual as a PDF, or None and why it cannot be printed.

    The register is left out: it would be a third of the book, and every figure leads to it.

    Shape: `pictures` are by their path among the pages.
    """
    manual, words = speaker.manual, speaker.words
    pages = tuple(page for page in pages if page.path != REGISTER)
    trees = {page.path: read(page.markdown) for page in pages}
    register = Register.of(manual)
    reading = _Reading(trees, register, pictures)
    chapters: list[dict[str, Any]] = []
    for page in pages:
        if not chapters or chapters[-1]["id"] != page.chapter:
            title = words[f"chapter.{page.chapter}"]
            chapters.append({"id": page.chapter, "title": title, "pages": []})
        chapters[-1]["pages"].append(
            {"path": page.path, "blocks": list(reading.page(page.path, trees[page.path]))}
        )
    said = {
        "title": manual.entry.title or manual.settings.title,
        "machine": manual.machine.name,
        "serials": manual.machine.serials or "",
        "market": manual.market.name,
        "publisher": manual.settings.publisher,
    }
    cover = {name: spoken(speaker.text(text)) for name, text in said.items()}
    data = {
        **cover,
        "name": f"{cover['title']} – {cover['machine']}",
        "safety": inked(speaker.text(manual.settings.safety), register),
        "warning": words["signal.danger"],
        "manual": manual.id,
        "state": state_line,
        "draft": words["paper.draft"] if draft else "",
        "language": words.language,
        "contents": words["paper.contents"],
        "chapters": chapters,
    }
    used = {PICTURES + path: pictures[path] for path in sorted(reading.used)}
    made = typeset("manual.typ", data, dated or manual.settings.dated, used)
    return made.pdf, tuple(faults(made, manual))


class _Reading:
    """Makes the trees of all pages ready for print: links, levels, widths of tables."""

    def __init__(
        self,
        trees: Mapping[str, list[Node]],
        register: Register,
        pictures: Mapping[str, bytes],
    ) -> None:
        self.register = register
        self.pictures = pictures
        self.used: set[str] = set()
        self.labels = {
            *trees,
            *(f"{path}#{id}" for path, blocks in trees.items() for id in _ids(blocks)),
        }

    def page(self, path: str, blocks: Iterable[Node]) -> Iterator[Node]:
        """The blocks of a page; its own headings stand below its chapter's."""
        last = 1
        for block in blocks:
            if block["k"] == "heading":
                # A level is never left out: PDF/UA-1 (ISO 14289-1) 7.4.2.
                last = min(block["level"] + 1, last + 1)
                block = {**block, "level": last}
            yield self._block(block, path)

    def _block(self, block: Node, path: str) -> Node:
        block = dict(block)
        if block.get("id"):
            block["id"] = f"{path}#{block['id']}"
        if block["k"] in NESTING:
            block["c"] = [self._block(one, path) for one in block["c"]]
        elif "c" in block:
            block["c"] = [self._run(run, path) for run in block["c"]]
        if "items" in block:
            block["items"] = [
                {
                    "whole": sum(map(len, _texts(item))) < SHORT_ITEM,
                    "c": [self._block(one, path) for one in item],
                }
                for item in block["items"]
            ]
        if block["k"] == "table":
            block |= self._table(block, path)
        return block

    def _table(self, table: Node, path: str) -> Node:
        rows = [
            [
                {
                    "id": f"{path}#{cell['id']}" if cell["id"] else "",
                    "c": [self._run(run, path) for run in cell["c"]],
                }
                for cell in row
            ]
            for row in (table["head"], *table["rows"])
        ]
        columns = [_samples(column) for column in zip(*rows, strict=False)]
        return {"head": rows[0], "rows": rows[1:], "columns": columns}

    def _run(self, run: Node, path: str) -> Node:
        run = dict(run)
        if "src" in run:
            target = _joined(path, run["src"])
            if target in self.pictures:
                self.used.add(target)
                run["src"] = f"/{PICTURES}{target}"
            else:
                run = {"t": run["alt"], "i": True}
        href = run.pop("href", None)
        if href is None:
            return run
        if re.match(r"[a-z][a-z0-9+.-]*:", href):
            return {**run, "u": href}
        target, _, anchor = href.partition("#")
        target, _, former = target.partition("?")
        target = _joined(path, target) if target else path
        if former:  # a value as it stood in an edition, which is no figure of this manual
            page = re.sub(r"\.md$", ".html", target)
            return {**run, "u": f"{self.register.beside(page)}?{former}#{anchor}"}
        if target == REGISTER and anchor:
            return {**run, "u": self.register.at(anchor), "figure": True}
        full = f"{target}#{anchor}" if anchor else target
        for label in (full, target):
            if label in self.labels:
                return {**run, "to": label}
        return {**run, "u": re.sub(r"\.md(?=#|$)", ".html", full)}


def _joined(path: str, target: str) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(path), target))


def _ids(blocks: Iterable[Node]) -> Iterator[str]:
    """Every anchor on a page."""
    for block in blocks:
        if block.get("id"):
            yield block["id"]
        for item in block.get("items", ()):
            yield from _ids(item)
        if block["k"] in NESTING:
            yield from _ids(block["c"])
        for row in block.get("rows", ()):
            yield from (cell["id"] for cell in row if cell["id"])


def _texts(value: Any) -> Iterator[str]:
    """The words of all runs below."""
    if isinstance(value, dict):
        if isinstance(value.get("t"), str):
            yield value["t"]
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from _texts(one)


def _samples(column: Iterable[Node]) -> Node:
    """What decides the width of a column: its longest words and its longest cells."""
    cells = list(column)
    texts = {"".join(run["t"] for run in cell["c"]) for cell in cells}
    # A figure is never broken.
    words = {run["t"] for cell in cells for run in cell["c"] if run.get("figure")} | {
        word if len(word) < LONGEST else word[: LONGEST // 2]
        for text in texts
        for word in re.split(r"[ \n]+|(?<=[A-Za-z][-/])(?=[A-Za-z])", text)
    }
    return {
        "words": sorted(words, key=lambda word: (-len(word), word))[:SAMPLES],
        "cells": sorted(texts, key=lambda text: (-len(text), text))[:SAMPLES],
    }
