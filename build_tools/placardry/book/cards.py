"""Cards: printed faces for a cockpit, a lid, a wall."""

from __future__ import annotations

from typing import Annotated, Literal

from placardry.book.record import (
    AlarmId,
    FigureId,
    ParameterId,
    Part,
    ProcedureId,
    Record,
    TaskId,
    Text,
    record,
    refers,
)


@record
class Block(Part):
    """One block of a card: a heading, and exactly one of the other keys.

    Attributes:
        scales: scales with their bands
        limits: limits by id
        limits_of: every limit of these parameters
        facts: facts by id
        alarms: alarms by id
        tasks: tasks with their intervals
        procedure: the steps of a procedure
        text: a sentence
    """

    heading: Text | None = None
    scales: tuple[Annotated[str, refers("scale")], ...] = ()
    limits: tuple[Annotated[str, refers("limit")], ...] = ()
    limits_of: tuple[ParameterId, ...] = ()
    facts: tuple[FigureId, ...] = ()
    alarms: tuple[AlarmId, ...] = ()
    tasks: tuple[TaskId, ...] = ()
    procedure: ProcedureId | None = None
    text: Text | None = None


@record
class Card(Record):
    """A printed face.

    Attributes:
        size: a size that the package knows, such as `A6 landscape`
        audience: who reads it
        place: where it is put
        shows: its blocks, top to bottom
    """

    title: Text
    size: str
    audience: Literal["pilot", "owner", "dealer"] = "pilot"
    place: Text
    shows: tuple[Block, ...]
