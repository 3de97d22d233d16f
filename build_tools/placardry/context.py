"""Where things hold: what applies to a machine in a market, and records narrowed to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from placardry.book import Book
from placardry.book.controls import Panel
from placardry.book.machines import Machine, ManualEntry
from placardry.book.pages import Page
from placardry.book.procedures import Branch, ChooseStep, ForEachStep, Procedure
from placardry.book.record import Applicability
from placardry.finding import light
from placardry.walk import per_record

Applies = tuple[Applicability, ...]

HERE = ("fitted", "supplied-loose")  # the option states in which an option is on the machine


@light
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


def contexts(book: Book) -> Mapping[str, Context]:
    """The context of each manual that the book declares, by manual."""
    machines = book.of(Machine)
    return {
        name: Context(machines[entry.machine][0], entry.market)
        for name, (entry, *_) in sorted(book.of(ManualEntry).items())
        if entry.machine in machines
    }


@per_record
def asking(record: Any) -> tuple[tuple[Applies, Applies], ...]:
    """What a record, its steps, passages and items apply by, where one says so.

    Each with what holds around it: that of the record comes first, with nothing around it.
    """
    return tuple(_asking(record, ()))


def _asking(part: Any, around: Applies) -> Iterator[tuple[Applies, Applies]]:
    own: Applies = getattr(part, "applies", ())
    if own:
        yield own, around
        around = (*around, *own)
    for name in ("steps", "choose", "passages", "items"):
        for one in getattr(part, name, ()):
            yield from _asking(one, around)


def narrowed(record: Any, context: Context) -> Any:
    """The record as it is here; one and the same wherever the same of it applies."""
    inside = asking(record)[bool(record.applies) :]
    if not inside:
        return record
    known = _narrowings(record)
    here = tuple(context.meets(own) for own, _ in inside)
    if here not in known:
        known[here] = _narrow(record, context)
    return known[here]


@per_record
def _narrowings(_: Any) -> dict[tuple[bool, ...], Any]:
    """The forms of a record, each by what of it applies."""
    return {}


def _narrow(record: Any, context: Context) -> Any:
    """The record without the steps, passages and panel items that do not apply."""
    if isinstance(record, Procedure | Branch | ForEachStep):
        steps = tuple(_narrow(step, context) for step in record.steps if context.meets(_of(step)))
        return record if steps == record.steps else record.but(steps=steps)
    if isinstance(record, ChooseStep):
        return record.but(choose=tuple(_narrow(branch, context) for branch in record.choose))
    if isinstance(record, Page):
        kept = tuple(one for one in record.passages if context.meets(one.applies))
        return record.but(passages=kept)
    if isinstance(record, Panel):
        items = tuple(one for one in record.items if context.meets(one.applies))
        return record.but(items=items)
    return record


def _of(step: Any) -> Applies:
    applies: Applies = step.applies
    return applies
