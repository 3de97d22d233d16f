"""Rules on procedures as runs: what a step cannot do in the state in which it is reached."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.finding import Family, Severity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.where import on_machines
from placardry.runs import Fault, What


def met(subject: Subject, *whats: What) -> Iterator[tuple[Manual, Fault]]:
    """The faults of these kinds, in the runs of every manual."""
    for manual in subject.manuals:
        yield from ((manual, fault) for fault in subject.runs[manual.id] if fault.what in whats)


@rule(Severity.ERROR, Family.PROCEDURES)
def control_without_effect(subject: Subject) -> Iterator[Problem]:
    """A step works a control, a key or a display that certainly has no effect there.

    What it needs (`needs:`) is not so after the steps before it. The owner presses, nothing
    happens, and the next steps are done on a machine in another state than they suppose.

    Source: common practice, no source.

    Bad:
        procedures/light.yaml
            controls:
              light:
                name: light button
                kind: button
                needs: {master: on}
                gestures: {press: {does: Switches the light on.}}
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            steps:
              - set: {master: off}
              - press: light
    Good:
        procedures/light.yaml
            controls:
              light:
                name: light button
                kind: button
                needs: {master: on}
                gestures: {press: {does: Switches the light on.}}
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            steps:
              - press: light
              - set: {master: off}
    """
    yield from on_machines(
        (manual, _without_effect(one))
        for manual, one in met(subject, What.NO_EFFECT, What.NO_POWER)
    )


def _without_effect(one: Fault) -> Problem:
    what = "has no effect" if one.what is What.NO_EFFECT else "is dark"
    return Problem(
        one.span,
        f"`{one.name}` {what} here, because `{one.subject}` is {one.found}",
        f"bring `{one.subject}` to `{one.wanted}` before this step, or move the step",
        one.related,
    )


@rule(Severity.ERROR, Family.PROCEDURES)
def impossible_position(subject: Subject) -> Iterator[Problem]:
    """A control or an accessory cannot be in the position that a step expects.

    The gestures before it lead to another mode. The owner sees something else than the manual
    says, and takes a sound machine for a faulty one.

    Source: common practice, no source.

    Bad:
        procedures/light.yaml
            controls:
              light:
                name: light button
                kind: button
                positions: {off: {does: Is dark.}, on: {does: Shines.}, flash: {does: Flashes.}}
                gestures: {press: {does: Goes on., moves: {off: on, on: flash, flash: off}}}
        procedures/use-light.yaml
            procedure: use-light
            title: Use the light
            chapter: operation
            when: in the dusk
            begins: {light: off}
            steps:
              - press: light
                expect: {position: {light: flash}}
    Good:
        procedures/light.yaml
            controls:
              light:
                name: light button
                kind: button
                positions: {off: {does: Is dark.}, on: {does: Shines.}, flash: {does: Flashes.}}
                gestures: {press: {does: Goes on., moves: {off: on, on: flash, flash: off}}}
        procedures/use-light.yaml
            procedure: use-light
            title: Use the light
            chapter: operation
            when: in the dusk
            begins: {light: off}
            steps:
              - press: light
                expect: {position: {light: on}}
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.name}` cannot be `{one.wanted}` here, it is {one.found}",
                "correct the expected position, or the steps that lead to it",
                one.related,
            ),
        )
        for manual, one in met(subject, What.OTHER_POSITION)
    )


@rule(Severity.WARNING, Family.PROCEDURES)
def branch_never_taken(subject: Subject) -> Iterator[Problem]:
    """Nothing can lead to a branch: an `otherwise` without a response, a case given twice.

    The owner is not told what would make them follow it.

    Source: common practice, no source.

    Bad:
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            steps:
              - set: {master: off}
                otherwise: {text: Pull the plug.}
    Good:
        procedures/leave.yaml
            procedure: leave
            title: Leave the machine
            chapter: operation
            when: after each flight
            steps:
              - set: {master: off}
                expect: {text: The display goes dark.}
                otherwise: {text: Pull the plug.}
    """
    for _, one in met(subject, What.NEVER):
        if one.subject:
            mend = "give the case other words, or remove it"
            yield Problem(one.span, f"the case `{one.name}` is given twice", mend)
        else:
            mend = "add `expect:` with what should be seen, or remove `otherwise:`"
            yield Problem(one.span, "nothing can lead to this `otherwise`", mend)
