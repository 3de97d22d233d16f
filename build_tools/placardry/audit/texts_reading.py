"""What was published elsewhere, as running text that knows where each part of it stands.

Captions (WebVTT of the W3C, SubRip), web pages, plain text, Markdown, PDF. A sentence that runs
over several cues is read as one; a cell of a table knows what heads its column and row.
"""

from __future__ import annotations

import html
import re
from bisect import bisect_right
from dataclasses import dataclass

from placardry.audit.texts_tables import Parts, Place, Table, page
from placardry.errors import Malformed


@dataclass(frozen=True, slots=True)
class Running:
    """A text with the places of its parts, each with the offset from which it holds.

    Attributes:
        lines: the lines of the file; none where it is no text
        language: the one that the file says it is in; empty if it does not
        broken: the lines on which the timing of a cue cannot be read
    """

    path: str
    text: str
    marks: tuple[tuple[int, Place], ...]
    lines: tuple[str, ...] = ()
    language: str = ""
    broken: tuple[int, ...] = ()

    def place(self, offset: int) -> Place:
        """Where the sign at `offset` stands in the file."""
        return self._mark(offset)[1]

    def columns(self, offset: int, words: str) -> tuple[int, int]:
        """Where words that stand at `offset` do so in their line, or as many as it holds."""
        since, place = self._mark(offset)
        if not self.lines:
            return offset - since + 1, offset - since + 1 + len(words)
        text = self.lines[place.line - 1] if place.line <= len(self.lines) else ""
        for end in (len(words), *(gap.start() for gap in reversed(list(_GAP.finditer(words))))):
            said = re.compile(rf"(?<!\w)(?<!\d[.,]){re.escape(words[:end])}(?!\w)")
            # plain text stands there as it was read; of other files the place is sought
            if found := said.match(text, offset - since) or said.search(text):
                return found.start() + 1, found.end() + 1
        return 1, 2

    def _mark(self, offset: int) -> tuple[int, Place]:
        at = bisect_right(self.marks, offset, key=lambda mark: mark[0])
        return self.marks[max(at - 1, 0)] if self.marks else (0, Place(1))


_GAP = re.compile(r"\s+")
_LANGUAGE = re.compile(r"""<html[^<>]*\blang=["']?([a-z]{2})\b|^Language: *([a-z]{2})\b""", re.M)


def read(path: str, data: bytes) -> Running:
    """The running text of a file, by what the end of its name says that it is, or else its start.

    Raises:
        Malformed: the bytes are no text of that kind, or hold none.
    """
    end = path.rpartition(".")[2].lower()
    if end == "pdf" or data.startswith(b"%PDF-"):
        return _running(path, _pdf(path, data), what="text, at most pictures of it")
    text = _decoded(path, data)
    said = _LANGUAGE.search(text[:4000])
    lines, language = tuple(text.splitlines()), (said[1] or said[2]) if said else ""
    timed = any(map(_TIMING.match, lines[:8]))
    if end in ("vtt", "srt") or timed:
        broken: list[int] = []
        parts: Parts = iter(list(_captions(text, broken)))
        return _running(path, parts, lines, language, tuple(broken), "cue with words")
    if end in ("html", "htm", "xhtml") or text.lstrip().startswith("<"):
        parts = page(text)
    elif end in ("md", "markdown"):
        parts = _markdown(text)
    else:
        parts = _lines(text)
    return _running(path, parts, lines, language)


def _running(
    path: str,
    parts: Parts,
    lines: tuple[str, ...] = (),
    language: str = "",
    broken: tuple[int, ...] = (),
    what: str = "text",
) -> Running:
    out, marks, length = [], [], 0
    for place, text in parts:
        marks.append((length, place))
        out.append(text)
        length += len(text)
    if not any(text.strip() for text in out):
        raise Malformed(f"`{path}` holds no {what}", _NAME_A_TEXT)
    return Running(path, "".join(out), tuple(marks), lines, language, broken)


_NAME_A_TEXT = "name captions (`.vtt`, `.srt`), a page (`.html`), a text or a PDF with text in it"


def _decoded(path: str, data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    if b"\0" in data:
        raise Malformed(f"`{path}` is no text", _NAME_A_TEXT)
    text = data.decode("utf-8-sig", "replace")
    bad = text.count("\ufffd")
    if bad and bad > sum(sign > "\x7f" for sign in text) - bad:
        return data.decode("cp1252", "replace")  # as older programs save captions
    return text


_HEADING = re.compile(r"\s*[^\W\d_][^\d.!?,;]{0,50}:?\s*")


def _lines(text: str) -> Parts:
    """The lines of a text; a short one without a figure, behind an empty one, is a heading."""
    topic, above = "", ""
    for number, line in enumerate(text.splitlines(), start=1):
        if not above.strip() and _HEADING.fullmatch(line):
            topic = line.strip()
        yield Place(number, topic=topic), line + "\n"
        above = line


_TIMING = re.compile(r"\s*((?:\d+:)?\d{1,2}:\d{2}[.,]\d{3})\s+-->\s")
_TAG = re.compile(r"<[^<>]*>|\{\\[^{}]*\}")
_HYPHEN = re.compile(r"(?<=[^\W\d_])-$")


def _captions(text: str, broken: list[int]) -> Parts:
    """The words of each cue; a line that rolls up into the next cue is given once."""
    time, last = "", ""
    for number, line in enumerate(text.splitlines(), start=1):
        if timing := _TIMING.match(line):
            time = timing[1].replace(",", ".")
        elif "-->" in line:
            time = line.partition("-->")[0].strip() or "?"
            broken.append(number)
        elif not line.strip():
            time = ""
        elif time:
            words = " ".join(html.unescape(_TAG.sub("", line)).split())
            if words and words != last:
                yield Place(number, time), words + ("" if _HYPHEN.search(words) else " ")
                last = words


_EMPHASIS = re.compile(r"\*\*|__|[*`]")
_ROW = re.compile(r"\s*\|(.*)\|\s*$")
_RULE = re.compile(r"[\s|:-]+$")


def _markdown(text: str) -> Parts:
    topic, table = "", Table()
    for number, line in enumerate(text.splitlines(), start=1):
        if row := _ROW.match(line):
            if not _RULE.match(line):
                table.row()
                for cell in row[1].split("|"):
                    table.cell(is_head=False)
                    table.add(number, _EMPHASIS.sub("", cell.strip()))
            continue
        yield from table.parts(topic)
        table = Table()
        if line.startswith("#"):
            topic = line.strip("# ")
        bullet = re.match(r"\s*[*+-] ", line)
        said = _EMPHASIS.sub("", line[bullet.end() :] if bullet else line)
        yield Place(number, topic=topic), f"\n\n{said}\n" if bullet else f"{said}\n"
    yield from table.parts(topic)


def _pdf(path: str, data: bytes) -> Parts:
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as fault:
        raise Malformed(f"`{path}` cannot be read as a PDF: {fault}", _NAME_A_TEXT) from None
    with document:
        for number in range(len(document)):
            label = f"page {number + 1}"
            lines = document[number].get_textpage().get_text_bounded().splitlines()
            usual = sorted(map(len, lines))[len(lines) * 4 // 5] if lines else 0
            for at, line in enumerate(lines):
                ends = at + 1 == len(lines) or not _goes_on(line, lines[at + 1], usual)
                yield Place(at + 1, label), line.rstrip() + ("\n\n" if ends else " ")


def _goes_on(line: str, following: str, usual: int) -> bool:
    """Whether a line of a PDF goes on in the next: it is as long as most, or breaks a sentence."""
    if not following.strip() or line.rstrip().endswith((".", "!", "?", ":")):
        return False
    return following[:1].islower() or len(line) >= 0.8 * usual
