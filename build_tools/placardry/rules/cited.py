"""Rules on cited documents that lie in the book: that they hold what is cited."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
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

READABLE = (".txt", ".md", ".pdf")
PAGE_BREAK = "\f"

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
_FIGURE_NUMBER = re.compile(rf"(?<![^\W\d_]){_NUMBER.pattern}")  # not that of `cm3`
_GROUPED = re.compile(r"\d{1,3}(?:[, \u00a0\u202f]\d{3})+(?:\.\d+)?")
_PAGE = re.compile(r"\bpage (\d+|[ivxlc]+|[A-Z]+-\d+)\b")
_WORDS = (
    *("zero", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)


@rule(Severity.WARNING, Family.SOURCES)
def figure_not_in_document(subject: Subject) -> Iterator[Problem]:
    """A cited document lies in the book, and does not hold the figure.

    Either the figure or the place was copied wrongly. `.txt`, `.md` and `.pdf` are read; where
    the source names a page, that page must hold it: by the label that a PDF gives its pages, else
    counted from the front, as the form feeds of a text part it. A PDF of pictures holds no text
    and is left alone.

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
    for source, figure, span, (where, text) in _looked_up(subject.book):
        missing = [number for number in _FIGURE_NUMBER.findall(figure) if not _holds(text, number)]
        if missing:
            message = f"{where} of `{source.document}` does not hold {' or '.join(missing)}"
            mend = "copy the figure from the document again, or correct `source:`"
            yield Problem(span, message, mend)


@rule(Severity.WARNING, Family.SOURCES)
def finer_than_document(subject: Subject) -> Iterator[Problem]:
    """A figure is written with more decimals than the document that it cites.

    12.0 says that somebody knows the tenth. Decimals also decide how a figure is rounded and
    converted, so noughts that were added are precision that nobody has measured.

    Source: NIST SP 811 (2008) section 7.14 (digits written are digits that mean something).

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31, file: procedures/marl.txt}
        procedures/marl.txt
            The tank holds 12 L.
        procedures/facts.yaml
            document: marl-leaflet
            facts:
              tank: {nominal: 12.00 L, name: fuel tank, source: page 1}
    Good:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31, file: procedures/marl.txt}
        procedures/marl.txt
            The tank holds 12 L.
        procedures/facts.yaml
            document: marl-leaflet
            facts:
              tank: {nominal: 12 L, name: fuel tank, source: page 1}
    """
    for source, figure, span, (where, text) in _looked_up(subject.book):
        for number in _FIGURE_NUMBER.findall(figure):
            finest = max(_decimals(text, Fraction(number)), default=None)
            decimals = len(number.partition(".")[2])
            if finest is not None and decimals > finest:
                there = f"{float(Fraction(number)):.{finest}f}"
                message = f"the figure says {number}, and {where} of `{source.document}` {there}"
                yield Problem(span, message, f"write {there}")


def _decimals(text: str, value: Fraction) -> Iterator[int]:
    """With how many decimals a text writes a value, each time that it does."""
    for one in _NUMBER.findall(text):
        plain = one.replace(",", ".")
        if _read(plain) == value:
            yield len(plain.partition(".")[2])


def _looked_up(book: Book) -> Iterator[tuple[Source, str, Span, tuple[str, str]]]:
    """Every figure whose document can be read, with the place that it cites and its text."""
    texts = _texts(book)
    if not texts:
        return
    for source, figure, span in _cited(book):
        pages = texts.get(source.document or "")
        if pages is not None:
            yield source, figure, span, _place(pages, source.place)


@dataclass(frozen=True, slots=True)
class Pages:
    """The text of a document, page by page, and the labels of the pages where it has them."""

    texts: tuple[str, ...]
    labels: tuple[str, ...] = ()


def _texts(book: Book) -> dict[str, Pages]:
    """The pages of each document that can be read, by its id; one page where none are marked."""
    found = {}
    for one in every(book, Document):
        if one.file is not None and one.file.endswith(READABLE) and one.file in book.files:
            pages = _pages(one.file, book.files[one.file])
            if any(map(str.strip, pages.texts)):
                found[one.id] = pages
    return found


def _pages(name: str, data: bytes) -> Pages:
    if not name.endswith(".pdf"):
        return Pages(tuple(text_of(data).split(PAGE_BREAK)))
    return _of_pdf(data)


@lru_cache(maxsize=8)  # two rules read each document
def _of_pdf(data: bytes) -> Pages:
    import pypdfium2  # slow to import, and few books hold a PDF

    try:
        document = pypdfium2.PdfDocument(data)
        texts = tuple(page.get_textpage().get_text_bounded() for page in document)
        labels = tuple(document.get_page_label(at) for at in range(len(document)))
    except pypdfium2.PdfiumError:
        return Pages(())  # locked or broken: nobody can say what it holds
    return Pages(texts, labels)


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


def _place(pages: Pages, place: str) -> tuple[str, str]:
    """The page that a source names, with its name; the whole text where there are no pages."""
    named = _PAGE.search(place)
    if named is None or len(pages.texts) == 1:
        return "the text", "\n".join(pages.texts)
    number = named[1]
    if number in pages.labels:
        return f"page {number}", pages.texts[pages.labels.index(number)]
    at = int(number) - 1 if number.isdecimal() else -1
    return f"page {number}", pages.texts[at] if 0 <= at < len(pages.texts) else ""


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
