"""Walks over a record: every text and every reference in it, each with its place.

The ways through a record are compiled once per class from its annotations, so that only the
fields that can hold a text or a reference are visited.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Iterator, Mapping
from functools import cache, wraps
from operator import is_not
from typing import Any, TypeVar

from placardry import nodes
from placardry.book.record import Refers, Text
from placardry.decoder import plan
from placardry.finding import Span, light
from placardry.nodes import Node

Path = tuple[str | int, ...]
Mention = tuple[str, Refers | None]  # of a leaf, its value and what kinds that may be of
V = TypeVar("V")
_KNOWN: list[dict[Any, Any]] = []  # what each function asked once has found


@light
class Leaf:
    """One text or one reference of a record.

    Attributes:
        value: the text, or the id written
        refers: what kinds the id may be of; None for a text
        path: the way from the record, as translations write it
        holder: the innermost record or part that knows its place
        below: the way from the holder
        is_key: the value is itself a key of the file, at the end of the way
    """

    value: str
    refers: Refers | None
    path: Path
    holder: Any
    below: Path
    is_key: bool = False

    @property
    def mention(self) -> Mention:
        """What it says, wherever it stands."""
        return (self.value, self.refers)

    @property
    def node(self) -> Node:
        """The value as it stands in its file; the nearest that holds it where it is not there."""
        places: nodes.Mapping = self.holder.places
        if self.is_key:
            around = places.node(*self.below[:-1])
            key = around.key(str(self.below[-1])) if isinstance(around, nodes.Mapping) else None
            return key or around
        return places.node(*self.below)

    @property
    def span(self) -> Span:
        """Where the value stands in its file."""
        return self.node.span


Visit = Callable[[Any, Path, Any, Path, list[Leaf]], None]


def per_record(found: Callable[..., V]) -> Callable[..., V]:
    """The function, asked once for the same records: a dozen rules ask the same of each.

    Records are told apart by where they are kept, for comparing two by meaning costs as much as
    a walk; they are kept with what was found, so that no other comes to stand there.
    """
    known: dict[Any, tuple[tuple[Any, ...], V]] = {}
    _KNOWN.append(known)

    @wraps(found)
    def ask(record: Any, *others: Any) -> V:
        key = (id(record), *map(id, others)) if others else id(record)
        kept = known.get(key)
        if kept is None:
            kept = known[key] = ((record, *others), found(record, *others))
        return kept[1]

    return ask


def forget() -> None:
    """Let go of what was found of the records of an earlier book, which a preview has many of."""
    for known in _KNOWN:
        known.clear()


@per_record
def leaves(record: Any) -> tuple[Leaf, ...]:
    """Every text and reference of the record, in order of its fields."""
    found: list[Leaf] = []
    cls: Any = type(record)
    visit = _visit_record(cls)
    if visit is not None:
        visit(record, (), record, (), found)
    return tuple(found)


@per_record
def leading(record: Any) -> tuple[Leaf, ...]:
    """The leaves that may lead somewhere: every reference, and every text with a brace."""
    return tuple(one for one in leaves(record) if one.refers is not None or "{" in one.value)


@per_record
def mentions(record: Any) -> frozenset[Mention]:
    """What the leading leaves say, each once."""
    return frozenset(one.mention for one in leading(record))


def texts(record: Any) -> Iterator[Leaf]:
    """The texts of the record."""
    return (leaf for leaf in leaves(record) if leaf.refers is None)


@cache
def _ways(cls: type) -> tuple[tuple[str, str, Visit], ...]:
    """The fields that can hold a text or a reference: name, key, and how to visit them."""
    ways = ((field.name, field.key, _visit(field.annotation)) for field in plan(cls))
    return tuple((name, key, visit) for name, key, visit in ways if visit is not None)


@cache
def _visit_record(cls: type) -> Visit | None:
    live = _ways(cls)
    has_places = "places" in getattr(cls, "__dataclass_fields__", ())

    def visit_record(value: Any, path: Path, holder: Any, below: Path, found: list[Leaf]) -> None:
        for name, key, visit in live:
            child = getattr(value, name)
            if not child and child != "":
                continue
            if has_places:
                visit(child, (*path, key), value, (key,), found)
            else:
                visit(child, (*path, key), holder, (*below, key), found)

    return visit_record if live else None


@cache
def _visit(annotation: Any) -> Visit | None:
    origin, args = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        return _leaf(args[1])
    if origin in (typing.Union, types.UnionType):
        members = [arg for arg in args if arg is not type(None)]
        return _visit(members[0]) if len(members) == 1 else _visit_any
    if origin is tuple:
        return _visit_items(args[0])
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return _visit_entries(*args)
    if isinstance(annotation, type) and issubclass(annotation, Text):
        return _leaf(None)
    is_part = "places" in getattr(annotation, "__dataclass_fields__", ())
    return _visit_any if is_part else None


def _visit_any(value: Any, path: Path, holder: Any, below: Path, found: list[Leaf]) -> None:
    cls: Any = type(value)
    visit = _visit_record(cls)
    if visit is not None:
        visit(value, path, holder, below, found)


def _visit_key(annotation: Any) -> Visit | None:
    if typing.get_origin(annotation) is not typing.Annotated:
        return None
    return _leaf(typing.get_args(annotation)[1], is_key=True)


def _leaf(refers: Refers | None, *, is_key: bool = False) -> Visit:
    def visit(value: Any, path: Path, holder: Any, below: Path, found: list[Leaf]) -> None:
        found.append(Leaf(value, refers, path, holder, below, is_key))

    return visit


def _visit_items(annotation: Any) -> Visit | None:
    one = _visit(annotation)
    if one is None:
        return None

    def visit(value: Any, path: Path, holder: Any, below: Path, found: list[Leaf]) -> None:
        for index, item in enumerate(value):
            one(item, (*path, index), holder, (*below, index), found)

    return visit


def _visit_entries(key_type: Any, value_type: Any) -> Visit | None:
    key_visit, value_visit = _visit_key(key_type), _visit(value_type)
    if key_visit is None and value_visit is None:
        return None

    def visit(value: Any, path: Path, holder: Any, below: Path, found: list[Leaf]) -> None:
        for key, item in value.items():
            if key_visit is not None:
                key_visit(key, (*path, key), holder, (*below, key), found)
            if value_visit is not None:
                value_visit(item, (*path, key), holder, (*below, key), found)

    return visit


def with_texts(record: Any, say: Callable[[Path, str], str | None], path: Path = ()) -> Any:
    """The record with each text replaced by what `say` gives for its path; None keeps it."""
    if isinstance(record, Text):
        said = say(path, record)
        return record if said is None or said == record else Text(said)
    if isinstance(record, tuple):
        items = tuple(with_texts(item, say, (*path, at)) for at, item in enumerate(record))
        return items if any(map(is_not, items, record)) else record
    if isinstance(record, dict):
        entries = {key: with_texts(item, say, (*path, key)) for key, item in record.items()}
        return entries if any(map(is_not, entries.values(), record.values())) else record
    if not hasattr(record, "places"):
        return record
    changes = {}
    cls: Any = type(record)
    for name, key, _ in _ways(cls):
        old = getattr(record, name)
        new = with_texts(old, say, (*path, key)) if old is not None else None
        if new is not old:
            changes[name] = new
    return record.but(**changes) if changes else record
