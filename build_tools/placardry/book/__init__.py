"""The book: every record that the source files can hold, typed and immutable.

This floor knows what a record is made of, not whether a book of them makes sense.
Places take no part in equality: equal records mean the same.

To add a kind of record: write its dataclass in the file of its subject and give it a row here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from placardry import nodes
from placardry.book.cards import Card
from placardry.book.conditions import Condition
from placardry.book.controls import Control, Panel
from placardry.book.figures import (
    Derived,
    Example,
    Fact,
    Limit,
    Parameter,
    Quotation,
    Scale,
)
from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.book.machines import Airframe, Engine, Machine, ManualEntry, Market, Option
from placardry.book.pages import Page
from placardry.book.procedures import Procedure, ProcedureSequence
from placardry.book.record import Record
from placardry.book.settings import BookSettings
from placardry.book.sources import Approval, Document, Edition
from placardry.book.tasks import Fault, Task
from placardry.book.translations import Translation

# The collections that any file under procedures/ may hold, each a mapping of id to record.
COLLECTIONS: Mapping[str, type[Record]] = {
    "documents": Document,
    "markets": Market,
    "engines": Engine,
    "airframes": Airframe,
    "options": Option,
    "machines": Machine,
    "manuals": ManualEntry,
    "parameters": Parameter,
    "conditions": Condition,
    "limits": Limit,
    "scales": Scale,
    "facts": Fact,
    "derived": Derived,
    "examples": Example,
    "quotations": Quotation,
    "controls": Control,
    "alarms": Alarm,
    "settings": Setting,
    "sequences": ProcedureSequence,
    "tasks": Task,
    "faults": Fault,
}

# The records that fill a file of their own: `procedure: shutdown` and its fields below it.
SINGLES: Mapping[str, type[Record]] = {
    "instrument": Instrument,
    "panel": Panel,
    "procedure": Procedure,
    "card": Card,
}

# The name of each kind, as written in `{kind/id}`.
KINDS: Mapping[str, type[Record]] = {
    "document": Document,
    "market": Market,
    "engine": Engine,
    "airframe": Airframe,
    "option": Option,
    "machine": Machine,
    "manual": ManualEntry,
    "parameter": Parameter,
    "condition": Condition,
    "limit": Limit,
    "scale": Scale,
    "fact": Fact,
    "derived": Derived,
    "example": Example,
    "quotation": Quotation,
    "control": Control,
    "alarm": Alarm,
    "setting": Setting,
    "sequence": ProcedureSequence,
    "task": Task,
    "fault": Fault,
    "page": Page,
    **SINGLES,
}

R = TypeVar("R", bound=Record)

KIND_OF: Mapping[type[Record], str] = {record: kind for kind, record in KINDS.items()}


@dataclass(frozen=True, kw_only=True)
class Book:
    """Everything that the source files say.

    Shape: `records[kind][id]` is a tuple of statements; several statements of one id apply to
    different machines. `files` holds the bytes of each file, for excerpts.

    Attributes:
        parts: what the loader read from each file, for a later state that holds the same file
        broken: `kind/id` of records that could not be read; nobody complains of them twice
        unread: files that could not be read as a whole, so that any name may have stood there
    """

    settings: BookSettings
    records: Mapping[str, Mapping[str, tuple[Record, ...]]]
    approvals: tuple[Approval, ...] = ()
    editions: tuple[Edition, ...] = ()
    translations: Mapping[str, Mapping[str, Translation]] = field(default_factory=dict)
    broken: frozenset[str] = frozenset()
    unread: frozenset[str] = frozenset()
    files: Mapping[str, bytes] = field(default_factory=dict, compare=False, repr=False)
    roots: Mapping[str, nodes.Mapping] = field(default_factory=dict, compare=False, repr=False)
    parts: Mapping[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def may_hold_more(self) -> bool:
        """Whether a file of records could not be read, so that nobody can say what is missing."""
        return any(not path.startswith("procedures/translations/") for path in self.unread)

    def of(self, kind: type[R]) -> Mapping[str, tuple[R, ...]]:
        """All records of a kind by id, typed."""
        return self.records.get(KIND_OF[kind], {})  # type: ignore[return-value]
