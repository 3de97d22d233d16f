"""Web pages and tables as running text: each cell with what heads its column and its row."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

from placardry.units import PROSE


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part of a text begins: a line of its file, and a time code or page if it has one.

    Attributes:
        head: what heads the row and the column of a table
        topic: the heading above it
    """

    line: int
    label: str = ""
    head: str = ""
    topic: str = ""


Parts = Iterator[tuple[Place, str]]

_UNIT = re.compile(r"(?:[(\[]([^()\[\]]+)[)\]]|(?:, | in )(\S+))\s*$")
_NUMBERS = re.compile(r"[-−]?[0-9][0-9.,\s±–-]*(?:(?:to|bis) [0-9][0-9.,]*)?")
_LONGEST = 80  # letters of a head; more is a text, as in a table that only makes a layout


@dataclass
class _Cell:
    is_head: bool
    texts: list[tuple[int, str]] = field(default_factory=list)

    @property
    def words(self) -> str:
        return " ".join("".join(text for _, text in self.texts).split())

    @property
    def said(self) -> list[tuple[int, str]]:
        """Its texts without the breaks behind the last."""
        last = max((at for at, (_, text) in enumerate(self.texts) if text.strip()), default=-1)
        return self.texts[: last + 1]


@dataclass
class Table:
    """The cells of a table as they are read, row by row."""

    rows: list[list[_Cell]] = field(default_factory=list)

    def row(self) -> None:
        """Begin a row."""
        self.rows.append([])

    def cell(self, *, is_head: bool) -> None:
        """Begin a cell."""
        if not self.rows:
            self.row()
        self.rows[-1].append(_Cell(is_head))

    def add(self, line: int, text: str) -> None:
        """Add to the last cell what stands on a line of the file."""
        if self.rows and self.rows[-1]:
            self.rows[-1][-1].texts.append((line, text))

    def parts(self, topic: str) -> Parts:
        """The cells as paragraphs; a number takes the unit that stands in its column's head."""
        over: dict[int, str] = {}
        for number, row in enumerate(self.rows):
            heads_columns = _heads_columns(row) and (number == 0 or row[-1].is_head)
            if heads_columns and len(self.rows) > 1:
                over = {at: cell.words for at, cell in enumerate(row)}
            beside = ""
            for at, cell in enumerate(row):
                column = over.get(at, "") if not heads_columns else ""
                head = " ".join(one for one in (beside, column) if len(one) <= _LONGEST)
                for line, text in cell.said:
                    yield Place(line, "", head, topic), text
                line = cell.texts[-1][0] if cell.texts else 1
                yield Place(line, "", head, topic), f"{_unit_for(cell.words, column)}\n\n"
                if not beside and not _has_digit(cell.words):
                    beside = cell.words


def _heads_columns(row: list[_Cell]) -> bool:
    """Whether a row names columns: all its cells are heads, or none of them holds a digit."""
    if all(cell.is_head for cell in row):
        return len(row) > 1
    return len(row) > 1 and not any(_has_digit(cell.words) or cell.is_head for cell in row)


def _has_digit(text: str) -> bool:
    return any(sign.isdigit() for sign in text)


def _unit_for(words: str, column: str) -> str:
    """The unit in the head of a column, for a cell that is a number alone."""
    found = _UNIT.search(column) if _NUMBERS.fullmatch(words) else None
    unit = (found[1] or found[2]).strip() if found else ""
    return f" {unit}" if unit in PROSE else ""


_HIDDEN = frozenset({"script", "style", "template", "noscript"})
_RUNNING = (
    "a abbr b bdi bdo cite code data em i kbd mark q s samp small span strong sub sup time u var"
    " wbr font"
)
_INLINE = frozenset(_RUNNING.split())
_HEADINGS = frozenset(("h1", "h2", "h3", "h4", "h5", "h6", "dt", "caption"))
_BREAK = "\n\n"
_BLANKS = re.compile(r"[ \t\r\f]+")
_SHOWN = ("alt", "title", "aria-label")


class _PageReader(HTMLParser):
    """Gives parts; those of a table when it ends, for its heads come first."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[tuple[Place, str]] = []
        self.tables: list[Table] = []
        self.hidden = 0
        self.topic = ""
        self.heading: list[str] | None = None
        self.last = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.hidden += tag in _HIDDEN
        if tag == "table":
            self.tables.append(Table())
        elif tag == "tr" and self.tables:
            self.tables[-1].row()
        elif tag in ("td", "th") and self.tables:
            self.tables[-1].cell(is_head=tag == "th")
        elif tag in _HEADINGS:
            self.heading = []
        if tag not in _INLINE:
            self._say(_BREAK)
        for name, value in attrs:
            if name in _SHOWN and value:
                self._say(f"\n\n{value}\n\n")

    def handle_endtag(self, tag: str) -> None:
        self.hidden = max(self.hidden - (tag in _HIDDEN), 0)
        if tag == "table" and self.tables:
            self._end_table()
        elif tag in _HEADINGS and self.heading is not None:
            self.topic, self.heading = " ".join("".join(self.heading).split()), None
        if tag not in _INLINE:
            self._say(_BREAK)

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            for offset, text in enumerate(data.split("\n")):
                words = _BLANKS.sub(" ", f" {text}" if offset else text)
                if words.strip(" ") or self.last not in (" ", _BREAK):
                    self._say(words, offset)

    def _say(self, text: str, offset: int = 0) -> None:
        if text == _BREAK and self.last == _BREAK:
            return
        self.last, line = text, self.getpos()[0] + offset
        if self.heading is not None:
            self.heading.append(text)
        if self.tables:
            self.tables[-1].add(line, text)
        else:
            self.parts.append((Place(line, topic=self.topic), text))

    def _end_table(self) -> None:
        parts = list(self.tables.pop().parts(self.topic))
        if self.tables:  # a table in a cell
            for place, text in parts:
                self.tables[-1].add(place.line, text)
        else:
            self.parts += parts


def page(text: str) -> Parts:
    """The text of a web page, also what is shown or said in place of a picture."""
    reader = _PageReader()
    reader.feed(text)
    reader.close()
    while reader.tables:
        reader._end_table()
    yield from reader.parts
