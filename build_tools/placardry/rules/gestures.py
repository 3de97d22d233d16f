"""Rules on gestures: a key that leads elsewhere than its fellows, a button held for ever."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from placardry.book.instruments import Instrument
from placardry.book.procedures import HoldStep, Procedure
from placardry.finding import Family, Severity
from placardry.rules.hazards import step_lists
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every, figure_of
from placardry.units import UNITS

FELLOWS = 3  # screens that agree, before one that does not is odd
LONGEST = 60  # seconds


@rule(Severity.ADVICE, Family.INSTRUMENTS)
def odd_key(subject: Subject) -> Iterator[Problem]:
    """A gesture leads elsewhere on one screen than on all the others.

    Where a gesture leads to one screen from three others or more, makers keep to it. A screen
    that nothing else leads to is left alone: then the odd key is the way there. So is the screen
    that the gesture leads to from all others, for there it must do something else.

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
                keys: {press left: one}
              one: {title: One, about: First., keys: {press left: two, hold right: main}}
              two: {title: Two, about: Second., keys: {press left: three, hold right: main}}
              three: {title: Three, about: Third., keys: {press left: four, hold right: main}}
              four: {title: Four, about: Fourth., keys: {hold right: two}}
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
                keys: {press left: one}
              one: {title: One, about: First., keys: {press left: two, hold right: main}}
              two: {title: Two, about: Second., keys: {press left: three, hold right: main}}
              three: {title: Three, about: Third., keys: {press left: four, hold right: main}}
              four: {title: Four, about: Fourth., keys: {hold right: main}}
    """
    for one in every(subject.book, Instrument):
        keys = [
            (name, key, target)
            for name, screen in (one.screens or {}).items()
            for key, target in (screen.keys or {}).items()
        ]
        ways = Counter(target for _, _, target in keys)
        for gesture in sorted({key for _, key, _ in keys}):
            led = Counter(target for _, key, target in keys if key == gesture)
            odd = [target for target, count in led.items() if count == 1]
            if len(odd) != 1 or len(led) < 2 or ways[odd[0]] < 2:
                continue
            if any(count < FELLOWS for target, count in led.items() if target != odd[0]):
                continue
            usual = led.most_common(1)[0][0]
            name = next(name for name, key, target in keys if (key, target) == (gesture, odd[0]))
            if name == usual:
                continue
            yield Problem(
                one.places.at("screens", name, "keys", gesture),
                f"`{gesture}` leads to `{odd[0]}` here, and to `{usual}` on {led[usual]} screens",
                "try it on the instrument and correct the key that is wrong",
            )


@rule(Severity.WARNING, Family.PROCEDURES)
def button_held_long(subject: Subject) -> Iterator[Problem]:
    """A step holds a button for longer than a minute.

    Nobody designs such a button; seconds were written as minutes.

    Source: common practice, no source.

    Bad:
        procedures/wake.yaml
            document: marl-manual
            procedure: wake
            title: Wake the display
            chapter: set-up
            when: when it is dark
            steps:
              - hold: wren/left
                for: wake-hold
        procedures/facts.yaml
            document: marl-manual
            facts: {wake-hold: {minimum: 2 min, name: time on the key, source: page 7}}
    Good:
        procedures/wake.yaml
            document: marl-manual
            procedure: wake
            title: Wake the display
            chapter: set-up
            when: when it is dark
            steps:
              - hold: wren/left
                for: wake-hold
        procedures/facts.yaml
            document: marl-manual
            facts: {wake-hold: {minimum: 2 s, name: time on the key, source: page 7}}
    """
    for manual in subject.views:
        for procedure in manual.of(Procedure).values():
            for step in (step for steps in step_lists(procedure) for step in steps):
                if not isinstance(step, HoldStep) or step.for_ is None:
                    continue
                figure = figure_of(manual, subject.figures[manual.id], step.for_)
                ends = (figure.exact.low, figure.exact.high) if figure is not None else ()
                known = [end for end in ends if end is not None and end.unit.mixes(UNITS["s"])]
                if any(end.to(UNITS["s"]).value > LONGEST for end in known):
                    yield Problem(
                        step.places.at("for"),
                        f"a button is held for {known[0]}",
                        "correct the unit of the figure, or the reference",
                    )
