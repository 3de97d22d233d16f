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
from placardry.finding import Family, Finding, Note, Rule, Severity, Span
from placardry.resolve import Manual, Stray
from placardry.rules.texts import Written, written
from placardry.stated import Figures, figures


@dataclass(frozen=True, slots=True)
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
    def figures(self) -> Mapping[str, Figures]:
        """The figures of each manual, by the manual's id."""
        return {manual.id: figures(manual) for manual in self.manuals}


Check = Callable[[Subject], Iterator[Problem]]

CHECKS: dict[Rule, Check] = {}


def rule(severity: Severity, family: Family) -> Callable[[Check], Check]:
    """Register a function as a rule of this severity and family."""

    def register(check: Check) -> Check:
        name = check.__name__.replace("_", "-")
        CHECKS[Rule(name, severity, family, check.__doc__ or "")] = check
        return check

    return register


def run(subject: Subject) -> Iterator[Finding]:
    """The findings of every rule."""
    for one, check in CHECKS.items():
        for problem in check(subject):
            yield Finding(one, problem.span, problem.message, problem.mend, problem.related)
