"""What every record of a book has in common, and the types that its fields are made of.

A record is a frozen dataclass. Its annotations are the format: the decoder reads YAML by them,
the JSON Schema comes from them, and the loader follows the `Refers` in them. A field's YAML key
is its name with hyphens (`does_not` is `does-not`, `for_` is `for`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from placardry import nodes


class Text(str):
    """Words for people, which may hold references such as `{coolant.red}`; translatable."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> Text:
        """The text as it stands; its references are judged by the rules."""
        return cls(text)


@dataclass(frozen=True, slots=True)
class Refers:
    """Marks a text that is the id of a record of one of `kinds`.

    `closed` references must lead to something in the same manual; the others (an option that
    a machine lists, a market that a setting names) only to something in the book.
    """

    kinds: tuple[str, ...]
    closed: bool = True


def refers(*kinds: str, closed: bool = True) -> Refers:
    """A `Refers` for these kinds; a short form for annotations."""
    return Refers(kinds, closed)


# Kinds whose records hold figures: what `{id}` in prose turns into a number.
FIGURE_KINDS = (
    "limit",
    "scale",
    "fact",
    "derived",
    "example",
    "alarm",
    "setting",
    "task",
    "condition",
    "instrument",
)

ParameterId = Annotated[str, refers("parameter")]
ConditionId = Annotated[str, refers("condition")]
DocumentId = Annotated[str, refers("document")]
InstrumentId = Annotated[str, refers("instrument")]
ControlId = Annotated[str, refers("control")]
ProcedureId = Annotated[str, refers("procedure")]
FaultId = Annotated[str, refers("fault")]
TaskId = Annotated[str, refers("task")]
AlarmId = Annotated[str, refers("alarm")]
SettingId = Annotated[str, refers("setting")]
FigureId = Annotated[str, refers(*FIGURE_KINDS)]  # `id` or `id.part`
ScreenId = Annotated[str, refers("screen")]  # `instrument/screen`
ChannelId = Annotated[str, refers("channel")]  # `instrument/channel`
TimerId = Annotated[str, refers("timer")]  # `instrument/timer`
ButtonId = Annotated[str, refers("control", "button")]  # a control, or `instrument/button`

AnyEngine = Annotated[str, refers("engine", closed=False)]
AnyAirframe = Annotated[str, refers("airframe", closed=False)]
AnyMachine = Annotated[str, refers("machine", closed=False)]
AnyOption = Annotated[str, refers("option", closed=False)]
AnyMarket = Annotated[str, refers("market", closed=False)]


@dataclass(frozen=True, kw_only=True, slots=True)
class Applicability:
    """The machines that something is for: each key given must name the machine's own.

    Shape: every key holds one id or a list of which one must match; an option matches where it
    is fitted or supplied loose, `without-option` where it is neither.
    """

    engine: tuple[AnyEngine, ...] = ()
    airframe: tuple[AnyAirframe, ...] = ()
    machine: tuple[AnyMachine, ...] = ()
    option: tuple[AnyOption, ...] = ()
    without_option: tuple[AnyOption, ...] = ()
    market: tuple[AnyMarket, ...] = ()
    places: nodes.Mapping = field(compare=False, repr=False)


@dataclass(frozen=True, kw_only=True, slots=True)
class Record:
    """One named thing of a book.

    Attributes:
        id: its name, unique among records of its kind that share a machine
        applies: all of these must hold; empty means every machine
        statement: its number, where its name holds a list of statements in the file
        places: the YAML mapping that it came from, for pointing at its parts
    """

    id: str
    applies: tuple[Applicability, ...] = ()
    statement: int | None = field(default=None, compare=False, repr=False)
    places: nodes.Mapping = field(compare=False, repr=False)


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A piece of a record that has no name of its own."""

    places: nodes.Mapping = field(compare=False, repr=False)
