"""What was published elsewhere, as running text that knows where each part of it stands.

Captions (WebVTT of the W3C, SubRip), web pages, plain text, Markdown, PDF. A sentence that runs
over several cues is read as one. Knows nothing of figures.
"""

from __future__ import annotations

import html
import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser

from placardry.errors import PlacardryError


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part of a text begins: a line of its file, and a time code or page if it has one."""

    line: int
    label: str = ""


@dataclass(frozen=True, slots=True)
class Running:
    """A text with the places of its parts, each with the offset from which it holds."""

    path: str
    text: str
    marks: tuple[tuple[int, Place], ...]

    def place(self, offset: int) -> Place:
        """Where the sign at `offset` stands in the file."""
        at = bisect_right(self.marks, offset, key=lambda mark: mark[0])
        return self.marks[max(at - 1, 0)][1] if self.marks else Place(1)


Parts = Iterator[tuple[Place, str]]


def read(path: str, data: bytes) -> Running:
    """The running text of a file, by what the end of its name says that it is.

    Raises:
        PlacardryError: the bytes are no text of that kind.
    """
    end = path.rpartition(".")[2].lower()
    if end == "pdf":
        parts = _pdf(path, data)
    elif end in ("vtt", "srt"):
        parts = _captions(_decoded(path, data))
    elif end in ("html", "htm", "xhtml"):
        parts = _page(_decoded(path, data))
    elif end in ("md", "markdown"):
        parts = ((place, _EMPHASIS.sub("", line)) for place, line in _lines(_decoded(path, data)))
    else:
        parts = _lines(_decoded(path, data))
    out, marks, length = [], [], 0
    for place, text in parts:
        marks.append((length, place))
        out.append(text)
        length += len(text)
    return Running(path, "".join(out), tuple(marks))


_EMPHASIS = re.compile(r"\*\*|__|[*`]")


def _decoded(path: str, data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    if b"\0" in data:
        raise PlacardryError(f"`{path}` is no text; name captions, a page, a text or a PDF")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def _lines(text: str) -> Parts:
    for number, line in enumerate(text.splitlines(), start=1):
        yield Place(number), line + "\n"


_TIMING = re.compile(r"\s*((?:\d+:)?\d{1,2}:\d{2}[.,]\d{3})\s+-->\s")
_TAG = re.compile(r"<[^<>]*>|\{\\[^{}]*\}")


def _captions(text: str) -> Parts:
    """The words of each cue; a line that rolls up into the next cue is given once."""
    time, last = "", ""
    for number, line in enumerate(text.splitlines(), start=1):
        if timing := _TIMING.match(line):
            time = timing[1].replace(",", ".")
        elif not line.strip():
            time = ""
        elif time:
            words = " ".join(html.unescape(_TAG.sub("", line)).split())
            if words and words != last:
                yield Place(number, time), words + " "
                last = words


_HIDDEN = frozenset({"script", "style", "template", "noscript"})
_RUNNING = (
    "a abbr b bdi bdo cite code data em i kbd mark q s samp small span strong sub sup time u var"
    " wbr font"
)
_INLINE = frozenset(_RUNNING.split())


class _PageReader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.parts: list[tuple[Place, str]] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.hidden += tag in _HIDDEN
        self._break(tag)

    def handle_endtag(self, tag: str) -> None:
        self.hidden = max(self.hidden - (tag in _HIDDEN), 0)
        self._break(tag)

    def handle_data(self, data: str) -> None:
        if self.hidden:
            return
        line = self.getpos()[0]
        for offset, text in enumerate(data.splitlines(keepends=True)):
            self.parts.append((Place(line + offset), text))

    def _break(self, tag: str) -> None:
        if tag not in _INLINE:  # the cells of a row belong together
            mark = " " if tag in ("td", "th") else "\n\n"
            self.parts.append((Place(self.getpos()[0]), mark))


def _page(text: str) -> Parts:
    reader = _PageReader()
    reader.feed(text)
    reader.close()
    yield from reader.parts


def _pdf(path: str, data: bytes) -> Parts:
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as fault:
        raise PlacardryError(f"`{path}` cannot be read as a PDF: {fault}") from None
    with document:
        for number in range(len(document)):
            words = document[number].get_textpage().get_text_bounded()
            for line, text in enumerate(words.splitlines(), start=1):
                # A line with a capital begins a row or a sentence; else the last one goes on.
                start = "\n" if text[:1].isupper() else ""
                yield Place(line, f"page {number + 1}"), f"{start}{text}\n"
            yield Place(1, f"page {number + 1}"), "\n"
