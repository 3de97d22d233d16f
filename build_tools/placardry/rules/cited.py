"""Rules on cited documents that lie in the book: that they hold what is cited."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from placardry.book import Book
from placardry.book.figures import Fact, Limit, Scale
from placardry.book.instruments import Alarm
from placardry.book.record import Record
from placardry.book.sources import Source
from placardry.book.tasks import Task
from placardry.finding import Family, Severity, Span
from placardry.nodes import Scalar
from placardry.recognise import Recognised, ends_in, quantities
from placardry.rules.document_texts import place, texts
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every
from placardry.stated import statement_of
from placardry.walk import per_record

ALARM_FIGURES = ("set-point", "clears", "delay")
TASK_FIGURES = ("hours", "calendar", "life", "tolerance")

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
_FIGURE_NUMBER = re.compile(rf"(?<![^\W\d_]){_NUMBER.pattern}")  # not that of `cm3`
_GROUPED = re.compile(r"\d{1,3}(?:[, \u00a0\u202f]\d{3})+(?:\.\d+)?")
_WORD = re.compile("[a-z]+")
_WORDS = (
    *("zero", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)


@rule(Severity.WARNING, Family.SOURCES)
def figure_not_in_document(subject: Subject) -> Iterator[Problem]:
    """A cited document lies in the book, and does not hold the figure.

    Either the figure or the place was copied wrongly. `.txt`, `.md` and `.pdf` are read; where
    the source names a page, that page must hold it: by the label that a PDF gives its pages, or
    that a line such as `page 31` gives those of a text, else counted from the front, as the form
    feeds of a text part it. A PDF of pictures holds no text and is left alone.

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
            finest = _decimals(text).get(Decimal(number))
            decimals = len(number.partition(".")[2])
            if finest is not None and decimals > finest:
                there = f"{float(Fraction(number)):.{finest}f}"
                message = f"the figure says {number}, and {where} of `{source.document}` {there}"
                yield Problem(span, message, f"write {there}")


@rule(Severity.WARNING, Family.SOURCES)
def unit_not_in_document(subject: Subject) -> Iterator[Problem]:
    """A cited document holds the number of a figure, and never with a unit of its kind.

    45 min where the document says 45 s is a slip that no plausible span finds.

    Source: common practice, no source.

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31, file: procedures/marl.txt}
        procedures/marl.txt
            Wait 45 s before the next try.
        procedures/facts.yaml
            document: marl-leaflet
            facts:
              starter-rest: {minimum: 45 min, name: rest of the starter, source: page 1}
    Good:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31, file: procedures/marl.txt}
        procedures/marl.txt
            Wait 45 s before the next try.
        procedures/facts.yaml
            document: marl-leaflet
            facts:
              starter-rest: {minimum: 45 s, name: rest of the starter, source: page 1}
    """
    for source, figure, span, (where, text) in _looked_up(subject.book):
        there = _units(text)
        for one in quantities(figure):
            for value, symbol in _ends(one):
                others = there.get(value, frozenset())
                if others and symbol not in others:
                    message = f"{where} of `{source.document}` says "
                    message += f"{float(value):g} {' or '.join(sorted(others))}, not {symbol}"
                    mend = "copy the unit from the document again, or correct `source:`"
                    yield Problem(span, message, mend)


@lru_cache(maxsize=64)  # one page holds many figures
def _units(text: str) -> Mapping[Fraction, frozenset[str]]:
    """By number the units that a text writes it with."""
    found: dict[Fraction, set[str]] = defaultdict(set)
    for one in quantities(text):
        for value, symbol in _ends(one):
            found[value].add(symbol)
    return {value: frozenset(symbols) for value, symbols in found.items()}


def _ends(one: Recognised) -> Iterator[tuple[Fraction, str]]:
    for end in ends_in(one.figure).values():
        yield end.value, end.unit.symbol


@lru_cache(maxsize=64)
def _decimals(text: str) -> Mapping[Decimal, int]:
    """With how many decimals at most a text writes each number."""
    numerals = {one.replace(",", ".") for one in _NUMBER.findall(text)}
    plain = (one for one in numerals if one.count(".") <= 1)
    written = {(len(one.partition(".")[2]), Decimal(one)) for one in plain}
    return {value: decimals for decimals, value in sorted(written)}


@per_record
def _looked_up(book: Book) -> list[tuple[Source, str, Span, tuple[str, str]]]:
    """Every figure whose document can be read, with the place that it cites and its text."""
    read = texts(book)
    cited = _cited(book) if read else ()
    return [
        (source, figure, span, place(read[source.document], source.place))
        for source, figure, span in cited
        if source.document in read
    ]


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
        yield from _parts(alarm, alarm.source, ALARM_FIGURES)
    for task in every(book, Task):
        yield from _parts(task, task.source, TASK_FIGURES)


def _parts(
    record: Record, source: Source | None, names: Iterable[str]
) -> Iterator[tuple[Source, str, Span]]:
    """What stands under these keys of a record that has a source."""
    if source is not None:
        nodes = (record.places.get(name) for name in names)
        yield from ((source, one.text, one.span) for one in nodes if isinstance(one, Scalar))


def _holds(text: str, number: str) -> bool:
    values, words = _numbers(text)
    wanted = Decimal(number)
    word = _WORDS[int(wanted)] if wanted < len(_WORDS) and wanted == int(wanted) else ""
    return wanted in values or word in words


@lru_cache(maxsize=64)  # one page holds many figures
def _numbers(text: str) -> tuple[frozenset[Decimal], frozenset[str]]:
    """Every number of a text in every way in which it can be read, and its words."""
    grouped = {Decimal(re.sub(r"[^\d.]", "", one)) for one in _GROUPED.findall(text)}
    return frozenset(grouped | _decimals(text).keys()), frozenset(_WORD.findall(text.lower()))
