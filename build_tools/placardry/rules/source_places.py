"""Rules on the place in a document that a source names."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book import KINDS
from placardry.book.sources import Source
from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every


@rule(Severity.ERROR, Family.SOURCES)
def source_without_place(subject: Subject) -> Iterator[Problem]:
    """A source names a document and no place in it.

    Whoever checks the figure would have to read the whole document, and does not.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: "-"}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """
    for one in every(subject.book, *KINDS.values()):
        source: Source | None = getattr(one, "source", None)
        if source is not None and not any(map(str.isalnum, source.place)):
            message = f"the source of `{one.id}` names no place in the document"
            mend = "write the section, the table or the page, such as `section 4.2, page 31`"
            yield Problem(source.places.at("place"), message, mend)
