"""Findings: what is wrong, where, and what to type next; and the rules that they belong to.

Ground floor. Knows nothing of books; only `report/` prints findings.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from enum import StrEnum
from operator import attrgetter
from typing import Any, NamedTuple, TypeVar, dataclass_transform

MOST_IN_TEXT = 20  # findings of one kind in one text; more of them are one mistake

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def light(cls: type[T]) -> type[T]:
    """A dataclass in slots that only mypy keeps frozen, for what a book has by the 100 000.

    At run time a frozen one takes three times as long to make; and the methods that `dataclass`
    would compile for each class anew are written once, for that takes longer than a small book.
    """
    made: Any = dataclass(slots=True, eq=False, repr=False)(cls)
    made._meaning = attrgetter(*(one.name for one in fields(made) if one.compare))
    made.__eq__, made.__hash__, made.__repr__ = equals, hashed, shown
    return made  # type: ignore[no-any-return]


def equals(self: Any, other: Any) -> Any:
    """Whether two of a class mean the same; the `__eq__` of what has a `_meaning`."""
    if type(other) is not type(self):
        return NotImplemented
    return self._meaning(self) == self._meaning(other)


def hashed(self: Any) -> int:
    """The `__hash__` that goes with `equals`."""
    return hash(self._meaning(self))


def shown(self: Any) -> str:
    """The `__repr__` of a dataclass."""
    told = (f"{one.name}={getattr(self, one.name)!r}" for one in fields(self) if one.repr)
    return f"{type(self).__name__}({', '.join(told)})"


class Severity(StrEnum):
    """How bad a finding is; a property of its rule, never of a single finding."""

    ERROR = "error"
    WARNING = "warning"
    ADVICE = "advice"


class Family(StrEnum):
    """The subjects of the rules, in the order in which they are listed."""

    SOURCE_TEXT = "source text"
    FIGURES = "figures"
    LIMITS = "limits"
    INSTRUMENTS = "instruments and alarms"
    PHYSICS = "physics"
    INTERVALS = "intervals and counters"
    PROCEDURES = "procedures"
    APPLICABILITY = "applicability and completeness"
    SOURCES = "sources and approvals"
    PROSE = "prose, references and translations"
    CARDS = "cards"
    EDITIONS = "editions"


class Span(NamedTuple):
    """A stretch of one file, from its start up to, not including, its end; in order of place.

    Never a field of a record, only of its nodes: what takes records apart would take it for a list.

    Units: lines and columns count from 1; columns count code points.
    """

    path: str
    line: int = 1
    column: int = 1
    end_line: int = 1
    end_column: int = 1

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}"


@light
class Rule:
    """What a finding says is broken. `manual` is the rule's own page (see `rules.manual`)."""

    name: str
    severity: Severity
    family: Family
    manual: str = field(default="", compare=False, repr=False)

    @property
    def summary(self) -> str:
        """The first line of the rule's manual."""
        return self.manual.strip().split("\n", 1)[0].rstrip(".")


@light
class Note:
    """Another place that the finding involves, and what stands there."""

    span: Span
    message: str


@light
class Finding:
    """One mistake: its rule, its place, what is, what to do, every other place involved.

    `message` is one line, lower case, no full stop, says what *is* and quotes names and
    figures; `mend` is one imperative sentence, the next thing to type.
    """

    rule: Rule
    span: Span
    message: str
    mend: str
    related: tuple[Note, ...] = ()

    @property
    def severity(self) -> Severity:
        """The severity of the finding's rule."""
        return self.rule.severity

    @property
    def key(self) -> tuple[object, ...]:
        """The canonical order: path, position, rule, message."""
        return (*self.span, self.rule.name, self.message)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings sorted canonically, exact repetitions dropped."""
    return tuple(sorted(dict.fromkeys(findings), key=lambda finding: finding.key))


def has_errors(findings: Iterable[Finding]) -> bool:
    """Whether one of the findings is an error."""
    return any(finding.severity is Severity.ERROR for finding in findings)


def nearest(word: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The known words most like `word`, best first; for "did you mean"."""
    import difflib  # slow to import, and most books misspell nothing

    lowered = {one.lower(): one for one in sorted(known, reverse=True)}
    found = difflib.get_close_matches(word.lower(), sorted(lowered), n=most, cutoff=0.6)
    return [lowered[one] for one in found]


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """A mend that offers the nearest known words, or says `otherwise`."""
    names = nearest(word, known)
    if not names:
        return otherwise
    return "did you mean " + " or ".join(f"`{name}`" for name in names) + "?"
