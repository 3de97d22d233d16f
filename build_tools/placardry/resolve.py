"""From a book to its manuals: one closed view for each machine, market and language.

In a manual nothing leads to what does not apply to its machine: a reference that would is a
finding, and the record that holds it is left out, so that whoever works on a manual can follow
every typed reference without asking.
"""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import wraps
from itertools import chain
from operator import itemgetter
from typing import Any, NamedTuple, TypeVar
from weakref import WeakKeyDictionary

from placardry.book import KIND_OF, Book
from placardry.book.conditions import Condition
from placardry.book.controls import Panel
from placardry.book.instruments import Channel
from placardry.book.machines import Airframe, Engine, Machine, ManualEntry, Market, OptionStatus
from placardry.book.pages import Page
from placardry.book.procedures import Branch, ChooseStep, ForEachStep, Procedure
from placardry.book.record import Applicability, Record
from placardry.book.settings import BookSettings
from placardry.links import Link, Records, follow, follow_text
from placardry.references import Reference, references
from placardry.translate import Translator
from placardry.walk import Leaf, Mention, leading, mentions

R = TypeVar("R", bound=Record)
V = TypeVar("V")

HERE = ("fitted", "supplied-loose")  # the option states in which an option is on the machine
# Kinds that are shown only because something in the manual uses them, in the order of pruning.
BY_USE = ("example", "derived", "quotation", "condition", "parameter", "document")


@dataclass(frozen=True, slots=True)
class Context:
    """What applicability is judged by."""

    machine: Machine
    market: str

    def meets(self, applies: Iterable[Applicability]) -> bool:
        """Whether all of these hold here."""
        return all(self._meets(one) for one in applies)

    def _meets(self, one: Applicability) -> bool:
        machine, options = self.machine, self.machine.options or {}
        return (
            (not one.engine or machine.engine in one.engine)
            and (not one.airframe or machine.airframe in one.airframe)
            and (not one.machine or machine.id in one.machine)
            and (not one.market or self.market in one.market)
            and (not one.option or any(options.get(name) in HERE for name in one.option))
            and not any(options.get(name) in HERE for name in one.without_option)
        )


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

    def conditions(self, names: Iterable[str]) -> list[Condition]:
        """The conditions of these names."""
        return [self.get(Condition, name) for name in names]


def per_manual(found: Callable[[Manual], V]) -> Callable[[Manual], V]:
    """The function, asked once for each manual: several rules need the same of it."""
    known: WeakKeyDictionary[Manual, V] = WeakKeyDictionary()

    @wraps(found)
    def ask(manual: Manual) -> V:
        if manual not in known:
            known[manual] = found(manual)
        return known[manual]

    return ask


@dataclass(frozen=True, slots=True)
class Stray:
    """A reference that leads out of a manual.

    Attributes:
        typed: it was written in a field of ids, so its record was left out of the manual
    """

    manual: str
    leaf: Leaf
    written: str
    typed: bool


def contexts(book: Book) -> Mapping[str, Context]:
    """The context of each manual that the book declares, by manual."""
    machines = book.of(Machine)
    return {
        name: Context(machines[entry.machine][0], entry.market)
        for name, (entry, *_) in sorted(book.of(ManualEntry).items())
        if entry.machine in machines
    }


def resolve(book: Book) -> tuple[tuple[Manual, ...], tuple[Stray, ...]]:
    """Every manual of the book, and the references that lead out of them."""
    manuals: list[Manual] = []
    strays: list[Stray] = []
    statements = _by_applicability(book)
    for name, context in contexts(book).items():
        manual, found = _resolve_manual(book, name, context, statements)
        strays += found
        if manual is not None:
            manuals.append(manual)
    return tuple(manuals), tuple(strays)


class _Statement(NamedTuple):
    """One record of a book; `at` is its place among all, `whole` that every step applies."""

    at: int
    kind: str
    record: Any
    whole: bool


def _by_applicability(book: Book) -> list[list[_Statement]]:
    """All records, those together that apply alike: few are the words of a file's head."""
    groups: dict[tuple[Applicability, ...], list[_Statement]] = defaultdict(list)
    everything = (
        (kind, one) for kind, by_id in book.records.items() for all in by_id.values() for one in all
    )
    for at, (kind, one) in enumerate(everything):
        statement = _Statement(at, kind, one, _is_whole(one))
        groups[one.applies].append(statement)
    return list(groups.values())


def _resolve_manual(
    book: Book, name: str, context: Context, statements: list[list[_Statement]]
) -> tuple[Manual | None, list[Stray]]:
    """One manual; None where the machine lacks its engine, airframe, panel or market."""
    entry = book.of(ManualEntry)[name][0]
    translator = Translator(book, entry.language)
    holding = (group for group in statements if context.meets(group[0].record.applies))
    records: dict[str, dict[str, Any]] = {kind: {} for kind in book.records}
    for _, kind, record, whole in sorted(chain(*holding), key=itemgetter(0)):
        if record.id not in records[kind]:
            said = translator.record(kind, record)
            records[kind][record.id] = said if whole else narrow(said, context)
    _keep_own(records, context, entry)
    strays = _close(name, records, book)
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
    _prune(records)
    manual = Manual(id=name, entry=entry, settings=settings, records=records, **own)
    return manual, strays


def _is_whole(record: Any) -> bool:
    """Whether all its steps and passages apply wherever it does."""
    if isinstance(record, Procedure | Branch | ForEachStep):
        return all(not _of(step) and _is_whole(step) for step in record.steps)
    if isinstance(record, ChooseStep):
        return all(map(_is_whole, record.choose))
    return not isinstance(record, Page) or not any(one.applies for one in record.passages)


def narrow(record: Any, context: Context) -> Any:
    """The record without the steps and passages that do not apply."""
    if isinstance(record, Procedure | Branch | ForEachStep):
        steps = tuple(narrow(step, context) for step in record.steps if context.meets(_of(step)))
        return record if steps == record.steps else dataclasses.replace(record, steps=steps)
    if isinstance(record, ChooseStep):
        return dataclasses.replace(
            record, choose=tuple(narrow(branch, context) for branch in record.choose)
        )
    if isinstance(record, Page):
        kept = tuple(one for one in record.passages if context.meets(one.applies))
        return dataclasses.replace(record, passages=kept)
    return record


def _of(step: Any) -> tuple[Applicability, ...]:
    applies: tuple[Applicability, ...] = step.applies
    return applies


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


def _close(manual: str, records: dict[str, dict[str, Any]], book: Book) -> list[Stray]:
    """Take out every record with a typed reference that leads outside, until none is left."""
    strays: list[Stray] = []
    whole = {kind: dict(by_id) for kind, by_id in records.items()}
    while outside := {one for one in _mentions(_all(records)) if _leads_out(one, records)}:
        for by_id in records.values():
            for one in [one for one in by_id.values() if not outside.isdisjoint(mentions(one))]:
                leaf = next(leaf for leaf in leading(one) if leaf.mention in outside)
                del by_id[one.id]
                # What leads to a record that was taken out itself is no fault of its own.
                if not any(links(leaf.mention, whole)) and any(links(leaf.mention, book.records)):
                    strays.append(Stray(manual, leaf, leaf.value, typed=True))
    return [*strays, *_strays_of_texts(manual, _all(records), whole, book)]


def _leads_out(mention: Mention, records: Records) -> bool:
    refers = mention[1]
    return refers is not None and refers.closed and not any(links(mention, records))


def _strays_of_texts(manual: str, kept: list[Any], records: Records, book: Book) -> Iterator[Stray]:
    outside: dict[Mention, list[Reference]] = {}
    for mention in _mentions(kept):
        for one in references(mention[0]) if mention[1] is None else ():
            if follow_text(one, records) is None and follow_text(one, book.records):
                outside.setdefault(mention, []).append(one)
    for one in kept if outside else ():
        for leaf in leading(one):
            for reference in outside.get(leaf.mention, ()):
                yield Stray(manual, leaf, str(reference), typed=False)


def _prune(records: dict[str, dict[str, Any]]) -> None:
    """Drop the parameters, conditions and documents that nothing in the manual uses."""
    used: dict[str, set[str]] = defaultdict(set)
    rest = {kind: by_id for kind, by_id in records.items() if kind not in BY_USE}
    _note_use(_all(rest), records, used)
    for kind in BY_USE:
        kept = {id: one for id, one in records.get(kind, {}).items() if id in used[kind]}
        records[kind] = kept
        _note_use(list(kept.values()), records, used)


def _note_use(found: list[Any], records: Records, used: dict[str, set[str]]) -> None:
    for mention in _mentions(found):
        for link in links(mention, records):
            used[link.kind].add(link.id)
    for one in found:
        if isinstance(one, Condition):
            used["parameter"].update(one.box)


def _all(records: Records) -> list[Any]:
    return [one for by_id in records.values() for one in by_id.values()]


def _mentions(found: list[Any]) -> frozenset[Mention]:
    """What these records mention, each once: many records speak of few."""
    return frozenset().union(*map(mentions, found))


def links(mention: Mention, records: Records) -> Iterator[Link]:
    """Everything in `records` that a mention leads to: one in an id, any number in a text."""
    written, refers = mention
    if refers is not None:
        found = [follow(written, refers, records)]
    else:
        found = [follow_text(one, records) for one in references(written)]
    return (one for one in found if one is not None)
