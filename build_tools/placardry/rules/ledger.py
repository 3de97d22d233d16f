"""Rules on the ledger of editions: that it is whole, in order, and as it was written."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.finding import Family, Severity, Span
from placardry.ledger import read
from placardry.rules.registry import Problem, Subject, rule


@rule(Severity.ERROR, Family.EDITIONS)
def broken_ledger(subject: Subject) -> Iterator[Problem]:
    """An entry of the ledger was edited, is missing, was merged twice, or its date goes back.

    The ledger says which cards in cockpits still hold. Each entry is sealed, and bound to the one
    before by a digest; what follows an entry that is not in order is not believed.

    Source: common practice, no source.

    Bad:
        procedures/editions/0001.json
            {"entry": 1, "after": "", "edition": 1, "dated": "2025-06-01"}
    Good:
        content/notes.md
            # Notes

            No edition is out.
    """
    for fault in read(subject.book.files).faults:
        yield Problem(Span(fault.path), fault.message, fault.mend)
