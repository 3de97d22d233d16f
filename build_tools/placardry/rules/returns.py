"""Rules on an `otherwise` that leads back into its procedure."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.procedures import Procedure
from placardry.finding import Family, Severity
from placardry.rules.hazards import step_lists
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every


@rule(Severity.ERROR, Family.PROCEDURES)
def return_from_nowhere(subject: Subject) -> Iterator[Problem]:
    """An `otherwise` says that one returns, and sends nobody away.

    `returns: yes` stands beside `do:`, the procedure from which one comes back.

    Bad:
        procedures/wake.yaml
            procedure: wake
            title: Wake the display
            chapter: operation
            when: before each flight
            ends: {master: on}
            steps:
              - set: {master: on}
                expect: {text: The display lights.}
                otherwise: {text: Look at the fuse., returns: yes}
    Good:
        procedures/wake.yaml
            procedure: wake
            title: Wake the display
            chapter: operation
            when: before each flight
            ends: {master: on}
            steps:
              - set: {master: on}
                expect: {text: The display lights.}
                otherwise: {text: Look at the fuse.}
    """
    for procedure in every(subject.book, Procedure):
        for steps in step_lists(procedure):
            for step in steps:
                other = getattr(step, "otherwise", None)
                if other is not None and other.returns and other.do is None:
                    message = "`returns: yes` stands here, and no `do:` from which to return"
                    mend = "add `do:` with the procedure, or remove `returns:`"
                    yield Problem(step.places.at("otherwise", "returns"), message, mend)
