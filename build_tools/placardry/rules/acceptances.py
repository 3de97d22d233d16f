"""Acceptances: warnings that the publisher lives with, at one place, for a reason and a time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from placardry.book import Book
from placardry.book.figures import Acceptance
from placardry.finding import Family, Finding, Rule, Severity, Span
from placardry.nodes import Mapping, Node, Sequence

STALE_ACCEPTANCE = Rule(
    "stale-acceptance",
    Severity.ERROR,
    Family.SOURCES,
    """An acceptance has expired, names no warning, or has nothing to accept.

    An acceptance that outlives its reason hides the next mistake at its place.

    Bad:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
            accept:
              - {rule: limit-without-exceeded, at: limit/engine-speed-maximum,
                 reason: nothing to do, until: 2026-12-31}
    Good:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
    """,
)


def accept(findings: Iterable[Finding], book: Book, on: date) -> tuple[Finding, ...]:
    """The findings without the accepted warnings, and with what is wrong of acceptances."""
    left = list(findings)
    for acceptance in book.settings.accept:
        problem = _expired(acceptance, on)
        met = [one for one in left if _covers(acceptance, one, book)]
        if not problem and not met:
            problem = f"nothing at `{acceptance.at}` is found by `{acceptance.rule}`"
        if not problem and any(one.severity is Severity.ERROR for one in met):
            problem = f"`{acceptance.rule}` is an error, and errors cannot be accepted"
        if problem:
            mend = "remove this acceptance, or correct its rule, place or date"
            left.append(Finding(STALE_ACCEPTANCE, acceptance.places.at("rule"), problem, mend))
        else:
            left = [one for one in left if one not in met]
    return tuple(left)


def _expired(acceptance: Acceptance, on: date) -> str:
    if acceptance.until < on:
        return f"the acceptance of `{acceptance.rule}` ended on {acceptance.until}"
    return ""


def _covers(acceptance: Acceptance, finding: Finding, book: Book) -> bool:
    if finding.rule.name != acceptance.rule:
        return False
    if acceptance.at == finding.span.path:
        return True
    kind, _, name = acceptance.at.partition("/")
    return any(
        _inside(finding.span, record.places) for record in book.records.get(kind, {}).get(name, ())
    )


def _inside(span: Span, node: Mapping) -> bool:
    start, end = node.span, _last(node)
    return (
        span.path == start.path
        and (start.line, start.column) <= (span.line, span.column)
        and (span.line, span.column) <= (end.end_line, end.end_column)
    )


def _last(node: Node) -> Span:
    if isinstance(node, Mapping) and node.entries:
        return _last(node.entries[-1][1])
    if isinstance(node, Sequence) and node.items:
        return _last(node.items[-1])
    return node.span
