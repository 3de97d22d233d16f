"""How the keys of an instrument are said, and the presses that lead to one of its screens."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from placardry.book.instruments import Instrument
from placardry.book.record import FIGURE_KINDS, Refers
from placardry.links import Link, follow
from placardry.menus import Gesture, way
from placardry.wording.phrases import Phrase, Run, Speaker, joined, plain

FIGURE = Refers(FIGURE_KINDS)


def figure(speaker: Speaker, name: str) -> Phrase:
    """A figure by its id and part, with its condition."""
    link = follow(name, FIGURE, speaker.manual.records)
    return speaker.link(link) if link is not None else plain(name)


def keys_said(instrument: Instrument, names: Iterable[str], speaker: Speaker) -> Phrase:
    """The words printed on these keys."""
    labels = [(Run((instrument.buttons or {}).get(name, name), style="label"),) for name in names]
    return joined(labels, ", ", speaker.words["step.and"])


def screen_title(speaker: Speaker, instrument: str, screen: str) -> Phrase:
    """The title of a screen, as a link to its instrument."""
    return speaker.name(Link("instrument", instrument, screen, "screen"))


def key_presses(
    speaker: Speaker, instrument: Instrument, screen: str, shown: str | None = None
) -> Phrase:
    """How to get to a screen from the one shown, else from home; empty where it is that one."""
    found = way(instrument, screen, shown)
    if found is None or not found[1]:
        return ()
    parts: list[Phrase] = []
    for (kind, keys), often in _repeated(found[1]):
        said = speaker.say(f"step.{kind}-gesture", buttons=keys_said(instrument, keys, speaker))
        if kind == "hold" and instrument.hold is not None:
            said = (*said, Run(" ("), *figure(speaker, instrument.hold), Run(")"))
        parts.append(_so_often(speaker, said, often))
    start = screen_title(speaker, instrument.id, found[0])
    return speaker.say("step.go-to-by", screen=start, presses=joined(parts, ", "))


def _repeated(made: Iterable[Gesture]) -> Iterator[tuple[Gesture, int]]:
    """Each gesture, and how often it is made at a stretch, at most ten times."""
    for gesture, alike in groupby(made):
        count = len(list(alike))
        yield from ((gesture, min(count - done, 10)) for done in range(0, count, 10))


def _so_often(speaker: Speaker, gesture: Phrase, often: int) -> Phrase:
    if often == 1:
        return gesture
    return speaker.say(
        "step.often", gesture=gesture, often=plain(speaker.words[f"step.often-{often}"])
    )
