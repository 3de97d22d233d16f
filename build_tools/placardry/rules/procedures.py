"""Rules on procedures as they are written: steps that exist, lead somewhere and come to an end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from placardry.book.procedures import (
    ChooseStep,
    ForEachStep,
    HazardStep,
    PerformStep,
    Procedure,
    ReadStep,
)
from placardry.finding import Family, Note, Severity, Span
from placardry.resolve import Manual
from placardry.rules.hazards import step_lists
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.runs import met
from placardry.rules.where import on_machines
from placardry.runs import What


@rule(Severity.ERROR, Family.PROCEDURES)
def nothing_to_do(subject: Subject) -> Iterator[Problem]:
    """A procedure, a branch or a repetition holds no step, or none that applies to the machine.

    The owner would read a heading with nothing below it.

    Source: common practice, no source.

    Bad:
        procedures/fold.yaml
            procedure: fold-frame
            title: Fold the frame
            chapter: operation
            when: before transport
            steps: []
    Good:
        procedures/fold.yaml
            procedure: fold-frame
            title: Fold the frame
            chapter: operation
            when: before transport
            steps: [{do: Fold the frame forward.}]
    """
    yield from on_machines(_without_steps(subject))


def _without_steps(subject: Subject) -> Iterator[tuple[Manual, Problem]]:
    for manual in subject.manuals:
        for procedure in manual.of(Procedure).values():
            for span, what, steps in _with_steps(procedure):
                if not any(not isinstance(step, HazardStep) for step in steps):
                    mend = "write its steps, or let it apply where it has some"
                    yield manual, Problem(span, f"{what} has no step", mend)


def _with_steps(record: Any) -> Iterator[tuple[Span, str, tuple[Any, ...]]]:
    """Everything in a procedure that should hold steps, where it stands, and its steps."""
    if isinstance(record, Procedure):
        yield record.places.span, f"`{record.id}`", record.steps
    for step in record.steps:
        if isinstance(step, ForEachStep):
            yield step.places.at("steps"), "the repetition", step.steps if step.for_each else ()
            yield from _with_steps(step)
        if isinstance(step, ChooseStep):
            if not step.choose:
                yield step.places.at("choose"), "the choice", ()
            for branch in step.choose:
                yield branch.places.at("when"), "the case", branch.steps
                yield from _with_steps(branch)


@rule(Severity.ERROR, Family.PROCEDURES)
def procedure_calls_itself(subject: Subject) -> Iterator[Problem]:
    """A procedure is performed by a step of its own, at once or through others.

    Who follows the steps comes back to where they began and never reaches the end.

    Source: common practice, no source.

    Bad:
        procedures/fold.yaml
            procedure: fold-frame
            title: Fold the frame
            chapter: operation
            when: before transport
            steps: [{do: Fold the frame forward.}, {perform: fold-frame}]
    Good:
        procedures/fold.yaml
            procedure: fold-frame
            title: Fold the frame
            chapter: operation
            when: before transport
            steps: [{do: Fold the frame forward.}]
    """
    for manual in subject.views:
        calls = {name: list(_calls(procedure)) for name, procedure in manual.of(Procedure).items()}
        for name in sorted(calls):
            way = _way_back(name, calls)
            # One finding for a circle: at the first of its procedures.
            if way and name == min(step.perform for step in way):
                first, *others = way
                message = f"`{name}` comes back to itself"
                if others:
                    message += " through " + ", ".join(f"`{step.perform}`" for step in way[:-1])
                notes = tuple(
                    Note(step.places.at("perform"), f"`{step.perform}` is performed here")
                    for step in others
                )
                mend = "remove this step, or one of those that lead back"
                yield Problem(first.places.at("perform"), message, mend, notes)


def _calls(procedure: Procedure) -> Iterator[PerformStep]:
    for steps in step_lists(procedure):
        yield from (step for step in steps if isinstance(step, PerformStep))


def _way_back(name: str, calls: dict[str, list[PerformStep]]) -> list[PerformStep]:
    """The shortest chain of steps that leads from a procedure to itself."""
    ways: list[list[PerformStep]] = [[step] for step in calls[name]]
    seen: set[str] = set()
    for way in ways:
        last = way[-1].perform
        if last == name:
            return way
        if last not in seen:
            seen.add(last)
            ways += [[*way, step] for step in calls.get(last, ())]
    return []


@rule(Severity.WARNING, Family.PROCEDURES)
def engine_left_running(subject: Subject) -> Iterator[Problem]:
    """A procedure ends with the engine running and does not say what it hands over.

    The owner is left with a turning propeller; `hands-over` says so, and what comes next. It
    counts what `ends` says and, where that is silent, what the steps lead to.

    Source: common practice, no source.

    Bad:
        procedures/run-up.yaml
            procedure: run-up
            title: Run the engine up
            chapter: operation
            when: before each flight
            ends: {engine: running}
            steps: [{do: Let the engine idle.}]
    Good:
        procedures/run-up.yaml
            procedure: run-up
            title: Run the engine up
            chapter: operation
            when: before each flight
            ends: {engine: running}
            hands-over: The engine idles. Stay clear of the propeller.
            steps: [{do: Let the engine idle.}]
    """
    for _, left in met(subject, What.LEFT):
        if left.name == "engine":
            yield Problem(
                left.span,
                f"`{left.subject}` ends with the engine running and does not say so",
                "stop the engine at the end, or add `ends: {engine: running}` and `hands-over:`",
                left.related,
            )
    for statements in subject.book.of(Procedure).values():
        for one in statements:
            if (one.ends or {}).get("engine") == "running" and not one.hands_over:
                yield Problem(
                    one.places.at("ends", "engine"),
                    f"`{one.id}` ends with the engine running and has no `hands-over:`",
                    "add `hands-over:` with what the owner is left with",
                )


_RESPONSES = ("position", "limit", "text", "nothing")


@rule(Severity.ERROR, Family.PROCEDURES)
def unclear_response(subject: Subject) -> Iterator[Problem]:
    """An expected response, or a reading, says nothing or more than one thing.

    `expect` takes exactly one of `position`, `limit`, `text` and `nothing`; a step reads one
    channel or one parameter; `otherwise` says what to do. Two at once leave it open which of
    them decides.

    Source: common practice, no source.

    Bad:
        procedures/look.yaml
            procedure: look-over
            title: Look the machine over
            chapter: operation
            when: before each flight
            steps:
              - set: {master: on}
                expect: {}
    Good:
        procedures/look.yaml
            procedure: look-over
            title: Look the machine over
            chapter: operation
            when: before each flight
            steps:
              - set: {master: on}
                expect: {text: The display wakes.}
    """
    for statements in subject.book.of(Procedure).values():
        for procedure in statements:
            for steps in step_lists(procedure):
                for step in steps:
                    yield from _unclear(step)


def _unclear(step: Any) -> Iterator[Problem]:
    if step.expect is not None:
        given = [key for key in _RESPONSES if getattr(step.expect, key)]
        if len(given) != 1:
            says = " and ".join(f"`{key}`" for key in given) or "nothing"
            mend = "give exactly one of `position:`, `limit:`, `text:` and `nothing:`"
            yield Problem(step.places.at("expect"), f"`expect` says {says}", mend)
    if step.otherwise is not None:
        answer = step.otherwise
        if not (answer.text or answer.do or answer.see):
            mend = "give it `text:`, `do:` or `see:`, or remove it"
            yield Problem(step.places.at("otherwise"), "`otherwise` says nothing", mend)
    if isinstance(step, ReadStep) and step.read and step.reading:
        message = f"the step reads both `{step.read}` and `{step.reading}`"
        yield Problem(step.places.at("reading"), message, "make two steps of it")
