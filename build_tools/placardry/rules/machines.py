"""Rules on machines: each has a manual, each part a machine, each announcement a date."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book import Book
from placardry.book.controls import Panel
from placardry.book.machines import Machine, ManualEntry, Market, Option
from placardry.finding import Family, Note, Severity
from placardry.rules.registry import Problem, Subject, rule


@rule(Severity.WARNING, Family.APPLICABILITY)
def thing_on_no_machine(subject: Subject) -> Iterator[Problem]:
    """An instrument is on no panel, or a panel, an engine or an airframe on no machine.

    What is written about it, with its alarms and settings, reaches no owner.

    Source: common practice, no source.

    Bad:
        procedures/spare-panel.yaml
            panel: spare-panel
            name: Spare panel
            size: [200, 100]
            items: [{control: master, at: [40, 40]}]
    Good:
        procedures/panel.yaml
            panel: tern-panel
            name: Tern panel
            size: [300, 200]
            items:
              - {control: master, at: [40, 40]}
              - {instrument: wren, at: [150, 100]}
              - {cover: spare hole, at: [250, 100]}
    """
    book = subject.book
    machines = [one for statements in book.of(Machine).values() for one in statements]
    items = [
        item
        for statements in book.of(Panel).values()
        for panel in statements
        for item in panel.items
    ]
    used: dict[str, set[str | None]] = {
        "instrument": {item.instrument for item in items},
        "panel": {machine.panel for machine in machines},
        "engine": {machine.engine for machine in machines},
        "airframe": {machine.airframe for machine in machines},
    }
    for kind, names in used.items():
        known = book.records.get(kind, {})
        where = "panel" if kind == "instrument" else "machine"
        if names - {None} - set(known):
            continue  # a misspelt name is told of already
        if any(one.startswith(f"{where}/") for one in book.broken):
            continue  # what could not be read may name it
        for name, (record, *_) in known.items():
            if name not in names:
                message = f"{kind} `{name}` is on no {where}"
                mend = f"name it in a {where}, or remove it"
                yield Problem(record.places.span, message, mend)


@rule(Severity.WARNING, Family.APPLICABILITY)
def machine_without_manual(subject: Subject) -> Iterator[Problem]:
    """A machine is in no manual.

    Its owners get nothing, and nothing of what holds on it alone is checked.

    Source: common practice, no source.

    Bad:
        procedures/second-machine.yaml
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel}
    Good:
        procedures/second-machine.yaml
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
    """
    book = subject.book
    if any(one.startswith("manual/") for one in book.broken):
        return
    served = {entry.machine for statements in book.of(ManualEntry).values() for entry in statements}
    misspelt = served - set(book.of(Machine))
    for name, (machine, *_) in book.of(Machine).items():
        if name not in served and not misspelt:
            market = next(iter(book.of(Market)), "MARKET")
            yield Problem(
                machine.places.span,
                f"machine `{name}` has no manual",
                f"write `{name}-{market}: {{machine: {name}, market: {market}, language: "
                f"{book.settings.language}}}` under `manuals:`",
            )


@rule(Severity.ERROR, Family.APPLICABILITY)
def announced_without_date(subject: Subject) -> Iterator[Problem]:
    """An option is announced for a machine, and no date says when to look whether it has come.

    Announced is a state that ends. Without a date nobody notices that it has.

    Source: common practice, no source.

    Bad:
        procedures/options.yaml
            options:
              parachute: {name: rescue parachute, notice: Announced; not on your machine.}
        procedures/second-machine.yaml
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel, options: {parachute: announced}}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
    Good:
        procedures/options.yaml
            options:
              parachute: {name: rescue parachute, notice: Announced; not on your machine.,
                          look-again: 2026-10-01}
        procedures/second-machine.yaml
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel, options: {parachute: announced}}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
    """
    for option, note in _announced(subject.book):
        if option.look_again is None:
            message = f"option `{option.id}` is announced, with no day to look again"
            mend = "add `look-again:` with a date"
            yield Problem(option.places.span, message, mend, (note,))


@rule(Severity.WARNING, Family.APPLICABILITY)
def look_again(subject: Subject) -> Iterator[Problem]:
    """The day has come to look whether an announced option exists.

    Owners are told that it is announced. By now that may be wrong.

    Source: common practice, no source.

    Bad:
        procedures/options.yaml
            options:
              parachute: {name: rescue parachute, look-again: 2025-10-01}
        procedures/second-machine.yaml
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel, options: {parachute: announced}}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
    Good:
        procedures/options.yaml
            options:
              parachute: {name: rescue parachute, look-again: 2026-10-01}
        procedures/second-machine.yaml
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel, options: {parachute: announced}}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
    """
    for option, note in _announced(subject.book):
        if option.look_again is not None and option.look_again < subject.on:
            message = f"option `{option.id}` was to be looked at again on {option.look_again}"
            mend = "say that it is a `kit` or `fitted`, or write a later date"
            yield Problem(option.places.at("look-again"), message, mend, (note,))


def _announced(book: Book) -> Iterator[tuple[Option, Note]]:
    """Each option that some machine calls announced, with the first place that does."""
    options = book.of(Option)
    seen: set[str] = set()
    for machine, *_ in book.of(Machine).values():
        for name, status in (machine.options or {}).items():
            if status == "announced" and name in options and name not in seen:
                seen.add(name)
                place = machine.places.at("options", name)
                yield options[name][0], Note(place, f"announced for {machine.name}")
