"""Rules on the screens of instruments: fields without meaning, keys and ways that fail."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.instruments import Instrument, Screen
from placardry.finding import Family, Severity, Span
from placardry.menus import gesture, presses
from placardry.resolve import Manual
from placardry.rules.instruments import broken_parts
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
    key_at,
)


@rule(Severity.WARNING, Family.INSTRUMENTS)
def unexplained_field(subject: Subject) -> Iterator[Problem]:
    """A field to which nothing is connected, or a mark, is left without explanation.

    Owners ask what the dashes mean. Say what the field shows and that it means nothing here.

    Bad:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
              spare: {unused: yes}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}, {channel: spare, label: AUX}]
    Good:
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature}
              spare: {unused: yes, shows: "- - -", about: Nothing is connected to it.}
            screens:
              main:
                title: Main screen
                fields: [{channel: coolant, label: WATER}, {channel: spare, label: AUX}]
    """
    for manual in subject.manuals:
        for instrument in manual.of(Instrument).values():
            for name, screen in (instrument.screens or {}).items():
                for at, lack in _unexplained(manual, instrument, screen):
                    place = instrument.places.at("screens", name, "fields", at)
                    yield Problem(place, *lack)


def _unexplained(
    manual: Manual, instrument: Instrument, screen: Screen
) -> Iterator[tuple[int, tuple[str, str]]]:
    for at, field in enumerate(screen.fields):
        if field.mark is not None and field.about is None:
            yield at, (f"the mark `{field.mark}` is not explained", "add `about:` to the field")
        channel = (instrument.channels or {}).get(field.channel or "")
        if channel is None or manual.connects(channel):
            continue
        lacks = [] if channel.shows else [f"`shows:` to the channel `{field.channel}`"]
        lacks += [] if channel.about or field.about else ["`about:` to it"]
        if lacks:
            message = f"nothing is connected to `{field.channel}`, and the owner is not told so"
            yield at, (message, "add " + " and ".join(lacks))


@rule(Severity.WARNING, Family.INSTRUMENTS)
def unreachable_screen(subject: Subject) -> Iterator[Problem]:
    """No way of key presses leads from the home screen to a screen.

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
              main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}
              set-up: {title: Set-up menu, about: All settings., keys: {press left: main}}
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
                keys: {press right: set-up}
              set-up: {title: Set-up menu, about: All settings., keys: {press left: main}}
    """
    for one in every(subject.book, Instrument):
        if any(broken_parts(one)) or any(_unknown_gestures(one)):
            continue  # the way may be lost through a slip that is reported itself
        if one.screens and one.home is None:
            message = f"`{one.id}` has screens and no home screen"
            yield Problem(one.places.span, message, "add `home:` with its first screen")
            continue
        for name in _lost(one):
            message = f"no key presses lead from `{one.home}` to `{name}`"
            mend = f"add a key that leads to `{name}` to another screen"
            yield Problem(key_at(one, "screens", name), message, mend)


def _lost(one: Instrument) -> list[str]:
    """The screens out of reach, without those that are lost only because these are."""
    screens = one.screens or {}
    lost = [name for name in screens if presses(one, name) is None]
    led_to = {
        target for name in lost for target in (screens[name].keys or {}).values() if target != name
    }
    return [name for name in lost if name not in led_to] or lost[:1]


@rule(Severity.ERROR, Family.INSTRUMENTS)
def unknown_gesture(subject: Subject) -> Iterator[Problem]:
    """A screen's key names no gesture, or a button that the instrument lacks.

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
                keys: {press middle: main}
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
                keys: {press right: main}
    """
    for one in every(subject.book, Instrument):
        for place, keys in _unknown_gestures(one):
            buttons = " or ".join(f"`press {name}`" for name in one.buttons or {})
            mend = f"write {buttons or '`buttons:` first'}; `hold` for a long press"
            message = f"`{keys}` is no gesture on the buttons of `{one.id}`"
            yield Problem(place, message, mend)


def _unknown_gestures(instrument: Instrument) -> Iterator[tuple[Span, str]]:
    for name, screen in (instrument.screens or {}).items():
        for keys in screen.keys or {}:
            made = gesture(keys)
            if made is None or not set(made[1]) <= set(instrument.buttons or {}):
                yield instrument.places.at("screens", name, "keys", keys), keys
