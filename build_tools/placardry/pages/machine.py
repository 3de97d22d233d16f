"""The start page, the panel and the controls."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from placardry.book.controls import Control, Gesture, PanelItem, Position
from placardry.book.instruments import Instrument
from placardry.book.machines import Option
from placardry.book.pages import Page
from placardry.book.procedures import Procedure
from placardry.book.sources import Edition
from placardry.context import HERE
from placardry.pages.drawing import DRAWING
from placardry.pages.inline import Inline, Markdown
from placardry.pages.page import PageFile, Writing, cells, identified
from placardry.wording.keys import figure
from placardry.wording.phrases import Speaker, joined, sentence, spoken
from placardry.wording.words import Words


def edition_state(words: Words, issued: Edition | None) -> str:
    """Whether a manual is a draft, or in which edition it was issued; plain words."""
    if issued is None:
        return words["edition.draft"]
    slots = {"number": str(issued.number), "date": issued.dated.isoformat()}
    return "".join(
        slots[piece] if slot else piece for piece, slot in words.pieces("edition.issued")
    )


def manual_title(speaker: Speaker) -> str:
    """The title of a manual, and the machine that it is for; plain words."""
    manual = speaker.manual
    title = speaker.text(manual.entry.title or manual.settings.title)
    return f"{spoken(title)}: {spoken(speaker.text(manual.machine.name))}"


def start(writing: Writing) -> PageFile:
    """The start page: what this manual is for, the caution, what to read first, the equipment."""
    manual = writing.manual
    path = "index.md"
    write = writing.inline(path)
    of_first = [
        write.name("page", page.id)
        for page in sorted(manual.of(Page).values(), key=lambda page: (page.order, page.path))
        if page.chapter == "introduction" and page.passages
    ]
    emergencies = [
        write.name("procedure", one.id)
        for one in manual.of(Procedure).values()
        if one.chapter == "emergency"
    ]
    return writing.page(
        path,
        manual_title(writing.speaker),
        "introduction",
        "start",
        state=edition_state(writing.speaker.words, writing.issued),
        first=of_first,
        emergencies=emergencies,
        options=_options(write),
        dated=(writing.issued or manual.settings).dated.isoformat(),
    )


def _options(write: Inline) -> list[tuple[str, Markdown, Markdown]]:
    """Each option with its state; of one that is not on the machine only its notice."""
    manual = write.speaker.manual
    unconnected = {
        channel.needs
        for instrument in manual.of(Instrument).values()
        for channel in (instrument.channels or {}).values()
    }
    found = []
    for id, state in manual.options.items():
        option = manual.of(Option).get(id)
        if option is None:
            continue
        here = state in HERE
        # What a screen shows of a missing option is said where that screen is described.
        if not here and (option.notice is None or id in unconnected):
            continue
        name = write.phrase(sentence(write.speaker.text(option.name)))
        said = write.text(option.about if here else option.notice)
        found.append((id, Markdown(f"**{name}** ({write.word(f'option.{state}')})"), said))
    return found


def panel(writing: Writing) -> Iterator[PageFile]:
    """The drawing of the panel, and its callouts in the order of their numbers."""
    path = "panel.md"
    write = writing.inline(path)
    callouts = [
        _callout(write, item, number) for number, item in enumerate(writing.manual.panel.items, 1)
    ]
    if callouts:
        title = writing.word("page.panel")
        yield writing.page(path, title, "machine", "panel", callouts=callouts, drawing=DRAWING)


def _callout(write: Inline, item: PanelItem, number: int) -> Markdown:
    """What one callout of the drawing points at."""
    if item.instrument is not None:
        said = write.name("instrument", item.instrument)
    elif item.control is not None:
        said = write.name("control", item.control)
    else:
        said = write.text(item.cover)
    hole = write.figure(write.speaker.manual.panel.id, f"hole-{number}")
    return Markdown(f"{said}, {write.say('panel.hole', figure=hole)}") if hole else said


def controls(writing: Writing) -> Iterator[PageFile]:
    """Every control: what it does and does not, what it needs, how it recovers."""
    path = "controls.md"
    write = writing.inline(path)
    found = [_control(write, one) for one in writing.manual.of(Control).values()]
    if found:
        title = writing.word("page.controls")
        yield writing.page(path, title, "machine", "controls", controls=found)


def _control(write: Inline, control: Control) -> Mapping[str, Any]:
    speaker = write.speaker
    positions = [
        (write.phrase(speaker.control(control.id, name)), *_effect(write, position))
        for name, position in (control.positions or {}).items()
    ]
    gestures = [
        (_gesture(write, name, gesture), *_effect(write, gesture))
        for name, gesture in (control.gestures or {}).items()
    ]
    needs = joined(
        [speaker.state(name, (state,)) for name, state in (control.needs or {}).items()], "; "
    )
    name = Markdown(write.phrase(sentence(speaker.control(control.id))))
    return {
        "record": control,
        "heading": identified(_unlinked(name), control.id),
        "kind": write.word(f"control.{control.kind}"),
        "positions": [cells(row) for row in positions],
        "gestures": [cells(row) for row in gestures],
        "rests": write.phrase(speaker.control(control.id, control.rests)) if control.rests else "",
        "needs": write.phrase(needs),
    }


def _unlinked(name: Markdown) -> Markdown:
    """The words of a link alone, for a heading that is the link's own target."""
    if not name.startswith("["):
        return name
    words, _, rest = name[1:].partition("](")
    return Markdown(words + rest.partition(")")[2])


def _effect(write: Inline, one: Position | Gesture) -> tuple[Markdown, Markdown]:
    return write.text(one.does), write.text(one.does_not)


def _gesture(write: Inline, name: str, gesture: Gesture) -> Markdown:
    word = write.word(f"control.{name}")
    if gesture.for_ is None:
        return word
    return Markdown(f"{word} ({write.phrase(figure(write.speaker, gesture.for_))})")
