"""Rules on how procedures begin and end as runs, and how they follow each other."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.runs import met
from placardry.rules.where import on_machines
from placardry.runs import Fault, What


@rule(Severity.ERROR, Family.PROCEDURES)
def cannot_begin_here(subject: Subject) -> Iterator[Problem]:
    """A step calls for a procedure that cannot begin in the state in which it is called.

    Its `begins` says otherwise. The owner stands before a first step that supposes another
    machine than theirs.

    Source: common practice, no source.

    Bad:
        procedures/wake.yaml
            procedure: wake
            title: Wake the display
            chapter: operation
            when: before each flight
            begins: {master: off}
            steps: [{set: {master: on}}]
        procedures/look.yaml
            procedure: look-over
            title: Look the machine over
            chapter: operation
            when: before each flight
            steps: [{set: {master: on}}, {perform: wake}]
    Good:
        procedures/wake.yaml
            procedure: wake
            title: Wake the display
            chapter: operation
            when: before each flight
            begins: {master: off}
            steps: [{set: {master: on}}]
        procedures/look.yaml
            procedure: look-over
            title: Look the machine over
            chapter: operation
            when: before each flight
            steps: [{set: {master: off}}, {perform: wake}]
    """
    yield from on_machines((manual, _begins(one)) for manual, one in met(subject, What.CALLED))


@rule(Severity.ERROR, Family.PROCEDURES)
def sequence_breaks(subject: Subject) -> Iterator[Problem]:
    """A procedure of a sequence cannot begin where the one before it ends.

    The owner who goes from one to the next finds a machine that the next is not for.

    Source: common practice, no source.

    Bad:
        procedures/wake.yaml
            procedure: wake
            title: Wake the display
            chapter: operation
            when: before each flight
            begins: {master: off}
            steps: [{set: {master: on}}]
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            begins: {master: off}
            steps: [{look: the wing, expect: {text: It is dry.}}]
        procedures/sequences.yaml
            sequences:
              day: {title: A flying day, procedures: [wake, leave]}
    Good:
        procedures/wake.yaml
            procedure: wake
            title: Wake the display
            chapter: operation
            when: before each flight
            begins: {master: off}
            steps: [{set: {master: on}}]
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            begins: {master: on}
            steps: [{set: {master: off}}]
        procedures/sequences.yaml
            sequences:
              day: {title: A flying day, procedures: [wake, leave]}
    """
    yield from on_machines((manual, _begins(one)) for manual, one in met(subject, What.FOLLOWS))


def _begins(one: Fault) -> Problem:
    return Problem(
        one.span,
        f"`{one.name}` begins with `{one.subject}` `{one.wanted}`, and here it is {one.found}",
        f"bring `{one.subject}` to `{one.wanted}` before it, or correct what is declared",
        one.related,
    )


@rule(Severity.ERROR, Family.PROCEDURES)
def end_not_reached(subject: Subject) -> Iterator[Problem]:
    """A procedure says that it ends in a state, and a way through its steps ends in another.

    What follows it relies on `ends`: the next procedure, and the hands of the next person. An
    act written as `do:` is not known to move a control; write it as `set:`, `press:` or `hold:`.

    Source: common practice, no source.

    Bad:
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            ends: {master: off}
            steps: [{set: {master: on}}]
    Good:
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            ends: {master: off}
            steps: [{set: {master: off}}]
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.subject}` says that `{one.name}` ends at `{one.wanted}`, "
                f"and its steps end with {one.found}",
                f"add the step that brings `{one.name}` to `{one.wanted}`, or correct `ends:`",
                one.related,
            ),
        )
        for manual, one in met(subject, What.ENDS)
    )
