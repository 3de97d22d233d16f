"""What a run meets on its way: the events that a table shows, the faults that rules report."""

from __future__ import annotations

from enum import Enum, auto
from typing import Any

from placardry.finding import Note, Span, light
from placardry.runs.state import State


class What(Enum):
    """The kinds of faults that a run can meet."""

    NO_EFFECT = auto()  # a control whose needs are not met
    NO_POWER = auto()  # an instrument that is dark
    OTHER_POSITION = auto()  # an expected position that cannot be
    WRONG_SCREEN = auto()  # a menu step that starts from another screen
    OUT_OF_REACH = auto()  # a condition that cannot be brought about
    UNTRUE = auto()  # a reading where the instrument does not read true
    OUTSIDE = auto()  # a reading whose limit cannot be kept, or does not hold
    NEVER = auto()  # a branch that nothing leads to
    CALLED = auto()  # a procedure that cannot begin where a step calls for it
    FOLLOWS = auto()  # a procedure that cannot begin after the one before it
    ENDS = auto()  # an end that was not reached
    LEFT = auto()  # engine or control left live
    UNWARNED = auto()  # the propeller starts with no message before it


@light
class Fault:
    """One thing that certainly goes wrong on some way through a procedure.

    Attributes:
        what: the kind of fault
        span: the step, or the part of it
        name: the control, condition, screen or procedure that it is about
        subject: what was to happen to it, or what else is involved
        found: what is so instead, as words of the book
        wanted: what would be right
        related: the steps that led there
    """

    what: What
    span: Span
    name: str
    subject: str = ""
    found: str = ""
    wanted: str = ""
    related: tuple[Note, ...] = ()


@light
class Event:
    """One row of a run.

    Attributes:
        number: the step's number, with those of the branches around it
        step: the step; None for the head of a branch
        head: the words of a branch's case, or what `otherwise` says
        before: all that was possible before it; `after` likewise
        after: None where the run ends here
    """

    number: tuple[int, ...]
    step: Any
    head: str
    before: State
    after: State | None
