"""Wrong edits of procedures: messages of hazards, order, gestures, positions, screens."""

from __future__ import annotations

from collections.abc import Iterator

from placardry import nodes
from placardry.book.controls import Control
from tests.mutation.demo import Demo, Edit, File

FREE = ("do", "look")  # steps in free words, of which no program knows what they do
GESTURES = {"press": "hold", "hold": "press", "together": "press"}


def lists(demo: Demo) -> Iterator[tuple[File, nodes.Sequence]]:
    """The lists of steps of all procedures."""
    for file, _, mapping in demo.mappings():
        steps = mapping.get("steps")
        if isinstance(steps, nodes.Sequence) and "procedure" in file.root:
            yield file, steps


def _is(node: nodes.Node, *names: str) -> bool:
    return isinstance(node, nodes.Mapping) and any(name in node for name in names)


def hazard_removed(demo: Demo) -> Iterator[Edit]:
    for file, steps in lists(demo):
        for one in steps.items:
            if _is(one, "hazard") and len(steps.items) > 1:
                yield Edit("hazard removed", file.path, *file.item(one), "")


def hazard_moved(demo: Demo) -> Iterator[Edit]:
    for file, steps in lists(demo):
        for one, after in zip(steps.items, steps.items[1:], strict=False):
            if _is(one, "hazard") and not _is(after, "hazard"):
                yield _swapped("hazard below its step", file, one, after)


def steps_swapped(demo: Demo) -> Iterator[Edit]:
    """Two steps that stand next to each other, but for those that are right in both orders.

    Right in both orders, as far as the book says: two of which one is in free words, two settings
    of different controls without an expected response, and two readings.
    """
    for file, steps in lists(demo):
        for one, after in zip(steps.items, steps.items[1:], strict=False):
            free = _is(one, "hazard", *FREE) or _is(after, "hazard", *FREE)
            alike = any(_is(one, name) and _is(after, name) for name in ("set", "read", "record"))
            if not free and not alike:
                yield _swapped("steps swapped", file, one, after)


def step_dropped(demo: Demo) -> Iterator[Edit]:
    for file, steps in lists(demo):
        for one in steps.items:
            if not _is(one, "hazard", *FREE) and len(steps.items) > 1:
                yield Edit("step dropped", file.path, *file.item(one), "")


def gesture_changed(demo: Demo) -> Iterator[Edit]:
    for file, steps in lists(demo):
        for one in steps.items:
            if isinstance(one, nodes.Mapping):
                key = one.entries[0][0]
                if key.text in GESTURES:
                    place = file.cut(key.span)
                    yield Edit("gesture changed", file.path, *place, GESTURES[key.text])


def position_changed(demo: Demo) -> Iterator[Edit]:
    controls = demo.book.of(Control)
    for file, steps in lists(demo):
        for one in steps.items:
            setting = one.get("set") if isinstance(one, nodes.Mapping) else None
            for key, value in setting.entries if isinstance(setting, nodes.Mapping) else ():
                known = list(
                    (controls[key.text][0].positions or {}) if key.text in controls else ()
                )
                if isinstance(value, nodes.Scalar) and value.text in known and known[1:]:
                    other = known[(known.index(value.text) + 1) % len(known)]
                    yield Edit("position changed", file.path, *file.cut(value.span), other)


def path_changed(demo: Demo) -> Iterator[Edit]:
    """A go-to another screen, and keys of an instrument that lead to another screen."""
    for file, keys, mapping in demo.mappings():
        target = mapping.get("go-to")
        if isinstance(target, nodes.Scalar):
            instrument, _, screen = target.text.partition("/")
            text = f"{instrument}/{_next(_screens(demo, instrument), screen)}"
            yield Edit("menu path changed", file.path, *file.cut(target.span), text)
        if keys and keys[-1] == "keys" and "instrument" in file.root:
            name = file.root.get("instrument")
            assert isinstance(name, nodes.Scalar)
            for _, value in mapping.entries:
                if isinstance(value, nodes.Scalar):
                    text = _next(_screens(demo, name.text), value.text)
                    yield Edit("menu path changed", file.path, *file.cut(value.span), text)


def _screens(demo: Demo, instrument: str) -> list[str]:
    found = demo.book.records["instrument"][instrument][0]
    return list(found.screens)  # type: ignore[attr-defined]


def _next(known: list[str], name: str) -> str:
    return known[(known.index(name) + 1) % len(known)] if name in known else known[0]


def _swapped(kind: str, file: File, one: nodes.Node, after: nodes.Node) -> Edit:
    (start, middle), (begin, end) = file.item(one), file.item(after)
    first, between, second = file.text[start:middle], file.text[middle:begin], file.text[begin:end]
    return Edit(kind, file.path, start, end, second + between + first)
