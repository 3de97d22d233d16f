"""Rules on cited documents that lie in the book as plain text: that they hold what is cited."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from placardry.book import Book
from placardry.book.figures import Fact, Limit, Scale
from placardry.book.instruments import Alarm
from placardry.book.sources import Document, Source
from placardry.files import text_of
from placardry.finding import Family, Severity, Span
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every
from placardry.stated import statement_of

READABLE = (".txt", ".md")
PAGE_BREAK = "\f"

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
_FIGURE_NUMBER = re.compile(rf"(?<![^\W\d_]){_NUMBER.pattern}")  # not that of `cm3`
_GROUPED = re.compile(r"\d{1,3}(?:[, \u00a0\u202f]\d{3})+(?:\.\d+)?")
_PAGE = re.compile(r"\bpage (\d+)\b")
_WORDS = (
    *("zero", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)


@rule(Severity.WARNING, Family.SOURCES)
def figure_not_in_document(subject: Subject) -> Iterator[Problem]:
    """A cited document lies in the book as text, and does not hold the figure.

    Either the figure or the place was copied wrongly. Only `.txt` and `.md` are read; where page
    breaks (form feeds) part the text and the source names a page, that page must hold it.

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31, file: procedures/marl.txt}
        procedures/marl.txt
            The fuses: panel 3 A, light 5 A.
        procedures/facts.yaml
            document: marl-leaflet
            facts:
              light-fuse: {nominal: 15 A, name: fuse of the light, source: page 1}
    Good:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31, file: procedures/marl.txt}
        procedures/marl.txt
            The fuses: panel 3 A, light 5 A.
        procedures/facts.yaml
            document: marl-leaflet
            facts:
              light-fuse: {nominal: 5 A, name: fuse of the light, source: page 1}
    """
    texts = _texts(subject.book)
    if not texts:
        return
    for source, figure, span in _cited(subject.book):
        pages = texts.get(source.document or "")
        if pages is None:
            continue
        where, text = _place(pages, source.place)
        missing = [number for number in _FIGURE_NUMBER.findall(figure) if not _holds(text, number)]
        if missing:
            message = f"{where} of `{source.document}` does not hold {' or '.join(missing)}"
            mend = "copy the figure from the document again, or correct `source:`"
            yield Problem(span, message, mend)


def _texts(book: Book) -> dict[str, list[str]]:
    """The pages of each document that can be read, by its id; one page where none are marked."""
    return {
        one.id: text_of(book.files[one.file]).split(PAGE_BREAK)
        for one in every(book, Document)
        if one.file is not None and one.file.endswith(READABLE) and one.file in book.files
    }


def _cited(book: Book) -> Iterator[tuple[Source, str, Span]]:
    """Every figure that has a source, as written, with its place."""
    for one in every(book, Limit, Fact):
        given = statement_of(one)
        if one.source is not None and given is not None:
            yield one.source, str(given[1]), one.places.at(given[0])
    for scale in every(book, Scale):
        for at, band in enumerate(scale.bands):
            if scale.source is not None and band.start is not None:
                yield scale.source, str(band.start), scale.places.at("bands", at)
    for alarm in every(book, Alarm):
        if alarm.source is not None:
            yield alarm.source, str(alarm.set_point), alarm.places.at("set-point")


def _place(pages: list[str], place: str) -> tuple[str, str]:
    """The page that a source names, with its name; the whole text where there are no pages."""
    named = _PAGE.search(place)
    if named is None or len(pages) == 1:
        return "the text", "\n".join(pages)
    number = int(named[1])
    return f"page {number}", pages[number - 1] if 0 < number <= len(pages) else ""


def _holds(text: str, number: str) -> bool:
    values, words = _numbers(text)
    wanted = Fraction(number)
    word = _WORDS[int(wanted)] if wanted < len(_WORDS) and wanted.denominator == 1 else ""
    return wanted in values or word in words


@lru_cache(maxsize=64)  # one page holds many figures
def _numbers(text: str) -> tuple[frozenset[Fraction], frozenset[str]]:
    """Every number of a text in every way in which it can be read, and its words."""
    found = {_read(one.replace(",", ".")) for one in _NUMBER.findall(text)}
    found |= {_read(re.sub(r"[^\d.]", "", one)) for one in _GROUPED.findall(text)}
    return frozenset(found - {None}), frozenset(re.findall(r"[a-z]+", text.lower()))  # type: ignore[arg-type]


def _read(numeral: str) -> Fraction | None:
    return Fraction(numeral) if numeral.count(".") <= 1 else None
