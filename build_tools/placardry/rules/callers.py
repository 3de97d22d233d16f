"""Rules on what calls a procedure: a task, a fault, another procedure."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.procedures import Procedure
from placardry.book.record import Record
from placardry.book.tasks import Task
from placardry.finding import Family, Note, Severity
from placardry.references import references
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.where import on_machines
from placardry.walk import Leaf, leading, per_record


@rule(Severity.ADVICE, Family.INTERVALS)
def uncalled_procedure(subject: Subject) -> Iterator[Problem]:
    """A maintenance procedure is called by no task, fault, card, page or other procedure.

    Its `when:` says when it is done, but no schedule and no fault leads the owner to it.

    Bad:
        procedures/oil.yaml
            procedure: change-oil
            title: Change the oil
            chapter: maintenance
            when: every season
            steps:
              - do: Drain the oil.
    Good:
        procedures/oil.yaml
            procedure: change-oil
            title: Change the oil
            chapter: maintenance
            when: every season
            steps:
              - do: Drain the oil.
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              oil-change:
                title: Change the oil
                calendar: every 12 months
                procedure: change-oil
                source: page 8
    """
    yield from on_machines(
        (manual, problem) for manual in subject.manuals for problem in _uncalled(manual)
    )


def _uncalled(manual: Manual) -> Iterator[Problem]:
    works = {one.id: one for one in manual.of(Procedure).values() if one.chapter == "maintenance"}
    for name in works.keys() & _called(manual):
        del works[name]
    for one in works.values():
        message = f"nothing calls `{one.id}`"
        mend = f"add a task with `procedure: {one.id}`, or refer to it where it is needed"
        yield Problem(one.places.span, message, mend)


def _called(manual: Manual) -> set[str]:
    """Every name that some other record calls, in a field or in a text."""
    return {
        name
        for by_id in manual.records.values()
        for record in by_id.values()
        for name in _calls(record)
    }


@per_record
def _calls(record: Record) -> frozenset[str]:
    names = {name for leaf in leading(record) for name in _names(leaf)}
    return frozenset(names - {record.id} if isinstance(record, Procedure) else names)


def _names(leaf: Leaf) -> Iterator[str]:
    if leaf.refers is None:
        yield from (one.id for one in references(leaf.value))
    elif "procedure" in leaf.refers.kinds:
        yield leaf.value


@rule(Severity.WARNING, Family.INTERVALS)
def task_of_emergency(subject: Subject) -> Iterator[Problem]:
    """The work of a task is an emergency procedure.

    A drill for a fire is no maintenance; very likely the task names the wrong procedure.

    Bad:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              fire-bottle:
                title: Look at the fire extinguisher
                calendar: every 12 months
                procedure: fire
                source: page 8
    Good:
        procedures/tasks.yaml
            document: marl-manual
            tasks:
              fire-bottle:
                title: Look at the fire extinguisher
                about: The pointer stands in the green.
                calendar: every 12 months
                source: page 8
    """
    for manual in subject.manuals:
        for task in manual.of(Task).values():
            work = manual.get(Procedure, task.procedure) if task.procedure is not None else None
            if work is not None and work.chapter == "emergency":
                message = f"the work of `{task.id}` is `{work.id}`, an emergency procedure"
                mend = "name a maintenance procedure, or say under `about:` what is done"
                note = Note(work.places.at("chapter"), f"the chapter of `{work.id}`")
                yield Problem(task.places.at("procedure"), message, mend, (note,))
