"""A page in the making: its path, its chapter, and the packaged template that lays it out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any

from placardry.book.sources import Edition
from placardry.pages.inline import Inline, Markdown, escaped
from placardry.pages.places import Places
from placardry.resolve import Manual
from placardry.wording.phrases import Speaker, spoken

if TYPE_CHECKING:
    from jinja2 import Environment

# The chapters in the order of a manual; each has its word in the tables of words.
# Source: mandatory limits stand in a section of their own, 14 CFR 27 Appendix A27.4.
CHAPTERS = (
    "introduction",
    "limits",
    "emergency",
    "operation",
    "machine",
    "set-up",
    "maintenance",
    "reference",
)


# Tables that keep every column: an author's own, and those of the register, which are alike.
AS_THEY_ARE = ("prose", "register")


@dataclass(frozen=True, slots=True)
class PageFile:
    """One page of a manual, written in Markdown.

    Attributes:
        path: its path in the manual's folder of pages
        title: its title as plain words; the same as its first heading
        chapter: one of `CHAPTERS`
    """

    path: str
    title: str
    chapter: str
    markdown: str


@dataclass(frozen=True)
class Writing:
    """One manual being written.

    Attributes:
        editions: the issued editions of the book, oldest first
        issued: the edition in which the manual's content was issued; None for a draft
        printed: for each figure's anchor the printed files that show it
    """

    speaker: Speaker
    places: Places
    editions: tuple[Edition, ...] = ()
    issued: Edition | None = None
    printed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def manual(self) -> Manual:
        """The manual."""
        return self.speaker.manual

    def inline(self, path: str) -> Inline:
        """Writes text for the page of this path."""
        return Inline(self.speaker, self.places, path)

    def word(self, key: str) -> str:
        """Words of our own, plain."""
        return self.speaker.words[key]

    def said(self, text: str) -> str:
        """An author's text as plain words."""
        return spoken(self.speaker.text(text))

    def page(self, path: str, title: str, chapter: str, template: str, **data: Any) -> PageFile:
        """A page laid out by a packaged template; `title` is plain words."""
        write = data.pop("write", None) or self.inline(path)
        template_ = _environment().get_template(f"{template}.md.j2")
        text = template_.render(title=title, write=write, manual=self.manual, **data)
        text = re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"
        if template not in AS_THEY_ARE:
            text = _TABLE.sub(_without_empty_columns, text)
        return PageFile(path, title, chapter, text)


@cache
def _environment() -> Environment:
    """The templates of this package. Whatever is no Markdown yet is escaped by `finalize`."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("placardry.pages"),
        undefined=StrictUndefined,
        autoescape=False,  # noqa: S701 -- the output is Markdown; `finalize` escapes for it
        finalize=finalized,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["cells"] = cells
    return environment


def finalized(value: object) -> str:
    """What a template may print: Markdown as it is, all else escaped; nothing for None."""
    if isinstance(value, Markdown):
        return value
    return "" if value is None else escaped(str(value))


EMPTY = "–"


def cells(row: tuple[Markdown, ...]) -> Markdown:
    """A row of a table; an empty cell holds a dash, for a reader of the page aloud."""
    return Markdown(f"| {' | '.join(cell or EMPTY for cell in row)} |")


# The line of headings, the line below it, and the rows.
_TABLE = re.compile(r"^\|.*\| *\n\|(?: --- \|)+ *\n(?:\|.*\| *\n)+", re.MULTILINE)


def _without_empty_columns(table: re.Match[str]) -> str:
    """One of our tables without the columns that hold nothing but dashes; the first one stays."""
    lines = [line.strip()[2:-2].split(" | ") for line in table[0].splitlines()]
    columns = [list(column) for column in zip(*lines, strict=True)]
    kept = [one for at, one in enumerate(columns) if at == 0 or set(one[2:]) != {EMPTY}]
    return "".join(f"| {' | '.join(row)} |\n" for row in zip(*kept, strict=True))


def identified(cell: Markdown, anchor: str) -> Markdown:
    """A heading or a cell of a table that links can lead to."""
    return Markdown(f"{cell} {{: #{anchor} }}")


# In Markdown, and in the HTML of a strip.
_REGISTER_LINK = re.compile(
    r"(?:\]\((?:[^()\s]*/)?register\.md|href=\"(?:[^\"]*/)?register\.html)#([a-z0-9.-]+)"
)


def figures_on(page: PageFile) -> Iterator[str]:
    """The anchors of the figures that a page prints, in order, as its links say."""
    return (match[1] for match in _REGISTER_LINK.finditer(page.markdown))
