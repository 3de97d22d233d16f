"""Rules on titles and headings."""

from __future__ import annotations

import re
from collections.abc import Iterator

from placardry.book.controls import Control, Panel
from placardry.book.figures import Parameter
from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.book.machines import Airframe, Engine, Machine, Market, Option
from placardry.book.pages import Passage
from placardry.book.record import FIGURE_KINDS
from placardry.finding import Family, Severity
from placardry.links import follow_text
from placardry.references import references
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.texts import Written

_TITLES = ("title", "heading", "symptom")
# Whose names are titles too. Those of figures and of positions stand in running text alone.
_NAMED = (
    *(Airframe, Alarm, Control, Engine, Instrument, Machine),
    *(Market, Option, Panel, Parameter, Setting),
)
_HEADING = re.compile(r"^ {0,3}#{1,6} .*", re.MULTILINE)


@rule(Severity.ERROR, Family.PROSE)
def figure_in_title(subject: Subject) -> Iterator[Problem]:
    """A title, a heading or a name that serves as one holds a figure.

    A title is repeated as plain words: in lists of contents, in the search, on the tab of a window.
    There a figure has no link, no condition and no choice of units, and nobody can tell where it
    comes from. What is below the title says the figure.

    Source: common practice, no source.

    Bad:
        content/heat.md
            # Heat

            ## Above {coolant.red}

            Land.
    Good:
        content/heat.md
            # Heat

            ## Too hot

            Land if the coolant reaches {coolant.red}.
    """
    figures = {key for manual in subject.views for key in subject.figures[manual.id]}
    for text in subject.texts:
        if "{" not in text.text:
            continue
        for start, end in _titles(text):
            for reference in references(text.text[start:end]):
                link = follow_text(reference, subject.book.records)
                if link is None or link.kind not in FIGURE_KINDS or link.nested is not None:
                    continue
                if (link.id, link.part or "") not in figures:
                    continue
                span = text.span(start + reference.start, start + reference.end)
                message = f"the figure `{reference}` stands in a {_called(text)}"
                mend = f"write the {_called(text)} without it, and `{reference}` in a text below"
                yield Problem(span, message, mend)


def _titles(text: Written) -> Iterator[tuple[int, int]]:
    """The stretches of a text that are a title or a heading."""
    holder, key = text.leaf.holder, text.leaf.path[-1]
    if key in _TITLES or (key == "name" and isinstance(holder, _NAMED)):
        yield 0, len(text.text)
    elif isinstance(holder, Passage) and text.is_markdown and not holder.quotation:
        yield from (match.span() for match in _HEADING.finditer(text.text))


def _called(text: Written) -> str:
    return "heading" if text.is_markdown else str(text.leaf.path[-1])
