"""The registry of rules, and what a rule is given.

A rule is one function in the file of its subject, under `@rule(severity, family)`, named for the
defect that it finds. Its docstring is its manual: what is wrong, why it matters, the source, a bad
and a good book (see `manual`). It yields problems; name and severity are stamped on here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from placardry.book import Book
from placardry.finding import Family, Finding, Note, Rule, Severity, Span, light
from placardry.resolve import Manual, Stray, per_view
from placardry.rules.originals import Originals
from placardry.rules.texts import Written, written
from placardry.runs import Fault, faults
from placardry.stated import Figures, figures


@light
class Problem:
    """What a rule has to say of one place; see `Finding` for the manner of each text."""

    span: Span
    message: str
    mend: str
    related: tuple[Note, ...] = ()


@dataclass(frozen=True)
class Subject:
    """What rules judge: the book, its manuals as closed views, and the figures of each.

    Attributes:
        strays: references that lead out of a manual
        on: the day by which dates are judged, as the book or `--on` says
    """

    book: Book
    manuals: tuple[Manual, ...]
    strays: tuple[Stray, ...]
    on: date

    @cached_property
    def texts(self) -> tuple[Written, ...]:
        """Every text of the book."""
        return tuple(written(self.book))

    @cached_property
    def originals(self) -> Originals:
        """What the book has to translate."""
        return Originals(self.book)

    @cached_property
    def views(self) -> tuple[Manual, ...]:
        """One manual of those that differ in the names of their machines only, and in pages.

        For rules on records that name no machine: what they find in one they would find in all.
        """
        return tuple({manual.view: manual for manual in reversed(self.manuals)}.values())[::-1]

    @cached_property
    def figures(self) -> Mapping[str, Figures]:
        """The figures of each manual, by the manual's id."""
        return {manual.id: figures(manual) for manual in self.manuals}

    @cached_property
    def runs(self) -> Mapping[str, tuple[Fault, ...]]:
        """What goes wrong when the procedures of each manual are run, by the manual's id."""
        first: dict[tuple[str, str], Manual] = {}
        for one in self.manuals:  # languages of one machine and market do not differ in it
            first.setdefault((one.machine.id, one.market.id), one)
        return {one.id: _faults(first[one.machine.id, one.market.id]) for one in self.manuals}


@per_view
def _faults(manual: Manual) -> tuple[Fault, ...]:
    return faults(manual, figures(manual))


Check = Callable[[Subject], Iterator[Problem]]

CHECKS: dict[Rule, Check] = {}


def rule(severity: Severity, family: Family) -> Callable[[Check], Check]:
    """Register a function as a rule of this severity and family."""

    def register(check: Check) -> Check:
        name = check.__name__.replace("_", "-")
        CHECKS[Rule(name, severity, family, check.__doc__ or "")] = check
        return check

    return register


# Rules that say that something is missing; it may stand in a file that could not be read.
OF_ABSENCE = frozenset(
    {
        "approval-of-nothing",
        "channel-without-limit",
        "coolant-without-minimum",
        "document-never-cited",
        "idle-name",
        "inapplicable-reference",
        "machine-without-manual",
        "missing-approval",
        "missing-section",
        "never-applies",
        "one-sided-reminder",
        "thing-on-no-machine",
        "translation-of-nothing",
        "uncalled-procedure",
        "unknown-in-condition",
        "unknown-reference",
    }
)


def run(subject: Subject, *, errors_only: bool = False) -> Iterator[Finding]:
    """The findings of every rule; one unread file must not bury its own fault below others.

    Of the errors alone, and of what is accepted: an acceptance of nothing is an error.
    """
    accepted = {one.rule for one in subject.book.settings.accept}
    for one, check in CHECKS.items():
        if subject.book.may_hold_more and one.name in OF_ABSENCE:
            continue
        if errors_only and one.severity is not Severity.ERROR and one.name not in accepted:
            continue
        for problem in check(subject):
            yield Finding(one, problem.span, problem.message, problem.mend, problem.related)
