"""Rules on sources: that figures have one, and that it is fit to be one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from placardry.book import KINDS, Book
from placardry.book.figures import Fact, Limit, Scale
from placardry.book.instruments import Alarm
from placardry.book.record import Record
from placardry.book.sources import Document, Source
from placardry.finding import Family, Note, Severity
from placardry.references import references
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every
from placardry.walk import Leaf, leading, per_record

NEED_SOURCE: tuple[type[Any], ...] = (Limit, Scale, Fact, Alarm)


def citations(book: Book) -> dict[str, list[tuple[Leaf, Any]]]:
    """Where each document is cited, in sources and in prose, with the record that cites it."""
    found: dict[str, list[tuple[Leaf, Any]]] = defaultdict(list)
    for record in every(book, *KINDS.values()):
        for name, leaf in () if isinstance(record, Document) else _cited(record):
            found[name].append((leaf, record))
    return found


@per_record
def _cited(record: Record) -> tuple[tuple[str, Leaf], ...]:
    found = []
    for leaf in leading(record):
        if leaf.refers is not None and leaf.refers.kinds == ("document",):
            found.append((leaf.value, leaf))
        elif leaf.refers is None:
            names = (one.id for one in references(leaf.value) if one.kind in ("document", None))
            found += [(name, leaf) for name in names]
    return tuple(found)


@rule(Severity.ERROR, Family.SOURCES)
def figure_without_source(subject: Subject) -> Iterator[Problem]:
    """A limit, a scale, a fact or an alarm names no source.

    Without one nobody can check the figure, or find it again when the maker changes it.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """
    for one in every(subject.book, *NEED_SOURCE):
        if one.source is None:
            message = f"`{one.id}` names no source"
            mend = "add `source:` with the section and page where the figure stands"
            yield Problem(one.places.span, message, mend)


@rule(Severity.ERROR, Family.SOURCES)
def source_without_document(subject: Subject) -> Iterator[Problem]:
    """A source is a place in no document.

    `source: page 3` is a page of the document that the file names at its top.

    Bad:
        procedures/facts.yaml
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """
    without: dict[str, list[Any]] = defaultdict(list)
    for one in every(subject.book, *KINDS.values()):
        source: Source | None = getattr(one, "source", None)
        if source is not None and source.document is None:
            without[source.places.span.path].append(one)
    for _, found in sorted(without.items()):
        first, *others = sorted(found, key=lambda one: one.source.places.span)
        more = f" and {len(others)} more in this file" if others else ""
        message = f"the source of `{first.id}`{more} names no document"
        mend = "add `document:` with the id of the document at the top of the file"
        yield Problem(first.source.places.span, message, mend)


@rule(Severity.WARNING, Family.SOURCES)
def superseded_document_cited(subject: Subject) -> Iterator[Problem]:
    """Figures still come from a document that a newer one replaces.

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual:
                title: Marl manual
                issuer: Marl Engines
                edition: "1"
                dated: 2024-01-31
                superseded-by: marl-manual-2
              marl-manual-2:
                title: Marl manual
                issuer: Marl Engines
                edition: "2"
                dated: 2025-01-31
        procedures/facts.yaml
            document: marl-manual-2
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    Good:
        procedures/documents.yaml
            documents:
              marl-manual:
                title: Marl manual
                issuer: Marl Engines
                edition: "2"
                dated: 2025-01-31
    """
    cited = citations(subject.book)
    for one in every(subject.book, Document):
        found = cited.get(one.id, ()) if one.superseded_by is not None else ()
        if found:
            told = (Note(leaf.span, f"cited by `{record.id}`") for leaf, record in found)
            notes = tuple(sorted(told, key=lambda note: note.span))
            newer = one.superseded_by
            message = f"`{one.id}` is replaced by `{newer}` and still cited {len(found)} times"
            mend = f"compare each figure with `{newer}` and cite that"
            yield Problem(one.places.at("superseded-by"), message, mend, notes)


@rule(Severity.WARNING, Family.SOURCES)
def measurement_as_limit(subject: Subject) -> Iterator[Problem]:
    """A dealer's own measurement is given as the source of a limit.

    What one machine showed is typical; what an engine stands is for its maker to say.

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual:
                title: Marl manual
                issuer: Marl Engines
                edition: "1"
                dated: 2025-01-31
                kind: measurement
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            source: page 2
        procedures/alarms.yaml
            (removed)
        procedures/coolant.yaml
            document: marl-manual
            limits:
              engine-speed-maximum:
                parameter: engine-speed
                maximum: 7500 rpm
                source: page 4
                exceeded: Reduce power.
        content/welcome.md
            # Welcome

            Read the makers' documents first.
    Good:
        procedures/coolant.yaml
            document: marl-manual
            scales:
              coolant:
                parameter: coolant-temperature
                bands: [green from 60 degC, yellow from 80 degC, red from 90 degC]
                source: page 4
                exceeded: Reduce to idle.
            limits:
              usual-speed: {parameter: engine-speed, typical: 7500 rpm, source: page 4}
    """
    measured = {one.id: one for one in every(subject.book, Document)}
    limits: list[Limit | Scale] = [
        *(one for one in every(subject.book, Limit) if one.maximum or one.minimum or one.range),
        *every(subject.book, Scale),
    ]
    for one in limits:
        document = measured.get(one.source.document or "") if one.source is not None else None
        if document is not None and one.source is not None and document.kind == "measurement":
            message = f"`{one.id}` is a limit, and its source `{document.id}` a measurement"
            mend = "cite the maker's document, or write `typical:`"
            note = Note(document.places.at("kind"), "a measurement")
            yield Problem(one.source.places.span, message, mend, (note,))


@rule(Severity.ERROR, Family.SOURCES)
def missing_document_file(subject: Subject) -> Iterator[Problem]:
    """A document's file is not in the book's folder.

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual:
                title: Marl manual
                issuer: Marl Engines
                edition: "1"
                dated: 2025-01-31
                file: procedures/documents/marl-manual.pdf
    Good:
        procedures/documents.yaml
            documents:
              marl-manual:
                title: Marl manual
                issuer: Marl Engines
                edition: "1"
                dated: 2025-01-31
    """
    for one in every(subject.book, Document):
        if one.file is not None and one.file not in subject.book.files:
            message = f"there is no file `{one.file}`"
            mend = "correct `file:`, written from the book's folder, or remove it"
            yield Problem(one.places.at("file"), message, mend)


@rule(Severity.ADVICE, Family.SOURCES)
def document_never_cited(subject: Subject) -> Iterator[Problem]:
    """Nothing cites a document.

    Bad:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
              marl-leaflet: {title: Marl leaflet, issuer: Marl Engines, edition: "1",
                             dated: 2025-01-31}
    Good:
        procedures/documents.yaml
            documents:
              marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1",
                            dated: 2025-01-31}
    """
    cited = citations(subject.book)
    replaced = {one.superseded_by for one in every(subject.book, Document)}
    for one in every(subject.book, Document):
        if one.id not in cited and one.id not in replaced and one.superseded_by is None:
            yield Problem(one.places.span, f"nothing cites `{one.id}`", "cite it, or remove it")
