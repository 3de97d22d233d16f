"""From nodes to records, by the annotations of the record's dataclass.

The annotations are compiled once per class into readers: a reader takes a node and gives a value,
or reports a finding and gives `BROKEN`. Every field of a record is read, so that one pass shows
every mistake; a record with a broken field is itself broken. Reading never guesses: a word is a
number or a date only where its field's type says so.
"""

from __future__ import annotations

import collections.abc
import dataclasses
import re
import sys
import types
import typing
import unicodedata
from collections.abc import Callable, Iterable
from datetime import date
from functools import cache, partial
from typing import Any, Literal, TypeVar

from placardry.book.record import FIGURE_KINDS, Refers
from placardry.errors import Malformed
from placardry.finding import Finding, did_you_mean, light
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.references import ID
from placardry.shapes import BAD_ID, MALFORMED, MISSING_KEY, UNKNOWN_KEY, WRONG_SHAPE
from placardry.source_text import shortened

BROKEN: Any = object()

T = TypeVar("T")
Report = Callable[[Finding], None]
Reader = Callable[[Node, Report], Any]

_ID = re.compile(rf"^{ID}$")
_REFERENCE = re.compile(rf"^(?:{ID}/)?{ID}(?:\.{ID}|\.[a-z0-9-]+)?$")


def decode(cls: type[T], node: Node, report: Report, **given: Any) -> T | None:
    """A record of class `cls` from its node; None, and findings, if it cannot be read.

    Args:
        cls: a dataclass of `placardry.book`
        node: what stands in the file
        report: takes each finding
        given: fields that are not in the node, such as `id`
    """
    key: Any = cls
    value = _record_reader(key)(node, report, given)
    return None if value is BROKEN else value


def yaml_key(name: str) -> str:
    """The YAML key of a dataclass field: hyphens for underscores, no trailing one."""
    return name.rstrip("_").replace("_", "-")


@light
class FieldPlan:
    """How one field of a record is read.

    `rest` marks the field that takes every key that no other field names.
    """

    name: str
    key: str
    annotation: Any
    required: bool
    rest: bool


@cache
def plan(cls: type) -> tuple[FieldPlan, ...]:
    """The fields of a record that stand in the file, in order of declaration."""
    written_in = {
        name: base.__module__
        for base in reversed(cls.__mro__)
        for name in vars(base).get("__annotations__", ())
    }
    return tuple(
        FieldPlan(
            name=field.name,
            key=yaml_key(field.name),
            annotation=_type(str(field.type), written_in[field.name]),
            required=field.default is dataclasses.MISSING
            and field.default_factory is dataclasses.MISSING,
            rest=bool(field.metadata.get("rest")),
        )
        for field in dataclasses.fields(cls)
        if field.name not in ("id", "places", "statement")
    )


@cache
def _type(written: str, module: str) -> Any:
    """What an annotation means. Many fields share few, and to read one takes long."""
    alone = types.SimpleNamespace(__annotations__={"it": written})
    return typing.get_type_hints(alone, vars(sys.modules[module]), include_extras=True)["it"]


@cache
def _record_reader(cls: type) -> Callable[[Node, Report, dict[str, Any]], Any]:
    fields = plan(cls)
    by_key = {field.key: (field, reader_of(field.annotation)) for field in fields if not field.rest}
    rest = next(((field, reader_of(field.annotation)) for field in fields if field.rest), None)
    required = [field for field in fields if field.required and not field.rest]
    has_places = any(field.name == "places" for field in dataclasses.fields(cls))

    def read(node: Node, report: Report, given: dict[str, Any]) -> Any:
        if not isinstance(node, Mapping):
            return wrong_shape(node, _KEYS, report, "; known keys are " + _words(by_key))
        values = dict(given)
        broken = False
        others: list[tuple[Scalar, Node]] = []
        for key, below in node.entries:
            known = by_key.get(key.text)
            if known is None:
                others.append((key, below))
                continue
            field, reader = known
            value = BROKEN if is_gap(below) else reader(below, report)
            if field.required and value == {}:
                value = _nothing(field, below, report)
            values[field.name] = value
            broken = broken or value is BROKEN
        if rest is not None:
            value = values[rest[0].name] = rest[1](Mapping(tuple(others), node.span), report)
            broken = broken or value is BROKEN
        else:
            for key, _ in others:
                broken = True
                mend = did_you_mean(key.text, by_key, "remove it; known keys are " + _words(by_key))
                message = f"`{shortened(key.text)}` is not a key here"
                report(Finding(UNKNOWN_KEY, key.span, message, mend))
        for field in required:
            if field.name not in values:
                broken = True
                report(_missing(node, field.key))
        if broken:
            return BROKEN
        if has_places:
            values.setdefault("places", node)
        return cls(**values)

    return read


def _missing(node: Mapping, key: str) -> Finding:
    first = node.entries[0][0].span if node.entries else node.span
    return Finding(MISSING_KEY, first, f"`{key}:` is missing", f"add `{key}:` here")


def _nothing(field: FieldPlan, node: Node, report: Report) -> Any:
    words = zip(typing.get_args(field.annotation), ("NAME", "VALUE"), strict=True)
    pair = ": ".join(next(iter(getattr(cls, "EXAMPLES", ())), word) for cls, word in words)
    mend = f"write at least one key with its value, as in `{field.key}: {{{pair}}}`"
    report(Finding(MISSING_KEY, node.span, f"`{field.key}:` holds nothing", mend))
    return BROKEN


def _words(names: Iterable[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def is_gap(node: Node) -> bool:
    """Whether the readers have already reported that what should stand here does not."""
    return isinstance(node, Scalar) and not node.text and not node.style


_KEYS = "keys with their values"


def wrong_shape(node: Node, wanted: str, report: Report, more: str = "") -> Any:
    """Report that another kind of node stands here, and give BROKEN.

    `more` goes on with the mend.
    """
    kinds = {Scalar: "one word or text stands", Sequence: "a list stands"}
    message = f"{kinds.get(type(node), f'{_KEYS} stand')} where {wanted} should"
    report(Finding(WRONG_SHAPE, node.span, message, f"write {wanted} here{more}"))
    return BROKEN


def _pair(node: Node) -> str:
    """How keys with values are written, of the two words that stand there if there are two."""
    words = node.text.replace(":", " ").split() if isinstance(node, Scalar) else []
    key, value = words if len(words) == 2 else ("NAME", "VALUE")
    return f", as in `{{{key}: {value}}}`"


@cache
def reader_of(annotation: Any) -> Reader:
    """The reader of one type of field."""
    origin, args = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        is_id = isinstance(args[1], Refers)
        return _scalar_reader(partial(_reference, args[1])) if is_id else reader_of(args[0])
    if origin in (typing.Union, types.UnionType):
        members = [arg for arg in args if arg is not type(None)]
        return reader_of(members[0]) if len(members) == 1 else _union_reader(tuple(members))
    if origin is tuple:
        return _list_reader(args[0])
    if origin is Literal:
        return _scalar_reader(_one_of(args))
    if isinstance(origin, type) and issubclass(origin, collections.abc.Mapping):
        return _mapping_reader(*args)
    if annotation in _SCALARS:
        return _scalar_reader(_SCALARS[annotation])
    if hasattr(annotation, "parse"):
        example = next(iter(getattr(annotation, "EXAMPLES", ())), "")
        return _scalar_reader(annotation.parse, getattr(annotation, "MAY_BE_EMPTY", False), example)
    from_node = getattr(annotation, "from_scalar", None)
    record = _record_reader(annotation)
    if from_node is None:
        return lambda node, report: record(node, report, {})
    return lambda node, report: (
        from_node(node) if isinstance(node, Scalar) else record(node, report, {})
    )


def _scalar_reader(
    parse: Callable[[str], Any], may_be_empty: bool = False, example: str = ""
) -> Reader:
    more = f", as in `{example}`" if example else ""

    def read(node: Node, report: Report) -> Any:
        if not isinstance(node, Scalar):
            return wrong_shape(node, "one word or text", report, more)
        if node.style in ("'", '"') and not node.text.strip() and not may_be_empty:
            mend = "write the text between the quotes, or remove its key"
            report(Finding(MALFORMED["malformed-value"], node.span, "the quotes are empty", mend))
            return BROKEN
        try:
            return parse(node.text)
        except Malformed as problem:
            rule = MALFORMED.get(problem.rule) or MALFORMED["malformed-value"]
            report(Finding(rule, node.span, problem.message, problem.mend))
            return BROKEN

    return read


def _list_reader(annotation: Any) -> Reader:
    one = reader_of(annotation)

    def read(node: Node, report: Report) -> Any:
        items = node.items if isinstance(node, Sequence) else (node,)
        values = tuple(BROKEN if is_gap(item) else one(item, report) for item in items)
        return BROKEN if any(value is BROKEN for value in values) else values

    return read


def _mapping_reader(key_type: Any, value_type: Any) -> Reader:
    read_key, read_value = reader_of(key_type), reader_of(value_type)

    def read(node: Node, report: Report) -> Any:
        if not isinstance(node, Mapping):
            return wrong_shape(node, _KEYS, report, _pair(node))
        values = {}
        broken = False
        for key, below in node.entries:
            name = read_key(key, report)
            value = BROKEN if is_gap(below) else read_value(below, report)
            broken = broken or name is BROKEN or value is BROKEN
            if not broken:
                values[name] = value
        return BROKEN if broken else values

    return read


def _union_reader(members: tuple[type, ...]) -> Reader:
    """Tell apart the records of a union by the keys that only they require or allow."""
    shared = frozenset.intersection(*(frozenset(f.key for f in plan(cls)) for cls in members))
    own = {
        field.key: cls
        for cls in members
        for field in plan(cls)
        if field.key not in shared and (field.required or not _requires_own(cls, shared))
    }

    def read(node: Node, report: Report) -> Any:
        if not isinstance(node, Mapping):
            return wrong_shape(node, _KEYS, report, ", beginning with one of " + _words(own))

        def told(one: Finding) -> None:
            """One that begins with a key of another record was meant as an item of its own."""
            word = next((key.text for key, _ in node.entries if key.span == one.span), "")
            if one.rule is UNKNOWN_KEY and word in own:
                one = dataclasses.replace(one, mend=f"begin a line of its own: `- {word}: …`")
            report(one)

        for key, _ in node.entries:
            if key.text in own:
                return _record_reader(own[key.text])(node, told, {})
        first = node.entries[0][0] if node.entries else None
        mend = "begin it with one of " + _words(own)
        if first is not None:
            mend = did_you_mean(first.text, own, mend)
        span = first.span if first is not None else node.span
        what = (
            f"`{shortened(first.text)}` begins nothing known"
            if first is not None
            else "nothing stands here"
        )
        report(Finding(UNKNOWN_KEY, span, what, mend))
        return BROKEN

    return read


def _requires_own(cls: type, shared: frozenset[str]) -> bool:
    return any(field.required and field.key not in shared for field in plan(cls))


def _reference(refers: Refers, text: str) -> str:
    if _REFERENCE.match(text):
        return text
    if refers.kinds == FIGURE_KINDS and text[:1].isdigit():
        figure = f"{text} times" if text.isdigit() else text
        raise Malformed(
            f"`{shortened(text)}` stands where the name of a figure should",
            f"give it a name under `facts:`, such as `NAME: {{nominal: {shortened(figure)}}}`, and "
            "write `NAME` here",
            "malformed-id",
        )
    raise Malformed(
        f"`{shortened(text)}` is not the name of a record",
        "write a name in lower case with hyphens, such as `full-power`",
        "malformed-id",
    )


_MOST_CHOICES = 6  # more are not listed while one of them is near


def _one_of(words: tuple[str, ...]) -> Callable[[str], str]:
    def parse(text: str) -> str:
        if text in words:
            return text
        listed = "write one of " + _words(words)
        message = f"`{shortened(text)}` is not a choice here"
        is_short = len(words) <= _MOST_CHOICES and text.lower() not in words
        raise Malformed(message, listed if is_short else did_you_mean(text, words, listed))

    return parse


def _whole_number(text: str) -> int:
    if re.fullmatch(r"-?[0-9]{1,9}", text):
        return int(text)
    message = f"`{shortened(text)}` is not a whole number"
    raise Malformed(message, "write digits alone, such as `2`")


def _yes_or_no(text: str) -> bool:
    if text in ("yes", "no"):
        return text == "yes"
    raise Malformed(f"`{shortened(text)}` is not an answer", "write `yes` or `no`")


def _date(text: str) -> date:
    try:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    message = f"`{shortened(text)}` is not a date"
    raise Malformed(message, "write year, month and day, such as `2026-05-01`")


_SCALARS: dict[Any, Callable[[str], Any]] = {
    str: str,
    int: _whole_number,
    bool: _yes_or_no,
    date: _date,
}


def check_id(key: Scalar, report: Report) -> bool:
    """Whether a key can be the name of a record; a finding if not."""
    if _ID.match(key.text):
        return True
    suggestion = id_meant(key.text)
    mend = f"write `{shortened(suggestion)}`" if suggestion else "write words joined by hyphens"
    message = f"`{shortened(key.text)}` is not a name: names are lower-case words joined by hyphens"
    report(Finding(BAD_ID, key.span, message, mend))
    return False


def id_meant(text: str) -> str:
    """The name that a malformed one was meant for, without accents; empty where it is not clear."""
    letters = unicodedata.normalize("NFKD", text.lower().replace("ß", "ss"))
    plain = "".join(sign for sign in letters if not unicodedata.combining(sign))
    meant = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    return meant if _ID.match(meant) else ""
