"""Rules on the parts that references name: a band of a scale, a position of a control."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

from placardry.book.controls import Control
from placardry.book.record import FIGURE_KINDS
from placardry.finding import Family, Severity, Span, did_you_mean
from placardry.links import Link, Records, follow, follow_text
from placardry.references import references
from placardry.resolve import Manual
from placardry.rules.references import place_of, typed
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.texts import holders
from placardry.stated import Figures
from placardry.walk import Leaf


@dataclass
class _Judged:
    """What the manuals say of one reference to a part."""

    link: Link
    parts: set[str] = field(default_factory=set)
    lacking: set[str] = field(default_factory=set)
    having: set[str] = field(default_factory=set)


@rule(Severity.ERROR, Family.PROSE)
def unknown_part(subject: Subject) -> Iterator[Problem]:
    """A reference names a part that its figure or control does not have, or no part where it must.

    `{coolant.red}` is a cut of a scale; a colour that the scale lacks, or the scale alone where a
    figure is wanted, would leave the sentence without its figure.

    Source: common practice, no source.

    Bad:
        content/heat.md
            # Heat

            Land if the coolant reaches {coolant.purple}.
    Good:
        content/heat.md
            # Heat

            Land if the coolant reaches {coolant.red}.
    """
    judged: list[tuple[Callable[[], Span], _Judged]] = []
    to_judge = list(_to_figures(subject))
    shown = _shown(subject, {id(leaf.holder.places) for leaf, *_ in to_judge})
    distinct = {id(figures): figures for figures in subject.figures.values()}
    parts_of = {which: _by_id(figures) for which, figures in distinct.items()}
    for leaf, find, written_ in to_judge:
        one: _Judged | None = None
        for manual in shown.get(id(leaf.holder.places), ()):
            link = find(manual.records)
            if link is None or link.nested is not None:
                continue
            if not link.part and link.kind not in _IN_PARTS:
                continue
            parts = _parts(link, manual, parts_of[id(subject.figures[manual.id])])
            if one is None:
                one = _Judged(link)
                judged.append((written_, one))
            where = one.having if (link.part or "") in parts else one.lacking
            where.add(manual.machine.name)
            one.parts |= parts
    for written_, one in judged:
        if one.lacking:
            where_ = f" on {' and '.join(sorted(one.lacking))}" if one.having else ""
            yield Problem(written_(), _lacks(one.link) + where_, _other_part(one))


def _lacks(link: Link) -> str:
    if link.part:
        return f"`{link.id}` has no part `{link.part}`"
    return f"`{link.id}` has several figures, or none, and no part is named"


def _other_part(one: _Judged) -> str:
    link, parts = one.link, sorted(one.parts - {""})
    if not parts:
        return f"write `{link.id}` alone" if link.part else "refer to a figure that exists"
    choices = " or ".join(f"`{link.id}.{part}`" for part in parts[:6])
    return did_you_mean(link.part, parts, f"write {choices}") if link.part else f"write {choices}"


# Records of these kinds state figures only in parts, or only in some cases.
_IN_PARTS = ("scale", "task", "condition", "instrument", "setting")

Find = Callable[[Records], Link | None]


def _to_figures(subject: Subject) -> Iterator[tuple[Leaf, Find, Callable[[], Span]]]:
    """Every reference whose part, or lack of one, can be wrong; how to follow it; its place."""
    book = subject.book
    for leaf in typed(book):
        refers = leaf.refers
        if refers is not None and refers.kinds == FIGURE_KINDS:
            yield leaf, partial(follow, leaf.value, refers), partial(place_of, leaf, book)
    for text in subject.texts:
        if "{" not in text.text or text.is_translation:
            continue
        for reference in references(text.text):
            if reference.part:
                span = partial(text.span, reference.start, reference.end)
                yield text.leaf, partial(follow_text, reference), span


def _shown(subject: Subject, wanted: set[int]) -> Mapping[int, list[Manual]]:
    """The manuals that hold what is wanted, by the identity of its places."""
    shown: dict[int, list[Manual]] = defaultdict(list)
    for manual in subject.manuals:
        for place in holders(manual) & wanted:
            shown[place].append(manual)
    return shown


def _by_id(figures: Figures) -> Mapping[str, set[str]]:
    """The parts of the figures that each record states."""
    parts: dict[str, set[str]] = defaultdict(set)
    for name, part in figures:
        parts[name].add(part)
    return parts


def _parts(link: Link, manual: Manual, stated: Mapping[str, set[str]]) -> set[str]:
    """The parts that can be named of what a link leads to; "" where it is a figure alone."""
    if link.kind == "control":
        return set(manual.get(Control, link.id).positions or ())
    if link.kind not in FIGURE_KINDS:
        return set()
    parts = set(stated.get(link.id, ()))
    if link.kind == "task":  # the first points of a series are named with it
        parts |= {re.sub(r"-[0-9]+$", "", part) for part in parts}
    return parts
