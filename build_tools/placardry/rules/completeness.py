"""Rules on completeness: what a manual, a page and a fault cannot do without."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from placardry.book import KIND_OF, Book
from placardry.book.figures import Limit, Scale
from placardry.book.machines import ManualEntry
from placardry.book.pages import Page
from placardry.book.procedures import Procedure
from placardry.book.record import Applicability, Record
from placardry.book.tasks import Fault, Task
from placardry.context import contexts
from placardry.finding import Family, Note, Severity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every
from placardry.rules.where import on_machines

_Wanted = tuple[tuple[type[Record], ...], Callable[[Any], bool], str]

# What every manual has, by the words for it: the kinds of record, which of them, what to write.
_SECTIONS: Mapping[str, _Wanted] = {
    "limits": ((Limit, Scale), lambda _: True, "state one under `limits:` or `scales:`"),
    "procedure of normal operation": (
        (Procedure,),
        lambda one: one.chapter == "operation",
        "write a procedure with `chapter: operation`",
    ),
    "emergency procedure": (
        (Procedure,),
        lambda one: one.chapter == "emergency",
        "write a procedure with `chapter: emergency`",
    ),
    "maintenance tasks": ((Task,), lambda _: True, "state one under `tasks:`"),
}


@rule(Severity.WARNING, Family.APPLICABILITY)
def missing_section(subject: Subject) -> Iterator[Problem]:
    """A manual lacks limits, normal procedures, emergency procedures or maintenance tasks.

    Without them an owner cannot keep the machine safe, whatever else the manual tells.

    Source: 14 CFR 33 appendix A, A33.3(a): operation and limits, maintenance schedule.

    Bad:
        procedures/tasks.yaml
            (removed)
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              coolant-level:
                title: Check the coolant
                about: The header tank is full up to its mark.
                each: flying-day
                source: page 8
    """
    lacking: dict[str, list[str]] = {}
    known = contexts(subject.book)
    for section, wanted in _SECTIONS.items():
        where = _where(subject.book, wanted)
        for name, context in known.items():
            if not any(map(context.meets, where)) and not _some_broken(subject, wanted[0]):
                lacking.setdefault(section, []).append(name)
    for section, names in lacking.items():
        first, *others = [subject.book.of(ManualEntry)[name][0].places.span for name in names]
        which = f"manual {' and '.join(f'`{name}`' for name in names)}"
        verb = f"{which} has" if not others else f"{which.replace('manual', 'manuals', 1)} have"
        mend = f"{_SECTIONS[section][2]} that applies there"
        notes = tuple(Note(one, "this one too") for one in others)
        yield Problem(first, f"{verb} no {section}", mend, notes)


def _where(book: Book, wanted: _Wanted) -> set[tuple[Applicability, ...]]:
    """Where the records of a section apply: many records apply in few ways."""
    kinds, is_one, _ = wanted
    return {one.applies for one in every(book, *kinds) if is_one(one)}


def _some_broken(subject: Subject, kinds: tuple[type[Record], ...]) -> bool:
    """Whether a record of these kinds could not be read, so that nothing can be said."""
    names = tuple(f"{KIND_OF[kind]}/" for kind in kinds)
    return any(one.startswith(names) for one in subject.book.broken)


@rule(Severity.WARNING, Family.APPLICABILITY)
def empty_page(subject: Subject) -> Iterator[Problem]:
    """A page has a title and nothing below it, or nothing that applies to the machine.

    The owner opens a page that says nothing.

    Source: common practice, no source.

    Bad:
        content/notes.md
            # Notes
    Good:
        content/notes.md
            # Notes

            Keep this manual with the machine.
    """
    yield from on_machines(_empty_pages(subject))


def _empty_pages(subject: Subject) -> Iterator[tuple[Manual, Problem]]:
    for manual in subject.manuals:
        for page in manual.of(Page).values():
            if not page.passages:
                mend = (
                    "write it, or give its front matter an `applies:` that leaves this machine out"
                )
                yield manual, Problem(page.places.at("title"), "the page is empty", mend)


@rule(Severity.ERROR, Family.APPLICABILITY)
def fault_without_cause(subject: Subject) -> Iterator[Problem]:
    """A fault names no cause, so that the fault finder ends at the symptom.

    Source: 14 CFR 33 appendix A, A33.3(b), from memory: malfunctions, how they are recognised,
    what to do about them.

    Bad:
        procedures/faults.yaml
            faults:
              dark-display:
                symptom: The display stays dark
                flight: do-not-take-off
                causes: []
    Good:
        procedures/faults.yaml
            faults:
              dark-display:
                symptom: The display stays dark
                flight: do-not-take-off
                causes:
                  - cause: The battery is empty.
                    confirm: The light stays dark too.
                    remedy: Charge the battery.
    """
    for statements in subject.book.of(Fault).values():
        for fault in statements:
            if not fault.causes:
                message = f"fault `{fault.id}` has no cause"
                mend = "write one under `causes:`, with `cause`, `confirm` and `remedy`"
                yield Problem(fault.places.at("causes"), message, mend)
