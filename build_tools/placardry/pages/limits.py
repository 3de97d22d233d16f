"""The limits, set apart from all else, and the facts and figures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from placardry.book.conditions import Condition
from placardry.book.figures import Derived, Fact, Limit, Parameter, Scale
from placardry.figures import Figure
from placardry.numerals import unit_shown
from placardry.pages.gauge import strips
from placardry.pages.inline import Inline, Markdown, escaped
from placardry.pages.page import PageFile, Writing, cells, identified
from placardry.pages.unit_choice import marked
from placardry.rounding import Kind
from placardry.stated import parts_of, statement_of
from placardry.wording.phrases import Phrase, joined, plain, sentence, title_of
from placardry.wording.unit_sides import sides

# Kinds of limits that tell an owner what to expect or to aim at, not what to keep to.
ADVISORY = (Kind.TYPICAL, Kind.NOMINAL)


def limits(writing: Writing) -> Iterator[PageFile]:
    """One section for each parameter: its bands and limits, and what to do beyond them."""
    path = "limits.md"
    write = writing.inline(path)
    own: dict[str, list[Figure]] = defaultdict(list)
    for figure in writing.speaker.figures.values():
        if isinstance(figure.record, Limit | Scale) and figure.part != "within":
            own[figure.record.parameter].append(figure)
    groups = [
        _group(write, parameter, own[parameter.id])
        for parameter in writing.manual.of(Parameter).values()
        if parameter.id in own
    ]
    if groups:
        title = writing.word("page.limits")
        meanings = list(_meanings(write))
        yield writing.page(path, title, "limits", "limits", groups=groups, meanings=meanings)


def _meanings(write: Inline) -> Iterator[Markdown]:
    """What the short form of each condition with figures in it stands for."""
    speaker = write.speaker
    used = {one.id for figure in speaker.figures.values() for one in figure.conditions}
    for condition in speaker.manual.of(Condition).values():
        if condition.id in used and any(item.span for item in condition.box.values()):
            name = Markdown(f"**{write.start(condition.short)}**")
            meaning = write.phrase(speaker.condition(condition))
            yield write.say("limit.condition", name=name, meaning=meaning)


def _group(write: Inline, parameter: Parameter, own: list[Figure]) -> Mapping[str, Any]:
    """The limits of one parameter."""
    # The bands of a scale stand in its own order, lowest first; other limits follow.
    own.sort(key=lambda figure: (figure.colour is None, figure.id, _band(figure)))
    mandatory = [figure for figure in own if figure.kind not in ADVISORY]
    advisory = [figure for figure in own if figure.kind in ADVISORY]
    name = write.phrase(sentence(write.speaker.text(parameter.name)))
    units = list(own[0].shown)
    return {
        "heading": identified(name, parameter.id),
        "about": parameter.about,
        "strips": strips(write, [parameter.id]),
        "units": [_head(write, own[0], unit) for unit in units],
        "mandatory": [_row(write, figure, units) for figure in mandatory],
        "advisory": [_row(write, figure, units) for figure in advisory],
        "exceeded": list(dict.fromkeys(_exceeded(write, mandatory))),
        "otherwise": list(dict.fromkeys(_exceeded(write, advisory))),
        "notes": list(dict.fromkeys(write.text(one.record.note) for one in own if one.record.note)),
    }


def _head(write: Inline, figure: Figure, unit: str) -> Markdown:
    """The head of a unit's column."""
    shown = unit_shown(figure.shown[unit].unit, write.speaker.language)
    return _in_column(write, figure, unit, escaped(shown or "–"))


def _in_column(write: Inline, figure: Figure, unit: str, cell: Markdown) -> Markdown:
    """A cell of a unit's column; marked where a reader may hide the unit."""
    name = marked([sides(figure, write.speaker.manual).get(unit)])
    return Markdown(f"{cell} {{: .{name} }}") if name else cell


def _band(figure: Figure) -> int:
    """The place of a band in its scale; 0 for what is no band."""
    scale = figure.record
    return parts_of(scale).index(figure.part or "") if isinstance(scale, Scale) else 0


def _row(write: Inline, figure: Figure, units: Iterable[str]) -> Markdown:
    """What the figure is and when it holds in one cell; then the figure in each unit."""
    what = write.phrase(_called(write, figure))
    say = write.speaker.bare if figure.colour is None else write.speaker.banded
    shown = [
        _in_column(write, figure, unit, write.phrase(say(figure, unit)))
        for unit in units
        if unit in figure.shown
    ]
    return cells((what, *shown))


# Kinds that the figure itself does not say: it reads `45 °C` for a maximum and for a minimum.
SAID_BY_NAME = ("maximum", "minimum", "avoid")


def _called(write: Inline, figure: Figure) -> Phrase:
    """What a limit is, and when it holds: `Exhaust, maximum, at full throttle`."""
    speaker, record = write.speaker, figure.record
    own = sentence(speaker.text(record.name)) if record.name else ()
    if figure.colour is not None:
        word = f"colour.{figure.colour}"
    else:
        given = statement_of(record)
        kind = given[0] if given else str(figure.kind)
        word = f"kind.{kind}" if not own or kind in SAID_BY_NAME else ""
    kind_said = plain(speaker.words[word]) if word else ()
    held = speaker.held(figure)[1:]  # it begins with a space
    return sentence(joined([own, kind_said, held], ", "))


def _exceeded(write: Inline, figures: Iterable[Figure]) -> Iterator[Markdown]:
    """What to do for each limit that says it, with the limit and its condition before it."""
    for figure in figures:
        if figure.exceeded:
            called = write.phrase(_called(write, figure))
            yield Markdown(f"**{called}:** {write.text(figure.exceeded)}")


def facts(writing: Writing) -> Iterator[PageFile]:
    """A table of the given figures that are no limits, and of those worked out from others."""
    path = "facts.md"
    write = writing.inline(path)
    figures = writing.speaker.figures
    found: list[tuple[str, Markdown]] = []
    records: list[Fact | Derived] = [
        *writing.manual.of(Fact).values(),
        *writing.manual.of(Derived).values(),
    ]
    for record in records:
        figure = figures.get((record.id, ""))
        if figure is None:
            continue
        title = title_of(record)
        name = sentence(writing.speaker.text(title))
        if str(figure.kind) in SAID_BY_NAME and figure.type == "fact":
            name = (*name, *plain(f", {writing.word(f'kind.{figure.kind}')}"))
        row = cells((write.phrase(name), write.all_units(figure), write.text(record.note)))
        found.append((title.casefold(), row))
    if found:
        rows = [row for _, row in sorted(found)]
        yield writing.page(path, writing.word("page.facts"), "reference", "facts", rows=rows)
