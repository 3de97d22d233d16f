"""Phrases: runs of words, figures and links, before any output decides how they look.

A figure is always said with its condition, so that no writer can part them (the condition stands
in the same run of words as the figure).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from placardry.book import KINDS
from placardry.book.conditions import Condition
from placardry.book.instruments import Instrument
from placardry.book.record import FIGURE_KINDS
from placardry.book.tasks import Task
from placardry.figures import Figure, Shown
from placardry.links import Link, follow_text
from placardry.numerals import shown, shown_nominal, shown_range, unit_shown
from placardry.references import Bad, Reference, pieces
from placardry.resolve import Manual
from placardry.rounding import Kind
from placardry.stated import Figures, delivered, figures
from placardry.wording.unit_sides import other_unit
from placardry.wording.words import Words, words


@dataclass(frozen=True, slots=True)
class Run:
    """A piece of a phrase.

    Attributes:
        text: what is read
        figure: the figure that it prints
        link: the record that it leads to
        instead: the same figure for a reader who has chosen units of the other side
        style: "" plain, "label" for words printed on the machine, "quotation", "strong"
    """

    text: str
    figure: Figure | None = None
    link: Link | None = None
    style: str = ""
    instead: str = ""


Phrase = tuple[Run, ...]

_CALENDAR = ("month", "year")


def plain(text: str) -> Phrase:
    """A phrase of plain words."""
    return (Run(text),) if text else ()


def spoken(phrase: Iterable[Run]) -> str:
    """The words of a phrase alone."""
    return "".join(run.text for run in phrase)


def joined(parts: Iterable[Phrase], between: str, last: str | None = None) -> Phrase:
    """Phrases with `between` between them, and `last` before the last one."""
    parts = [part for part in parts if part]
    result: list[Run] = []
    for at, part in enumerate(parts):
        if at:
            result.append(Run(last if last is not None and at == len(parts) - 1 else between))
        result += part
    return tuple(result)


def sentence(phrase: Phrase) -> Phrase:
    """The phrase with its first letter raised."""
    if not phrase or phrase[0].figure is not None:
        return phrase
    first = phrase[0]
    return (replace(first, text=first.text[:1].upper() + first.text[1:]), *phrase[1:])


class Speaker:
    """Says the figures, names and texts of one manual in its language."""

    def __init__(self, manual: Manual) -> None:
        self.manual = manual
        self.language = manual.language
        self.words: Words = words(manual.language)
        self.figures: Figures = figures(manual)

    def say(self, key: str, **slots: Phrase) -> Phrase:
        """The words of a key with its slots filled."""
        result: list[Run] = []
        for piece, is_slot in self.words.pieces(key):
            result += slots[piece] if is_slot else (Run(piece),)
        return tuple(result)

    # Figures

    def numeral(self, figure: Figure, unit: str | None = None) -> str:
        """A figure's glyphs in one unit, without words, conditions or "about"."""
        in_unit = figure.shown[unit] if unit is not None else figure.first
        return numeral(in_unit, self.language)

    def bare(self, figure: Figure, unit: str | None = None) -> Phrase:
        """A figure with the words that belong to its kind, without its condition."""
        run = (self._run(figure) if unit is None else Run(self.numeral(figure, unit), figure),)
        key = _word_of(figure)
        return self.say(f"figure.{key}", figure=run) if key else run

    def banded(self, figure: Figure, unit: str | None = None) -> Phrase:
        """A band of a scale in its row; one that is open to one side says which."""
        bare = self.bare(figure, unit)
        # A red band is the limit that it begins at: a minimum, where it lies below it.
        side = {Kind.MAXIMUM: "from", Kind.MINIMUM: "below"}.get(figure.kind)
        if side is None and figure.exact.high is None:
            side = "from"
        elif side is None and figure.exact.low is None:
            side = "below"
        return self.say(f"limit.{side}", figure=bare) if side else bare

    def _run(self, figure: Figure, end: str | None = None) -> Run:
        """A figure, or one end of it, in the unit printed first; and what it is instead."""
        other = other_unit(figure, self.manual)
        text, instead = (
            numeral(shown if end is None else end_of(shown, end), self.language) if shown else ""
            for shown in (figure.first, figure.shown[other] if other else None)
        )
        return Run(text, figure, instead=instead)

    def figure(self, figure: Figure, unit: str | None = None) -> Phrase:
        """A figure as it may stand anywhere: with its condition and the time allowed."""
        return (*self.bare(figure, unit), *self.held(figure))

    def held(self, figure: Figure) -> Phrase:
        """Under which condition a figure holds, as it follows the figure; empty if always."""
        parts = [self.text(condition.short) for condition in figure.conditions]
        if figure.within is not None:
            time = self.figures[figure.id, "within"]
            parts.append(self.say("figure.within", time=self.bare(time)))
        # The condition is the same words everywhere, as the register holds them.
        return tuple(replace(run, instead="") for part in parts for run in (Run(" "), *part))

    def interval(self, task: Task, part: str) -> Phrase:
        """An interval of a task: `every 25 h`, `after 1, 5 and 10 h, then every 25 h`."""
        points = [
            self.figures[task.id, f"{part}-{number}"]
            for number in range(1, 100)
            if (task.id, f"{part}-{number}") in self.figures
        ]
        runs = [(Run(self.numeral(point), point),) for point in points]
        parts: list[Phrase] = []
        if runs:
            listed = joined(runs, ", ", self.words["interval.and"])
            parts.append(self.say("interval.at", points=listed))
        every = self.figures.get((task.id, part))
        if every is not None:
            one = (Run(self.numeral(every), every),)
            if part == "life":
                parts.append(self.say("interval.life", figure=one))
            else:
                parts.append(one if part == "tolerance" else self._every(every))
        if len(parts) == 2:
            return self.say("interval.then", first=parts[0], every=parts[1])
        return parts[0] if parts else ()

    def _every(self, interval: Figure) -> Phrase:
        """How often: `every 25 h`, `every month`."""
        shown = interval.first
        symbol = shown.unit.symbol
        if symbol in _CALENDAR and 1 in (shown.value, shown.high):
            once = (Run(unit_shown(shown.unit, self.language, one=True), interval),)
            return self.say(f"interval.every-{symbol}", figure=once)
        return self.say("interval.every", figure=(Run(self.numeral(interval), interval),))

    def sided(self, figure: Figure) -> Phrase:
        """A figure that stands alone, without words of an author that say its side."""
        exact = figure.exact
        if _word_of(figure) or exact.value is not None or (exact.low and exact.high):
            return self.figure(figure)
        key = "figure.at-least" if exact.high is None else "figure.at-most"
        said = self.say(key, figure=(self._run(figure),))
        return (*said, *self.held(figure))

    def in_text(self, figure: Figure) -> Phrase:
        """A figure as a text says it: of a caution band only where it begins.

        A set-point is said as its instrument stores it, and in the market's unit behind it.
        """
        if figure.kind is Kind.SET_POINT and len(figure.shown) > 1:
            stored, market = (
                Run(self.numeral(figure, unit), figure) for unit in [*figure.shown][:2]
            )
            return (stored, Run(" ("), market, Run(")"), *self.held(figure))
        if figure.begins is None:
            return self.figure(figure)
        return (self._run(figure, figure.begins), *self.held(figure))

    # Names and texts

    def called(self, figure: Figure) -> Phrase:
        """What a figure is of: its record's name, else its parameter's."""
        title = title_of(figure.record)
        if getattr(figure.record, "name", None) is None and figure.parameter is not None:
            parameter = self.manual.records["parameter"].get(figure.parameter)
            title = str(parameter.name) if parameter is not None else title
        return self.text(title)

    def name(self, link: Link) -> Phrase:
        """What a link to a record reads: its title or name."""
        if link.kind == "this":
            return self.text(self._this(link.id))
        record = self.manual.records[link.kind][link.id]
        if link.kind == "control":
            return self.control(link.id, link.part)
        if link.nested is not None:
            there = Link("instrument", link.id)
            called = nested_name(record, link, self.manual)
            if link.nested == "button":
                return (Run(called, link=there, style="label"),)
            return self._linked(called, there)
        if link.kind == "quotation":
            return (Run(record.words, style="quotation"),)
        if link.kind == "condition":
            return self.text(record.short)
        return self._linked(title_of(record), link)

    def _linked(self, text: str, link: Link) -> Phrase:
        """A name as a link; a figure in it keeps its own."""
        return tuple(run if run.figure else replace(run, link=link) for run in self.text(text))

    def control(self, name: str, position: str | None = None) -> Phrase:
        """A control by its name and the words printed beside it; or one of its positions."""
        control = self.manual.records["control"][name]
        if position is not None:
            found = (control.positions or {}).get(position)
            if found is not None and found.name and not found.label:
                return self.text(found.name)
            return (Run((found and found.label) or position, style="label"),)
        link = Link("control", name)
        said = self._linked(control.name, link)
        if control.label:
            said = (*said, Run(" ("), Run(control.label, style="label"), Run(")"))
        return said

    def text(self, text: str) -> Phrase:
        """A text with its references said."""
        result: list[Run] = []
        for piece in pieces(text):
            if isinstance(piece, Reference):
                result += self._reference(piece)
            else:
                result.append(Run(piece.text if isinstance(piece, Bad) else piece))
        return tuple(result)

    def _reference(self, reference: Reference) -> Phrase:
        link = follow_text(reference, self.manual.records)
        if link is None:
            return plain(str(reference))
        return self.link(link)

    def link(self, link: Link) -> Phrase:
        """What any reference reads: a figure, an interval, or a name."""
        figure = self.figures.get((link.id, link.part or ""))
        if link.kind == "task" and link.part:
            return self.interval(self.manual.get(Task, link.id), link.part)
        if link.kind in FIGURE_KINDS and link.nested is None and figure is not None:
            return self.in_text(figure)
        if link.kind == "setting":
            setting = self.manual.records["setting"][link.id]
            return plain(delivered(setting, self.manual.market.id) or str(setting.name))
        return self.name(link)

    def _this(self, name: str) -> str:
        if name == "publisher":
            return str(self.manual.settings.publisher)
        return str(getattr(self.manual, name).name)

    def condition(self, condition: Condition) -> Phrase:
        """What a condition asks for, item by item: `engine speed 4500 rpm, throttle full`."""
        parts: list[Phrase] = []
        for name, item in condition.box.items():
            if item.span is not None:
                figure = self.figures[condition.id, name]
                called = self.text(self.manual.records["parameter"][name].name)
                parts.append((*called, Run(" "), *self.bare(figure)))
            else:
                parts.append(self.state(name, item.states))
        return joined(parts, ", ")

    def state(self, name: str, states: Iterable[str]) -> Phrase:
        """The state of the engine or of a control."""
        if name == "engine":
            return joined(
                [plain(self.words[f"step.state-engine-{state}"]) for state in states], " / "
            )
        positions = joined([self.control(name, state) for state in states], " / ")
        return self.say("step.on", name=self.control(name), state=positions)


def end_of(in_unit: Shown, end: str) -> Shown:
    """One end of a figure alone, `low` or `high`."""
    return Shown(in_unit.unit, in_unit.step, value=getattr(in_unit, end))


def numeral(in_unit: Shown, language: str) -> str:
    """What a figure looks like in one unit: `88 °C`, `63 to 82 °C`, `25 ± 2 N·m`."""
    low, high, value = in_unit.low, in_unit.high, in_unit.value
    step, unit = in_unit.step, in_unit.unit
    if value is not None and low is not None and high is not None:
        return shown_nominal(value, low, high, step, unit, language)
    if low is not None and high is not None:
        return shown_range(low, high, step, unit, language)
    one = next(end for end in (value, low, high) if end is not None)
    return shown(Fraction(one), step, unit, language)


def _word_of(figure: Figure) -> str | None:
    """Which words a figure takes: an open range says its side; a limit's name already does."""
    if figure.about:
        return "about"
    exact = figure.exact
    one_sided = exact.value is None and (exact.low is None or exact.high is None)
    if figure.open_low or figure.open_high:
        return "above" if figure.open_low else "below"
    if not one_sided:
        return None
    if figure.kind in (Kind.CHANGE, Kind.RANGE, Kind.AVOID) or figure.type == "fact":
        has_word = figure.kind in (Kind.CHANGE, Kind.RANGE, Kind.AVOID)
        return ("at-least" if exact.high is None else "at-most") if has_word else None
    return None


def title_of(record: Any) -> str:
    """The title, name or symptom of a record; its id where it has none."""
    for field in ("title", "name", "symptom", "words", "short"):
        said = getattr(record, field, None)
        if said:
            return str(said)
    parameter = getattr(record, "parameter", None)
    return str(parameter or record.id).replace("-", " ")


def nested_name(instrument: Instrument, link: Link, manual: Manual) -> str:
    """The name of a screen, channel, timer or button of an instrument."""
    part = link.part or ""
    if link.nested == "button":
        return str((instrument.buttons or {})[part])
    if link.nested == "screen":
        return str((instrument.screens or {})[part].title)
    if link.nested == "timer":
        return str((instrument.timers or {})[part].name)
    channel = (instrument.channels or {})[part]
    if channel.name:
        return str(channel.name)
    return str(manual.records["parameter"][channel.parameter or ""].name)


__all__ = ["KINDS", "Mapping", "Phrase", "Run", "Speaker", "joined", "plain", "sentence", "spoken"]
