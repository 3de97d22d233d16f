"""The edition and the book that registers, manifests and pages name, against each other."""

from __future__ import annotations

import html
import json
import posixpath
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from placardry.audit.former import marks
from placardry.audit.register import Register
from placardry.audit.told import MIXED, Told, tell
from placardry.finding import Span

Mark = tuple[int | str, str] | None  # number and day; None of a draft
_MEND = "build the manual again"
_DATA = ("register.json", "manifest.json")


def judged(
    files: Mapping[str, bytes], registers: Mapping[str, Register]
) -> tuple[Mapping[str, Register], list[Told]]:
    """The registers with the edition that most of their folder names, and what names another."""
    told: list[Told] = []
    sound: dict[str, Register] = {}
    for folder, register in registers.items():
        said = dict(_data(files, folder))
        pages = _footers(files, folder)
        usual = Counter(pages.values()).most_common(1)[0][0] if pages else None
        votes = [mark for _, mark in said.values()]
        if usual is not None:
            votes += [_mark(usual)] * min(len(pages), len(said) + 1)
        right = _most(votes or [register.mark], register)
        number, dated = right or (None, "")
        sound[folder] = replace(register, edition=number, dated=dated)
        told += _strays(said, right)
        if usual is not None and _mark(usual) != right:
            path = next(path for path, text in pages.items() if text == usual)
            message = f"the pages are of “{usual}”, the register is of {_state(right)}"
            told.append(tell(MIXED, Span(path), message, _MEND, "", usual, _state(right)))
        for path, text in pages.items():
            if text != usual:
                message = f"this page is of “{text}”, the pages beside it of “{usual}”"
                told.append(tell(MIXED, Span(path), message, _MEND, "", text, usual or ""))
    return sound, [*told, *_books(files, registers)]


def _data(files: Mapping[str, bytes], folder: str) -> Iterator[tuple[str, tuple[str, Mark]]]:
    """What register and manifest of a folder say: their book and edition."""
    for name in _DATA:
        path = posixpath.join(folder, name)
        try:
            whole: dict[str, Any] = json.loads(files.get(path, b""))
            edition = whole["edition"]
            mark = None if edition is None else (edition["number"], edition["dated"])
            yield path, (whole["book"], mark)
        except (KeyError, TypeError, ValueError):
            continue  # told where the file is read


def _most(votes: list[Mark], register: Register) -> Mark:
    """What most name; of as many, what can be: the latest edition, or a draft."""
    counted = Counter(votes)
    most = max(counted.values())
    latest = register.history.latest
    can_be = (latest.mark if latest else None, None)
    return min(
        (mark for mark, count in counted.items() if count == most),
        key=lambda mark: can_be.index(mark) if mark in can_be else len(can_be),
    )


def _strays(said: Mapping[str, tuple[str, Mark]], right: Mark) -> Iterator[Told]:
    for path, (_, mark) in said.items():
        if mark != right:
            message = f"this file is of {_state(mark)}; the files beside it are of {_state(right)}"
            yield tell(MIXED, Span(path), message, _MEND, "", _state(mark), _state(right))


def _books(files: Mapping[str, bytes], folders: Iterable[str]) -> Iterator[Told]:
    """Data files of another book than most of them."""
    said = {path: book for one in folders for path, (book, _) in _data(files, one)}
    usual = Counter(said.values()).most_common(1)[0][0] if said else ""
    for path, book in said.items():
        if book != usual:
            message = f"this file is of the book `{book}`, the files beside it of `{usual}`"
            yield tell(MIXED, Span(path), message, _MEND, "", book, usual)


_FOOTER = re.compile(r"<footer\b.*?</footer>", re.DOTALL)
_NAVIGATION = re.compile(r"<nav\b.*?</nav>|<[^<>]*>", re.DOTALL)
_LINE = re.compile(r"<p>([^<>]*)</p>")


def _footers(files: Mapping[str, bytes], folder: str) -> dict[str, str]:
    """What the pages of a folder say at their foot; of the start page of all, its line."""
    start = f"{folder}/" if folder else ""
    said = {}
    for path, data in files.items():
        if not path.startswith(start) or not path.endswith(".html"):
            continue
        if not folder and "/" in path and f"{path.split('/')[0]}/register.json" in files:
            continue  # of a manual, not of the book
        text = data.decode("utf-8", "replace")
        if found := _FOOTER.search(text):
            said[path] = " ".join(html.unescape(_NAVIGATION.sub(" ", found[0])).split())
        elif not folder and path == "index.html":
            lines = (" ".join(html.unescape(one).split()) for one in _LINE.findall(text))
            said[path] = next((one for one in lines if marks(one)), "")
    return said


def _mark(text: str) -> Mark:
    return next(iter(marks(text)), None)


def _state(mark: Mark) -> str:
    return f"edition {mark[0]} of {mark[1]}" if mark else "a draft"
