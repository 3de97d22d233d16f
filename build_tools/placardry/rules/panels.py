"""Rules on where things sit on a panel."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from placardry.book.controls import Panel, PanelItem
from placardry.finding import Family, Note, Severity, Span
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
)
from placardry.units import UNITS

Outline = tuple[float, float, float, float]


@rule(Severity.ERROR, Family.INSTRUMENTS)
def item_off_panel(subject: Subject) -> Iterator[Problem]:
    """Something on a panel has no place on it: it leaves the panel, or lacks a number.

    Bad:
        procedures/panel.yaml
            panel: tern-panel
            name: Tern panel
            size: [300, 200]
            items:
              - {control: master, at: [340, 40]}
              - {instrument: wren, at: [150, 100], size: [110, 70]}
    Good:
        procedures/panel.yaml
            panel: tern-panel
            name: Tern panel
            size: [300, 200]
            items:
              - {control: master, at: [40, 40]}
              - {instrument: wren, at: [150, 100], size: [110, 70]}
    """
    for panel in every(subject.book, Panel):
        if len(panel.size) != 2 or min(panel.size) <= 0:
            mend = "write `size: [WIDTH, HEIGHT]` in whole millimetres"
            message = f"`{panel.id}` has a size of {len(panel.size)} numbers"
            yield Problem(panel.places.at("size"), message, mend)
            continue
        for at, item in enumerate(panel.items):
            box = _outline(item)
            place = panel.places.at("items", at, "at")
            if item.hole is not None and not item.hole.unit.mixes(UNITS["mm"]):
                message = f"`{item.hole}` is the size of no hole"
                yield Problem(item.places.at("hole"), message, "write its width, such as `57 mm`")
            elif box is None:
                message = "the place or the size has another number of values than two"
                yield Problem(place, message, "write `at: [ACROSS, DOWN]` of its middle")
            elif not _is_on(box, panel.size):
                width, height = panel.size
                message = f"this leaves the panel of {width} by {height} mm"
                yield Problem(place, message, "correct `at:`, its size or the panel's size")


@rule(Severity.ERROR, Family.INSTRUMENTS)
def overlapping_items(subject: Subject) -> Iterator[Problem]:
    """Two things sit at one place of a panel, on one machine.

    A switch and the cover of its hole may, where each `applies:` to other machines.

    Bad:
        procedures/panel.yaml
            panel: tern-panel
            name: Tern panel
            size: [300, 200]
            items:
              - {control: master, at: [140, 90]}
              - {instrument: wren, at: [150, 100], size: [110, 70]}
    Good:
        procedures/panel.yaml
            panel: tern-panel
            name: Tern panel
            size: [300, 200]
            items:
              - {control: master, at: [40, 40]}
              - {instrument: wren, at: [150, 100], size: [110, 70]}
    """
    met: dict[tuple[Span, Span], str] = {}
    for manual in subject.views:
        placed = [(item.places.at("at"), _outline(item)) for item in manual.panel.items]
        for (one, box), (other, beside) in combinations(placed, 2):
            if box is not None and beside is not None and _overlap(box, beside):
                met.setdefault((one, other), manual.machine.name)
    for (one, other), machine in met.items():
        message = f"two things lie over each other on the panel of {machine}"
        mend = "correct `at:` or `size:` of one"
        yield Problem(other, message, mend, (Note(one, "the other lies here"),))


def _outline(item: PanelItem) -> Outline | None:
    """Left, top, right and bottom in millimetres; None where the numbers are not two each."""
    if len(item.at) != 2 or len(item.size) not in (0, 2):
        return None
    width, height = (float(one) for one in item.size or (0, 0))
    if item.hole is not None and item.hole.unit.mixes(UNITS["mm"]):
        diameter = float(item.hole.to(UNITS["mm"]).value)
        width, height = max(width, diameter), max(height, diameter)
    across, down = item.at
    return across - width / 2, down - height / 2, across + width / 2, down + height / 2


def _is_on(box: Outline, size: tuple[int, ...]) -> bool:
    left, top, right, bottom = box
    return min(left, top) >= 0 and right <= size[0] and bottom <= size[1]


def _overlap(one: Outline, other: Outline) -> bool:
    """Whether the two share ground; two points do where they are the same."""
    if one[:2] == one[2:] and one == other:
        return True
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
