"""Rules on cards: a known size, blocks that give something, no more by heart than a head holds."""

from __future__ import annotations

import pkgutil
import tomllib
from collections.abc import Iterator
from functools import cache
from typing import Any

from placardry.book.cards import Block, Card
from placardry.book.figures import Limit, Scale
from placardry.book.procedures import HazardStep, Procedure
from placardry.finding import Family, Note, Severity, did_you_mean
from placardry.resolve import Manual
from placardry.rules.hazards import step_lists
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.where import on_machines

CONTENTS = ("scales", "limits", "limits_of", "facts", "alarms", "tasks", "procedure", "text")


@cache
def sizes() -> tuple[str, ...]:
    """The names of the faces that the package can print."""
    # Read as data: the writers stand above the rules.
    data = pkgutil.get_data("placardry.paper", "sizes.toml") or b""
    return tuple(tomllib.loads(data.decode()))


@rule(Severity.ERROR, Family.CARDS)
def unknown_card_size(subject: Subject) -> Iterator[Problem]:
    """A card has a size that the package does not know.

    Source: ISO 216 for the paper sizes (from memory).

    Bad:
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A9 landscape
            place: on the panel
            shows: [{scales: [coolant]}]
    Good:
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A6 landscape
            place: on the panel
            shows: [{scales: [coolant]}]
    """
    for card in _cards(subject):
        if card.size not in sizes():
            otherwise = "write one of " + ", ".join(f"`{name}`" for name in sizes())
            mend = did_you_mean(card.size, sizes(), otherwise)
            yield Problem(card.places.at("size"), f"`{card.size}` is no size of a card", mend)


@rule(Severity.ERROR, Family.CARDS)
def unclear_block(subject: Subject) -> Iterator[Problem]:
    """A block of a card holds nothing beside its heading, or several things at once.

    Source: common practice, no source.

    Bad:
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A6 landscape
            place: on the panel
            shows:
              - {heading: Water, scales: [coolant], limits: [engine-speed-maximum]}
    Good:
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A6 landscape
            place: on the panel
            shows:
              - {heading: Water, scales: [coolant]}
              - {heading: Speed, limits: [engine-speed-maximum]}
    """
    for card in _cards(subject):
        for block in card.shows:
            given = [key.replace("_", "-") for key in CONTENTS if getattr(block, key)]
            if len(given) == 1:
                continue
            says = " and ".join(f"`{key}`" for key in given) or "nothing to show"
            mend = "give each its own block" if given else "add what it shows, or remove the block"
            yield Problem(block.places.span, f"this block holds {says}", mend)


@rule(Severity.ERROR, Family.CARDS)
def blank_card(subject: Subject) -> Iterator[Problem]:
    """A card shows nothing on a machine on which it applies.

    An empty face in a cockpit looks like a card that has nothing to warn of.

    Source: common practice, no source.

    Bad:
        procedures/parameters-more.yaml
            parameters:
              fuel-level: {name: fuel level, units: {L: 1}, plausible: 0 to 100 L}
        procedures/limits-card.yaml
            card: fuel-limits
            title: Fuel limits
            size: A6 landscape
            place: on the panel
            shows: [{limits-of: [fuel-level]}]
    Good:
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A6 landscape
            place: on the panel
            shows: [{limits-of: [engine-speed]}]
    """
    mend = "give it a block with something of that machine, or narrow its `applies:`"
    yield from on_machines(
        (manual, Problem(card.places.span, f"card `{card.id}` shows nothing", mend))
        for manual, card in _shown(subject)
        if all(map(_holds, card.shows)) and not any(_gives(one, manual) for one in card.shows)
    )


@rule(Severity.WARNING, Family.CARDS)
def empty_block(subject: Subject) -> Iterator[Problem]:
    """A block of a card shows nothing on a machine, under a heading or where others show much.

    Source: common practice, no source.

    Bad:
        procedures/parameters-more.yaml
            parameters:
              fuel-level: {name: fuel level, units: {L: 1}, plausible: 0 to 100 L}
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A6 landscape
            place: on the panel
            shows: [{scales: [coolant]}, {limits-of: [fuel-level]}]
    Good:
        procedures/limits-card.yaml
            card: engine-limits
            title: Engine limits
            size: A6 landscape
            place: on the panel
            shows: [{scales: [coolant]}, {limits-of: [engine-speed]}]
    """
    mend = "remove it, or state what it is to show"
    yield from on_machines(
        (manual, Problem(block.places.span, "this block shows nothing", mend))
        for manual, card in _shown(subject)
        if any(_gives(block, manual) for block in card.shows)
        for block in card.shows
        if _holds(block) and not _gives(block, manual)
    )


def _gives(block: Block, manual: Manual) -> bool:
    """Whether a block shows anything; what it names by id exists, or the card would be left out."""
    if block.limits_of:
        kinds: tuple[type[Limit] | type[Scale], ...] = (Limit, Scale)
        stated = {one.parameter for kind in kinds for one in manual.of(kind).values()}
        return any(parameter in stated for parameter in block.limits_of)
    if block.procedure is not None:
        return bool(manual.get(Procedure, block.procedure).steps)
    return _holds(block)


def _holds(block: Block) -> bool:
    return any(getattr(block, key) for key in CONTENTS)


MOST_BY_HEART = 3


@rule(Severity.ADVICE, Family.CARDS)
def too_much_by_heart(subject: Subject) -> Iterator[Problem]:
    """A card holds more than three memory items.

    What must be known by heart is short, or it is not known when it is needed.

    Source: CAA CAP 676 chapter 7, seen as a summary: fewer than four boxed memory items.

    Bad:
        procedures/fire.yaml
            procedure: fire
            title: Fire
            chapter: emergency
            when: when there is fire or smoke
            steps:
              - {do: Stop the engine., memory: yes}
              - {do: Close the fuel tap., memory: yes}
              - {set: {master: off}, memory: yes}
              - {do: Land., memory: yes}
        procedures/fire-card.yaml
            card: fire
            title: Fire
            size: A6 landscape
            place: on the panel
            shows: [{procedure: fire}]
    Good:
        procedures/fire.yaml
            procedure: fire
            title: Fire
            chapter: emergency
            when: when there is fire or smoke
            steps:
              - {do: Stop the engine., memory: yes}
              - {do: Close the fuel tap., memory: yes}
              - {set: {master: off}, memory: yes}
              - do: Land.
        procedures/fire-card.yaml
            card: fire
            title: Fire
            size: A6 landscape
            place: on the panel
            shows: [{procedure: fire}]
    """
    for manual, card in _shown(subject):
        items = [
            step
            for block in card.shows
            if block.procedure is not None
            for step in _by_heart(manual.get(Procedure, block.procedure))
        ]
        if len(items) > MOST_BY_HEART:
            yield Problem(
                card.places.span,
                f"card `{card.id}` holds {len(items)} memory items",
                f"keep `memory: yes` at the first {MOST_BY_HEART} steps at most",
                (Note(items[MOST_BY_HEART].places.span, "this one is too many"),),
            )


def _by_heart(procedure: Procedure) -> Iterator[Any]:
    for steps in step_lists(procedure):
        yield from (one for one in steps if one.memory and not isinstance(one, HazardStep))


def _cards(subject: Subject) -> Iterator[Card]:
    for statements in subject.book.of(Card).values():
        yield from statements


def _shown(subject: Subject) -> Iterator[tuple[Manual, Card]]:
    for manual in subject.manuals:
        yield from ((manual, card) for card in manual.of(Card).values())
