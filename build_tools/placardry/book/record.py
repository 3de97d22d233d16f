"""What every record of a book has in common, and the types that its fields are made of.

A record is a frozen dataclass. Its annotations are the format: the decoder reads YAML by them,
the JSON Schema comes from them, and the loader follows the `Refers` in them. A field's YAML key
is its name with hyphens (`does_not` is `does-not`, `for_` is `for`).
"""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
from typing import Annotated, Any, ClassVar, TypeVar, dataclass_transform

from placardry import nodes
from placardry.finding import equals, hashed, shown

T = TypeVar("T", bound="Frozen")


class Frozen:
    """What `dataclass(frozen=True)` writes anew for each class, written once for all records.

    Compiling those methods for every record took longer than reading a small book.
    """

    _names: ClassVar[frozenset[str]]
    _defaults: ClassVar[dict[str, Any]]
    _meaning: ClassVar[Any]

    def __init__(self, **given: Any) -> None:
        values = self._defaults | given
        if values.keys() != self._names:
            wrong = ", ".join(sorted(values.keys() ^ self._names))
            raise TypeError(f"{type(self).__name__} lacks or does not know {wrong}")
        vars(self).update(values)

    def but(self: T, **changes: Any) -> T:
        """The record with other values in these fields; `dataclasses.replace` asks for each one."""
        if not changes.keys() <= self._names:
            wrong = ", ".join(sorted(changes.keys() - self._names))
            raise TypeError(f"{type(self).__name__} does not know {wrong}")
        made = object.__new__(type(self))
        vars(made).update(vars(self) | changes)
        return made

    def __setattr__(self, name: str, value: object) -> None:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> None:
        raise FrozenInstanceError(f"cannot delete field {name!r}")

    __eq__, __hash__, __repr__ = equals, hashed, shown


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(field,))
def record(cls: type[T]) -> type[T]:
    """Make a class of the book a dataclass that is frozen and whose fields are given by name."""
    made = dataclass(init=False, repr=False, eq=False, match_args=False, kw_only=True)(cls)
    own = fields(made)  # type: ignore[arg-type]
    made._names = frozenset(one.name for one in own)
    made._defaults = {one.name: one.default for one in own if one.default is not MISSING}
    for name in made._defaults.keys() & vars(made).keys():
        delattr(made, name)  # else a class below that asks for the field would inherit the default
    made._meaning = attrgetter("__class__", *(one.name for one in own if one.compare))
    return made


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
ReadingId = Annotated[str, refers("channel", "timer")]  # `instrument/channel`, or a timer of it
TimerId = Annotated[str, refers("timer")]  # `instrument/timer`
ButtonId = Annotated[str, refers("control", "button")]  # a control, or `instrument/button`

AnyEngine = Annotated[str, refers("engine", closed=False)]
AnyAirframe = Annotated[str, refers("airframe", closed=False)]
AnyMachine = Annotated[str, refers("machine", closed=False)]
AnyOption = Annotated[str, refers("option", closed=False)]
AnyMarket = Annotated[str, refers("market", closed=False)]


@record
class Applicability(Frozen):
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


@record
class Record(Frozen):
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


@record
class Part(Frozen):
    """A piece of a record that has no name of its own."""

    places: nodes.Mapping = field(compare=False, repr=False)
