"""Controls, and the panel on which controls and instruments sit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from placardry.book.record import (
    Applicability,
    ControlId,
    FigureId,
    InstrumentId,
    Part,
    Record,
    Text,
    record,
)
from placardry.quantity import Quantity


@record
class Position(Part):
    """A position of a switch or lever, or a mode of an accessory.

    Attributes:
        label: the word printed beside it
        name: what it is called where nothing is printed beside it
        does: what happens in it
        does_not: what people wrongly expect of it
        sets: the states that it brings about: `{engine: stopped}`
    """

    label: str | None = None
    name: Text | None = None
    does: Text
    does_not: Text | None = None
    sets: Mapping[str, str] | None = None


@record
class Gesture(Part):
    """What a press or a hold does.

    Attributes:
        moves: from which position or mode to which: `{steady: flash, flash: off}`
        sets: the states that it brings about: `{engine: running}`
        for_: how long it must be held, a figure
    """

    does: Text
    does_not: Text | None = None
    moves: Mapping[str, str] | None = None
    sets: Mapping[str, str] | None = None
    for_: FigureId | None = None


@record
class Control(Record):
    """A switch, button or lever.

    Attributes:
        label: the words printed beside it on the machine
        kind: what it is
        positions: where it can stand; for an accessory's button, the modes it goes through
        rests: the position in which it is left
        gestures: what a press, a hold or a pull does
        needs: what must be so for it to have an effect: `{master: on}`
        recovers: what to do when it no longer answers
    """

    name: Text
    label: str | None = None
    kind: Literal["switch", "button", "lever", "handle", "tap", "plug"]
    about: Text | None = None
    positions: Mapping[str, Position] | None = None
    rests: str | None = None
    gestures: Mapping[Literal["press", "hold", "pull"], Gesture] | None = None
    needs: Mapping[ControlId, str] | None = None
    recovers: Text | None = None


@record
class PanelItem(Part):
    """One thing on a panel, at the place of its middle.

    Units: `at` and `size` are whole millimetres from the panel's upper left corner.

    Attributes:
        applies: the machines on whose panel it is
    """

    at: tuple[int, ...]
    instrument: InstrumentId | None = None
    control: ControlId | None = None
    cover: Text | None = None
    hole: Quantity | None = None
    size: tuple[int, ...] = ()
    applies: tuple[Applicability, ...] = ()


@record
class Panel(Record):
    """Where instruments and controls sit; callouts are numbered in the order of `items`.

    Units: `size` is width and height in whole millimetres.
    """

    name: Text
    size: tuple[int, ...]
    items: tuple[PanelItem, ...]
    about: Text | None = None
