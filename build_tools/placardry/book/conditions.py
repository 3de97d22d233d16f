"""Conditions: where a limit holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from placardry.book.record import Record, Text, record
from placardry.finding import light
from placardry.interval import Interval

ENGINE_STATES = ("stopped", "running")


@light
class StatesOrSpan:
    """What one key of a condition asks for: a span of a parameter, or positions of a control.

    Shape: `above 7400 rpm`; or `full`; or `idle or part`.
    """

    span: Interval | None
    states: tuple[str, ...]

    SCHEMA_PATTERN = r"^.+$"
    EXAMPLES = ("above 7400 rpm", "full", "idle or part")

    @classmethod
    def parse(cls, text: str) -> StatesOrSpan:
        """Read a span where a digit stands in the text, else the states joined by `or`.

        Raises:
            Malformed: the text has a digit and is no span.
        """
        if any(char.isdigit() for char in text):
            return cls(Interval.parse(text), ())
        return cls(None, tuple(word.strip() for word in text.split(" or ")))

    def __str__(self) -> str:
        return str(self.span) if self.span is not None else " or ".join(self.states)


@record
class Condition(Record):
    """A box: states of controls and of the engine, times spans of parameters.

    Shape: beside its own keys, any key that is `engine`, a control (with positions) or a
    parameter (with a span): `{short: at full throttle, throttle: full}`.

    Attributes:
        short: the form that stands beside every figure, such as "at full throttle"
        box: what must hold, by control, parameter or `engine`
    """

    short: Text
    box: Mapping[str, StatesOrSpan] = field(metadata={"rest": True})
