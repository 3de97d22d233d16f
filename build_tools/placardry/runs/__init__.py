"""Procedures as runs: each is carried out over what is declared of the machine.

A run begins with everything that a procedure allows and follows every branch. What is not
declared is unknown, and the run covers each of its values, so that a fault is one that certainly
happens on some way through the steps. The state of the machine is a `State`; `effects` knows what
controls do to it, `acts` and `readings` what one step does, `walking` the order of steps.
"""

from __future__ import annotations

from placardry.book.procedures import ProcedureSequence
from placardry.resolve import Manual
from placardry.runs.met import Event, Fault, What
from placardry.runs.state import State
from placardry.runs.walking import Walk
from placardry.stated import Figures


def faults(manual: Manual, figures: Figures) -> tuple[Fault, ...]:
    """What goes wrong in the procedures of a manual, each alone and in its sequences."""
    walk = Walk(manual, figures)
    for name in walk.procedures:
        walk.alone(name)
    for sequence in manual.of(ProcedureSequence).values():
        walk.sequence(sequence)
    # In a sequence one message is enough, if every sequence has one before the procedure.
    told = {name for name, warned in walk.entered.items() if warned == {True}}
    return tuple(
        fault
        for fault in walk.faults.values()
        if fault.what is not What.UNWARNED or fault.name not in told
    )


def events(manual: Manual, figures: Figures, procedure: str) -> tuple[Event, ...]:
    """The run of one procedure by itself, row by row."""
    walk = Walk(manual, figures, recording=True)
    walk.alone(procedure)
    return tuple(walk.events)


__all__ = ["Event", "Fault", "State", "What", "events", "faults"]
