"""Procedures, their steps and their hazard statements."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from placardry.book.record import (
    Applicability,
    ButtonId,
    ConditionId,
    ControlId,
    FaultId,
    FigureId,
    ParameterId,
    Part,
    ProcedureId,
    ReadingId,
    Record,
    ScreenId,
    SettingId,
    Text,
    record,
)
from placardry.book.sources import Source

SignalWord = Literal["danger", "warning", "caution", "notice"]


@record
class Hazard(Part):
    """A safety message in its three parts, before the step that it concerns.

    Source: signal words and their meaning by ANSI Z535.4; the three parts by ANSI Z535.6.
    """

    signal: SignalWord
    hazard: Text
    consequence: Text
    avoid: Text


@record
class Expect(Part):
    """What must be seen after a step: exactly one of these.

    Attributes:
        position: controls and where they then stand
        limit: the figure in which the reading then lies
        text: anything else, as the wanted state
        nothing: no visible change, and why that is right
    """

    position: Mapping[ControlId, str] | None = None
    limit: FigureId | None = None
    text: Text | None = None
    nothing: Text | None = None


@record
class Otherwise(Part):
    """What to do when the expected response does not come.

    Attributes:
        returns: whether one comes back after `do` and goes on with the next step
    """

    text: Text | None = None
    do: ProcedureId | None = None
    see: FaultId | None = None
    returns: bool = False


@record
class Step(Part):
    """What every step may carry beside its action.

    Attributes:
        note: a sentence more, after the action
        expect: the response
        otherwise: what to do when it does not come
        memory: to be known by heart
        applies: the machines on which the step is done
    """

    note: Text | None = None
    expect: Expect | None = None
    otherwise: Otherwise | None = None
    memory: bool = False
    applies: tuple[Applicability, ...] = ()


@record
class HazardStep(Step):
    """A safety message in its place among the steps."""

    hazard: Hazard


@record
class SetStep(Step):
    """Put a control into a position: `set: {master: on}`."""

    set: Mapping[ControlId, str]


@record
class PressStep(Step):
    """Press a button shortly; `times` is a figure."""

    press: ButtonId
    times: FigureId | None = None


@record
class HoldStep(Step):
    """Hold a button; `for` is a figure, else until the expected response."""

    hold: ButtonId
    for_: FigureId | None = None


@record
class PullStep(Step):
    """Pull a handle; `times` is a figure."""

    pull: ControlId
    times: FigureId | None = None


@record
class TogetherStep(Step):
    """Hold several buttons at once."""

    together: tuple[ButtonId, ...]
    for_: FigureId | None = None


@record
class GoToStep(Step):
    """Go to a screen; the key presses come from the instrument's screens."""

    go_to: ScreenId


@record
class AdjustStep(Step):
    """Change a setting to a value, or to the delivered one."""

    adjust: SettingId
    to: Text | None = None


@record
class BringStep(Step):
    """Bring the machine into a condition."""

    bring: ConditionId


@record
class WaitStep(Step):
    """Wait for a time, a figure."""

    wait: FigureId


@record
class WaitUntilStep(Step):
    """Wait until something is so."""

    wait_until: Text


@record
class ReadStep(Step):
    """Read a channel, a timer or a parameter, and note it where `record` says."""

    read: ReadingId | None = None
    reading: ParameterId | None = None
    record: Text | None = None


@record
class LookStep(Step):
    """Look at something; the expected response says what is right."""

    look: Text


@record
class DoStep(Step):
    """Any other action, as one command."""

    do: Text


@record
class PerformStep(Step):
    """Carry out another procedure."""

    perform: ProcedureId


@record
class Branch(Part):
    """One case of a choice."""

    when: Text
    steps: tuple[AnyStep, ...]


@record
class ChooseStep(Step):
    """Follow the branch whose case is true."""

    choose: tuple[Branch, ...]


@record
class ForEachStep(Step):
    """Do the steps for each of several things, in order."""

    for_each: tuple[Text, ...]
    steps: tuple[AnyStep, ...]


AnyStep = (
    HazardStep
    | SetStep
    | PressStep
    | HoldStep
    | PullStep
    | TogetherStep
    | GoToStep
    | AdjustStep
    | BringStep
    | WaitStep
    | WaitUntilStep
    | ReadStep
    | LookStep
    | DoStep
    | PerformStep
    | ChooseStep
    | ForEachStep
)


@record
class Procedure(Record):
    """A sequence of steps with a reason, a beginning and an end.

    Attributes:
        title: what is done, as a command
        chapter: where it stands in the manual
        when: what calls for it
        begins: what must be so at the start, by control or `engine`
        ends: what is so at the end
        hands_over: what the owner is left with when it ends with the engine running or live
        persons: how many people it takes
        time: how long it takes, a figure
    """

    title: Text
    chapter: Literal["operation", "set-up", "emergency", "maintenance"]
    when: Text
    purpose: Text | None = None
    begins: Mapping[str, str] | None = None
    ends: Mapping[str, str] | None = None
    hands_over: Text | None = None
    persons: int | None = None
    time: FigureId | None = None
    tools: tuple[Text, ...] = ()
    supplies: tuple[Text, ...] = ()
    steps: tuple[AnyStep, ...]
    source: Source | None = None


@record
class ProcedureSequence(Record):
    """Procedures that follow each other, such as those of a flying day."""

    title: Text
    procedures: tuple[ProcedureId, ...]
