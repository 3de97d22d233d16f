"""Rules on the menus of instruments as a procedure goes through them."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.runs import met
from placardry.rules.where import on_machines
from placardry.runs import What


@rule(Severity.ERROR, Family.PROCEDURES)
def wrong_screen(subject: Subject) -> Iterator[Problem]:
    """A step in a menu starts from another screen than the one that is shown.

    The keys then change another setting than the one the owner reads of.

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
                keys: {press left: contrast}
              contrast: {title: Contrast, about: Letters., keys: {press left: backlight}}
              backlight: {title: Backlight, about: Light., keys: {press left: main}}
        procedures/settings.yaml
            document: marl-manual
            settings:
              contrast:
                name: contrast
                instrument: wren
                screen: contrast
                change: Press {wren/right} until you read well.
                allowed: [weak, strong]
                factory: weak
                delivered: strong
                advised: Choose strong in the cold.
                source: page 3
        procedures/set-contrast.yaml
            procedure: set-contrast
            title: Set the contrast
            chapter: set-up
            when: when you cannot read the display
            steps:
              - go-to: wren/backlight
              - adjust: contrast
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
                keys: {press left: contrast}
              contrast: {title: Contrast, about: Letters., keys: {press left: main}}
        procedures/settings.yaml
            document: marl-manual
            settings:
              contrast:
                name: contrast
                instrument: wren
                screen: contrast
                change: Press {wren/right} until you read well.
                allowed: [weak, strong]
                factory: weak
                delivered: strong
                advised: Choose strong in the cold.
                source: page 3
        procedures/set-contrast.yaml
            procedure: set-contrast
            title: Set the contrast
            chapter: set-up
            when: when you cannot read the display
            steps:
              - go-to: wren/contrast
              - adjust: contrast
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.name}` shows {one.found} here, and {one.subject}",
                "go to the right screen before this step, or correct the keys before it",
                one.related,
            ),
        )
        for manual, one in met(subject, What.WRONG_SCREEN)
    )
