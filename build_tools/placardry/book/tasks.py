"""Maintenance tasks with their intervals, and the fault finder."""

from __future__ import annotations

import re
from typing import Literal

from placardry.book.record import (
    FaultId,
    FigureId,
    Part,
    ProcedureId,
    Record,
    Text,
    TimerId,
    record,
)
from placardry.book.sources import Source
from placardry.errors import Malformed
from placardry.finding import light
from placardry.quantity import Quantity


@light
class Series:
    """When work falls due: at the first points, then again and again.

    Shape: `every 25 h`, `at 1, 5, 10 h`, or `at 1, 5, 10 h, then every 25 h`; in hours,
    flights, months or years.
    """

    points: tuple[Quantity, ...]
    every: Quantity | None

    SCHEMA_PATTERN = r"^(at .+|every .+)$"
    EXAMPLES = ("every 25 h", "at 1, 5, 10 h, then every 25 h", "every 12 months")

    @classmethod
    def parse(cls, text: str) -> Series:
        """Read a series.

        Raises:
            Malformed: the text has another shape, or one of its figures cannot be read.
        """
        found = re.fullmatch(r"(?:at (?P<points>.+?))?(?:(?:, then )?every (?P<every>.+))?", text)
        if not text or not found or (found["points"] and ", then every" in found["points"]):
            raise Malformed(
                f"`{text}` is not an interval",
                f"write `{_meant(text)}`, or `at 1, 5, 10 h, then every 25 h`",
            )
        points: tuple[Quantity, ...] = ()
        if found["points"]:
            *heads, last = [part.strip() for part in found["points"].split(",")]
            end = Quantity.parse(last)
            # The unit is written once, behind the last point.
            suffix = last[re.match(r"[^\s]+", last).end() :]  # type: ignore[union-attr]
            points = (*(Quantity.parse(head + suffix) for head in heads), end)
        every = Quantity.parse(found["every"]) if found["every"] else None
        return cls(points, every)

    def __str__(self) -> str:
        every = [f"every {self.every}"] if self.every else []
        if not self.points:
            return every[0]
        *heads, last = map(str, self.points)
        points = ", ".join([*(one.partition(" ")[0] for one in heads), last])
        return ", then ".join([f"at {points}", *every])


def _meant(text: str) -> str:
    """An interval as it is written, where the text is a figure alone with that figure."""
    try:
        return f"every {Quantity.parse(text)}"
    except Malformed:
        return "every 25 h"


@record
class SevereUse(Part):
    """The shorter interval for hard use, and what counts as hard."""

    when: Text
    hours: Series | None = None
    calendar: Series | None = None


@record
class Task(Record):
    """Maintenance work and when it falls due; of several intervals the first to come counts.

    Attributes:
        title: the work, as a command
        hours: running hours
        calendar: months or years
        end_of_month: a calendar interval runs to the last day of its month
        each: done every time
        after: events that call for it
        life: replaced this long after it was fitted
        tolerance: how far it may be overrun
        overrun: whether an overrun is taken off the next interval
        watch: the figure from which wear is watched
        reject: the figure at which the part is replaced
        by: who may do it
        reminded_by: the timer that counts it down
    """

    title: Text
    about: Text | None = None
    hours: Series | None = None
    calendar: Series | None = None
    end_of_month: bool = False
    each: Literal["flight", "flying-day"] | None = None
    after: tuple[Text, ...] = ()
    life: Quantity | None = None
    tolerance: Quantity | None = None
    overrun: Literal["deducted", "not-deducted"] = "deducted"
    severe: SevereUse | None = None
    watch: FigureId | None = None
    reject: FigureId | None = None
    by: Literal["owner", "dealer"] = "owner"
    procedure: ProcedureId | None = None
    reminded_by: TimerId | None = None
    source: Source | None = None


@record
class Cause(Part):
    """One cause of a fault.

    Attributes:
        confirm: how the owner makes sure that it is this one
        remedy: what to do about it
        see: the procedure that does it
    """

    cause: Text
    confirm: Text
    remedy: Text
    see: ProcedureId | None = None


@record
class Fault(Record):
    """A symptom, its causes in the order of likelihood, and whether flight may go on."""

    symptom: Text
    flight: Literal["continue", "land-soon", "land-at-once", "do-not-take-off"]
    why: Text | None = None
    causes: tuple[Cause, ...]
    see: tuple[FaultId, ...] = ()
