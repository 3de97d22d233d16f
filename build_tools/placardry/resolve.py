"""From a book to its manuals: one closed view for each machine, market and language.

In a manual nothing leads to what does not apply to its machine: a reference that would is a
finding, and the record that holds it is left out, so that whoever works on a manual can follow
every typed reference without asking.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, wraps
from itertools import chain
from operator import itemgetter
from typing import Any, NamedTuple, TypeVar
from weakref import WeakKeyDictionary, WeakValueDictionary

from placardry.book import KIND_OF, Book
from placardry.book.conditions import Condition
from placardry.book.controls import Panel
from placardry.book.instruments import Channel
from placardry.book.machines import Airframe, Engine, Machine, ManualEntry, Market, OptionStatus
from placardry.book.record import Record
from placardry.book.settings import BookSettings
from placardry.context import HERE, Applies, Context, contexts, narrowed
from placardry.finding import light
from placardry.links import Link, Records, follow, follow_text
from placardry.references import Reference, references
from placardry.translate import Translator
from placardry.walk import Leaf, Mention, leading, mentions, per_record

R = TypeVar("R", bound=Record)
V = TypeVar("V")

# Kinds that are shown only because something in the manual uses them, in the order of pruning.
BY_USE = ("example", "derived", "quotation", "condition", "parameter", "document")

# Kinds whose records tell manuals of one view apart.
OF_ONE = ("machine", "manual", "page")


class View:
    """What manuals share that differ in names and pages only; equal to itself alone."""


_VIEWS: WeakValueDictionary[object, View] = WeakValueDictionary()


@dataclass(frozen=True, kw_only=True, eq=False)
class Manual:
    """One closed view of the book: the unit of work, of output and of identity.

    Two views are never compared; being equal only to itself, a manual is a key (`per_manual`).

    Shape: `records[kind][id]` is the one statement that holds on this machine, in this
    manual's language.
    """

    id: str
    entry: ManualEntry
    settings: BookSettings
    machine: Machine
    engine: Engine
    airframe: Airframe
    market: Market
    panel: Panel
    records: Mapping[str, Mapping[str, Any]] = field(repr=False)

    @property
    def language(self) -> str:
        """The language of the manual's texts."""
        return self.entry.language

    @property
    def options(self) -> Mapping[str, OptionStatus]:
        """The state of each option of this machine."""
        return self.machine.options or {}

    def fitted(self, option: str) -> bool:
        """Whether the option is on this machine, fitted or supplied loose."""
        return self.options.get(option) in HERE

    def connects(self, channel: Channel) -> bool:
        """Whether something is connected to this channel of an instrument."""
        return not channel.unused and (channel.needs is None or self.fitted(channel.needs))

    def of(self, kind: type[R]) -> Mapping[str, R]:
        """All records of a kind by id, typed."""
        found: Mapping[str, R] = self.records.get(KIND_OF[kind], {})
        return found

    def get(self, kind: type[R], name: str) -> R:
        """One record that a typed reference leads to."""
        return self.of(kind)[name]

    @cached_property
    def view(self) -> View:
        """The same for manuals that hold the same, but for the names of machines and the pages."""
        same = (
            self.language,
            self.market.id,
            id(self.settings),
            frozenset(option for option in self.options if self.fitted(option)),
            # A manual holds its records, so an address stands for one record while it lives.
            *(
                id(one)
                for kind, by_id in self.records.items()
                if kind not in OF_ONE
                for one in by_id.values()
            ),
        )
        return _VIEWS.setdefault(same, View())

    def conditions(self, names: Iterable[str]) -> list[Condition]:
        """The conditions of these names."""
        return [self.get(Condition, name) for name in names]


def per_manual(found: Callable[[Manual], V]) -> Callable[[Manual], V]:
    """The function, asked once for each manual: several rules need the same of it."""
    return _once(found, lambda manual: manual)


def per_view(found: Callable[[Manual], V]) -> Callable[[Manual], V]:
    """The function, asked once for all manuals of one view, also of another state of the book.

    For what depends on no name of a machine, and on no page.
    """
    return _once(found, lambda manual: manual.view)


def _once(found: Callable[[Manual], V], by: Callable[[Manual], object]) -> Callable[[Manual], V]:
    known: WeakKeyDictionary[object, V] = WeakKeyDictionary()

    @wraps(found)
    def ask(manual: Manual) -> V:
        key = by(manual)
        if key not in known:
            known[key] = found(manual)
        return known[key]

    return ask


@light
class Stray:
    """A reference that leads out of a manual.

    Attributes:
        typed: it was written in a field of ids, so its record was left out of the manual
    """

    manual: str
    leaf: Leaf
    written: str
    typed: bool


def resolve(book: Book) -> tuple[tuple[Manual, ...], tuple[Stray, ...]]:
    """Every manual of the book, and the references that lead out of them."""
    manuals: list[Manual] = []
    strays: list[Stray] = []
    statements = _by_applicability(book)
    reach = _Reach(book)
    for name, context in contexts(book).items():
        manual, found = _resolve_manual(reach, name, context, statements)
        strays += found
        if manual is not None:
            manuals.append(manual)
    return tuple(manuals), tuple(strays)


class _Statement(NamedTuple):
    """One record of a book; `at` is its place among all."""

    at: int
    kind: str
    record: Any


def _by_applicability(book: Book) -> list[list[_Statement]]:
    """All records, those together that apply alike: few are the words of a file's head."""
    groups: dict[Applies, list[_Statement]] = defaultdict(list)
    everything = (
        (kind, one) for kind, by_id in book.records.items() for all in by_id.values() for one in all
    )
    for at, (kind, one) in enumerate(everything):
        groups[one.applies].append(_Statement(at, kind, one))
    return list(groups.values())


class _Reach:
    """What mentions lead to in a manual, looked up once in the whole book."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.known: dict[Mention, tuple[Link, ...]] = {}

    def anywhere(self, mention: Mention) -> tuple[Link, ...]:
        """What it leads to in the book."""
        if mention not in self.known:
            self.known[mention] = tuple(links(mention, self.book.records))
        return self.known[mention]

    def within(self, mention: Mention, records: Records) -> tuple[Link, ...]:
        """What it leads to among these, which are some of the book's."""
        found = self.anywhere(mention)
        for link in found:
            if link.nested is not None or link.id not in records.get(link.kind, ()):
                return tuple(links(mention, records))
        return found


def _resolve_manual(
    reach: _Reach, name: str, context: Context, statements: list[list[_Statement]]
) -> tuple[Manual | None, list[Stray]]:
    """One manual; None where the machine lacks its engine, airframe, panel or market."""
    book = reach.book
    entry = book.of(ManualEntry)[name][0]
    translator = Translator(book, entry.language)
    holding = (group for group in statements if context.meets(group[0].record.applies))
    records: dict[str, dict[str, Any]] = {kind: {} for kind in book.records}
    for _, kind, record in sorted(chain(*holding), key=itemgetter(0)):
        if record.id not in records[kind]:
            records[kind][record.id] = narrowed(translator.record(record), context)
    _keep_own(records, context, entry)
    strays = _close(name, records, reach)
    try:
        own = {
            kind: records[kind][getattr(context.machine, kind)]
            for kind in ("engine", "airframe", "panel")
        }
        own["machine"] = records["machine"][context.machine.id]
        own["market"] = records["market"][entry.market]
    except KeyError:
        return None, strays
    settings = translator.settings(book.settings)
    _prune(records, reach)
    manual = Manual(id=name, entry=entry, settings=settings, records=records, **own)
    return manual, strays


def _keep_own(records: dict[str, dict[str, Any]], context: Context, entry: ManualEntry) -> None:
    """Drop the engines, instruments … of other machines, and what belongs to them."""
    machine = context.machine
    own: dict[str, set[str]] = {
        "machine": {machine.id},
        "engine": {machine.engine},
        "airframe": {machine.airframe},
        "panel": {machine.panel},
        "market": {entry.market},
        "manual": {entry.id},
        "option": set(machine.options or ()),
    }
    panel = records.get("panel", {}).get(machine.panel)
    own["instrument"] = (
        {item.instrument for item in panel.items if item.instrument} if panel else set()
    )
    for kind, names in own.items():
        records[kind] = {id: one for id, one in records.get(kind, {}).items() if id in names}
    for kind in ("alarm", "setting"):
        records[kind] = {
            id: one
            for id, one in records.get(kind, {}).items()
            if one.instrument in records["instrument"]
        }
    records["page"] = {
        id: one for id, one in records.get("page", {}).items() if one.language is None
    }


def _close(manual: str, records: dict[str, dict[str, Any]], reach: _Reach) -> list[Stray]:
    """Take out every record with a typed reference that leads outside, until none is left."""
    strays: list[Stray] = []
    whole = {kind: dict(by_id) for kind, by_id in records.items()}
    while outside := {one for one in _mentions(records) if _leads_out(one, records, reach)}:
        for by_id in records.values():
            for one in [one for one in by_id.values() if not outside.isdisjoint(mentions(one))]:
                leaf = next(leaf for leaf in leading(one) if leaf.mention in outside)
                del by_id[one.id]
                # What leads to a record that was taken out itself is no fault of its own.
                if not reach.within(leaf.mention, whole) and reach.anywhere(leaf.mention):
                    strays.append(Stray(manual, leaf, leaf.value, typed=True))
    return [*strays, *_strays_of_texts(manual, records, whole, reach)]


def _leads_out(mention: Mention, records: Records, reach: _Reach) -> bool:
    refers = mention[1]
    return refers is not None and refers.closed and not reach.within(mention, records)


def _strays_of_texts(
    manual: str, kept: Records, records: Records, reach: _Reach
) -> Iterator[Stray]:
    outside: dict[Mention, list[Reference]] = {}
    for mention in _mentions(kept):
        if mention[1] is not None or reach.within(mention, records) == reach.anywhere(mention):
            continue
        for one in references(mention[0]):
            if follow_text(one, records) is None and follow_text(one, reach.book.records):
                outside.setdefault(mention, []).append(one)
    for one in _all(kept) if outside else ():
        for leaf in leading(one):
            for reference in outside.get(leaf.mention, ()):
                yield Stray(manual, leaf, str(reference), typed=False)


def _prune(records: dict[str, dict[str, Any]], reach: _Reach) -> None:
    """Drop the parameters, conditions and documents that nothing in the manual uses."""
    used: dict[str, set[str]] = defaultdict(set)
    rest = {kind: by_id for kind, by_id in records.items() if kind not in BY_USE}
    _note_use(rest, records, used, reach)
    for kind in BY_USE:
        kept = {id: one for id, one in records.get(kind, {}).items() if id in used[kind]}
        records[kind] = kept
        _note_use({kind: kept}, records, used, reach)


def _note_use(found: Records, records: Records, used: dict[str, set[str]], reach: _Reach) -> None:
    for mention in _mentions(found):
        for link in reach.within(mention, records):
            used[link.kind].add(link.id)
    for one in found.get(KIND_OF[Condition], {}).values():
        used["parameter"].update(one.box)


def _all(records: Records) -> list[Any]:
    return [one for by_id in records.values() for one in by_id.values()]


def _mentions(records: Records) -> frozenset[Mention]:
    """What these records mention, each once: many records speak of few."""
    return frozenset().union(*(_said(*of.values()) for of in records.values() if of))


@per_record
def _said(*records: Any) -> frozenset[Mention]:
    """What all these mention; machines that are alike have the same ones of most kinds."""
    return frozenset().union(*map(mentions, records))


def links(mention: Mention, records: Records) -> Iterator[Link]:
    """Everything in `records` that a mention leads to: one in an id, any number in a text."""
    written, refers = mention
    if refers is not None:
        found = [follow(written, refers, records)]
    else:
        found = [follow_text(one, records) for one in references(written)]
    return (one for one in found if one is not None)
