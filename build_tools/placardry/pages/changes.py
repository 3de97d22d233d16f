"""What each edition changed, as the ledger tells it, on the page of editions.

A value there is history, and marked as such: its element says of which figure, manual and edition
(`data-former` …), and so does its address, `register.html?edition=1#coolant.red`, which is all that
paper can carry (docs/editions.md).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from placardry.book.cards import Card
from placardry.book.sources import Edition, FigureChange, said_in
from placardry.changes.state import unit_of
from placardry.errors import Malformed
from placardry.figures import Figure
from placardry.numerals import manner, shown, shown_nominal, shown_range
from placardry.pages.inline import Inline, Markdown, escaped
from placardry.pages.page import Writing, cells, identified
from placardry.pages.places import REGISTER
from placardry.units import COUNTER, PLAIN_COUNT, RATIO, Unit
from placardry.wording.phrases import sentence, title_of
from placardry.wording.words import Words

_NUMBER = r"-?\d+(?:\.\d+)?"
_FORMS = re.compile(
    rf"(?P<one>{_NUMBER})(?: \((?P<low>{_NUMBER}) to (?P<high>{_NUMBER})\)| to (?P<end>{_NUMBER}))?"
)


@dataclass(frozen=True)
class Told:
    """What the page says of one edition.

    Attributes:
        rows: the figures that it changed in this manual, as rows of a table
        cards: the cards whose faces it changed
    """

    edition: Edition
    rows: tuple[Markdown, ...]
    cards: tuple[Markdown, ...]


def told(writing: Writing, write: Inline) -> Iterator[Told]:
    """The editions, newest first, each with what it changed in this manual."""
    manual = writing.manual
    for one in sorted(writing.editions, key=lambda one: -one.number):
        own = [change for change in one.changes if change.manual == manual.id]
        cards = [
            _card(writing, write, card)
            for name, card in one.cards
            if name == manual.id and one.number > 1
        ]
        yield Told(one, tuple(_row(writing, write, one, each) for each in own), tuple(cards))


def _row(writing: Writing, write: Inline, edition: Edition, change: FigureChange) -> Markdown:
    anchor = f"edition-{edition.number}-{change.figure}"
    sides = (
        (change.before, change.held_before, edition.after or 0),
        (change.after, change.held_after, edition.number),
    )
    return cells(
        (
            identified(_name(writing, write, change.figure), anchor),
            *(_value(writing, write, change, side, anchor) for side in sides),
            write.word(f"edition.{change.direction}"),
        )
    )


def _name(writing: Writing, write: Inline, figure: str) -> Markdown:
    """What a figure is of, and its anchor; of one that is gone, the anchor alone."""
    code = Markdown(f"`{figure}`")
    found = _figure(writing, figure)
    if found is None:
        return code
    title = write.phrase(sentence(writing.speaker.text(title_of(found.record))))
    return Markdown(f"{title} {code}")


def _value(
    writing: Writing,
    write: Inline,
    change: FigureChange,
    side: tuple[str | None, str, int],
    anchor: str,
) -> Markdown:
    """A value with its condition, as a link that names its edition; empty where there was none."""
    said, held, number = side
    if said is None:
        return Markdown("")
    words = in_language(said, writing.manual.language)
    is_there = _figure(writing, change.figure) is not None
    path, place = (REGISTER, change.figure) if is_there else (write.page, anchor)
    address = f"{write.to(path)}?edition={number}#{place}"
    history = {"former": change.figure, "manual": writing.manual.id, "edition": number}
    marks = " ".join(f'data-{name}="{value}"' for name, value in history.items())
    link = f"[{escaped(words)}]({address}){{: .former {marks} }}"
    return Markdown(f"{link} {escaped(held)}" if held else link)


def _figure(writing: Writing, anchor: str) -> Figure | None:
    id, _, part = anchor.partition(".")
    return writing.speaker.figures.get((id, part))


def _card(writing: Writing, write: Inline, card: str) -> Markdown:
    return write.name("card", card) if card in writing.manual.of(Card) else Markdown(f"`{card}`")


def in_tongue(texts: Mapping[str, str], words: Words) -> Markdown:
    """What an edition says: in the language of these words, else marked with the one it is in."""
    text, language = said_in(texts, words.language)
    said = escaped(text)
    if not said or language == words.language:
        return said
    return Markdown(f'*{said}*{{: lang="{language}" }}')


def in_language(said: str, language: str) -> str:
    """A value of the ledger (`63 to 82 degC`, `25 (23 to 27) N·m`) as a language prints it."""
    numerals, unit = _parted(said)
    if unit in (RATIO, COUNTER):
        return numerals.replace(" to ", f" {manner(language).to} ")
    form = _FORMS.fullmatch(numerals)
    if form is None:
        return said
    step = Fraction(1, 10 ** max(len(one.partition(".")[2]) for one in form.groups() if one))
    one, low, high, end = (Fraction(text) if text else None for text in form.groups())
    if low is not None and high is not None and one is not None:
        return shown_nominal(one, low, high, step, unit, language)
    if one is not None and end is not None:
        return shown_range(one, end, step, unit, language)
    return shown(one or Fraction(0), step, unit, language)


def _parted(said: str) -> tuple[str, Unit]:
    numerals, _, symbol = said.rpartition(" ")
    try:
        return numerals, unit_of(symbol)
    except Malformed:  # a plain count has no unit behind it
        return said, PLAIN_COUNT
