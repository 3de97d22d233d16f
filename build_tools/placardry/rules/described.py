"""Rules on what an owner finds on the machine and nowhere in the manual."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from placardry.book import Book
from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.book.machines import Machine, Option
from placardry.book.record import Record
from placardry.context import contexts
from placardry.finding import Family, Severity
from placardry.references import references
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import key_at
from placardry.rules.where import on_machines
from placardry.walk import leading

HELD = ("fitted", "supplied-loose")


@rule(Severity.WARNING, Family.APPLICABILITY)
def undescribed_option(subject: Subject) -> Iterator[Problem]:
    """An option is fitted to a machine, or comes with it, and nothing in its manual is about it.

    The owner has a thing in hand that the manual does not tell how to use, check or keep.

    Source: common practice, no source.

    Bad:
        procedures/options.yaml
            options:
              tow-hook: {name: tow hook}
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel,
                     options: {tow-hook: fitted}}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
    Good:
        procedures/options.yaml
            options:
              tow-hook: {name: tow hook}
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel,
                     options: {tow-hook: fitted}}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        content/towing.md
            ---
            applies: {option: tow-hook}
            ---
            # Towing

            Look at the hook before each tow.
    """
    asking = _asking(subject.book)
    found: list[tuple[Manual, Problem]] = []
    for manual in subject.manuals:
        context = contexts(subject.book)[manual.id]
        for name, status in (manual.machine.options or {}).items():
            told = any(context.meets(one.applies) for one in asking.get(name, ()))
            if status in HELD and not told and f"option/{name}" not in subject.book.broken:
                message = f"`{name}` is {status}, and nothing in the manual is about it"
                mend = f"write a page or a procedure with `applies: {{option: {name}}}`"
                place = manual.machine.places.at("options", name)
                found.append((manual, Problem(place, message, mend)))
    yield from on_machines(found)


def _asking(book: Book) -> Mapping[str, list[Record]]:
    """The records that ask for or speak of each option, without those that declare it."""
    found: dict[str, list[Record]] = defaultdict(list)
    for by_id in book.records.values():
        for statements in by_id.values():
            for record in statements:
                if isinstance(record, Option | Machine):
                    continue
                for name in _options(record):
                    found[name].append(record)
    return found


def _options(record: Record) -> Iterator[str]:
    """The names in a record that may be those of options."""
    for leaf in leading(record):
        if leaf.refers is not None:
            if "option" in leaf.refers.kinds:
                yield leaf.value
        elif "{option/" in leaf.value:
            yield from (one.id for one in references(leaf.value))


@rule(Severity.WARNING, Family.APPLICABILITY)
def unexplained_screen(subject: Subject) -> Iterator[Problem]:
    """A menu entry shows nothing, sets nothing that is listed, and is not explained.

    An owner who meets it on the way through the menu wonders what it changes, and tries.

    Source: common practice, no source.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            buttons: {left: L, right: R}
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}]
                keys: {press right: factory}
              factory: {title: Factory, keys: {press left: main}}
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            buttons: {left: L, right: R}
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}]
                keys: {press right: factory}
              factory: {title: Factory, about: For the dealer alone., keys: {press left: main}}
    """
    yield from on_machines(_unexplained(subject))


def _unexplained(subject: Subject) -> Iterator[tuple[Manual, Problem]]:
    for manual in subject.manuals:
        set_there = {f"{one.instrument}/{one.screen}" for one in manual.of(Setting).values()}
        set_there |= {one.setting for one in manual.of(Alarm).values() if one.setting is not None}
        for instrument in manual.of(Instrument).values():
            for name, screen in (instrument.screens or {}).items():
                told = screen.about is not None or screen.fields
                if not told and f"{instrument.id}/{name}" not in set_there:
                    message = f"`{name}` shows no field and sets nothing, and is not explained"
                    mend = "add `about:` to the screen with what it is for"
                    yield manual, Problem(key_at(instrument, "screens", name), message, mend)
