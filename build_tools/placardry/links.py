"""What a written reference leads to, among the records of a book or of one manual.

Works on any `records[kind][id]`; what it finds there it does not open, except to look for the
screens, channels, timers and buttons of an instrument.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from placardry.book import KINDS
from placardry.book.instruments import Instrument
from placardry.book.record import FIGURE_KINDS, Refers
from placardry.finding import light
from placardry.references import Reference

Records = Mapping[str, Mapping[str, Any]]

# Names that every manual has, for prose that several machines share: `{this/engine}`.
THIS = ("machine", "engine", "airframe", "publisher")

# Parts of an instrument that can be named as `instrument/part`.
NESTED = {"screen": "screens", "channel": "channels", "timer": "timers", "button": "buttons"}


@light
class Link:
    """Where a reference leads: a record, and perhaps a part of it.

    Attributes:
        part: for a figure its part; for an instrument the screen, channel, timer or button
        nested: which of these it is
    """

    kind: str
    id: str
    part: str | None = None
    nested: str | None = None


def follow(written: str, refers: Refers, records: Records) -> Link | None:
    """The link of a typed reference as written in YAML; None where nothing has that name."""
    head, slash, tail = written.partition("/")
    if slash and head in KINDS and head in refers.kinds:
        refers, written = Refers((head,), refers.closed), tail
    elif slash:
        wanted = [kind for kind in refers.kinds if kind in NESTED]
        return _inside(head, tail, wanted, records)
    name, _, part = written.partition(".")
    for kind in refers.kinds:
        if name in records.get(kind, ()):
            return Link(kind, name, part or None)
    return None


def follow_text(reference: Reference, records: Records) -> Link | None:
    """The link of a reference in a text.

    A figure comes first where a name belongs to several kinds; a kind that is no kind is the
    name of an instrument, and what follows names one of its parts.
    """
    kind, name, part = reference.kind, reference.id, reference.part
    if kind == "this":
        return Link("this", name) if name in THIS else None
    if kind is not None and kind not in KINDS:
        return _inside(kind, name, NESTED, records)
    kinds = [kind] if kind is not None else [*FIGURE_KINDS, *KINDS]
    for candidate in kinds:
        if name in records.get(candidate, ()):
            return Link(candidate, name, part)
    return None


def _inside(instrument: str, part: str, wanted: Iterable[str], records: Records) -> Link | None:
    found = records.get("instrument", {}).get(instrument)
    if found is None:
        return None
    statements: tuple[Instrument, ...] = found if isinstance(found, tuple) else (found,)
    for statement in statements:
        for nested in wanted:
            if part in (getattr(statement, NESTED[nested]) or ()):
                return Link("instrument", instrument, part, nested)
    return None


def names_for(refers: Refers, records: Records) -> list[str]:
    """The names that a typed reference of these kinds could have meant."""
    names = [name for kind in refers.kinds for name in records.get(kind, ())]
    for nested in (kind for kind in refers.kinds if kind in NESTED):
        for name, found in records.get("instrument", {}).items():
            for statement in found if isinstance(found, tuple) else (found,):
                names += [f"{name}/{part}" for part in getattr(statement, NESTED[nested]) or ()]
    return names
