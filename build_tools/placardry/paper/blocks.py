"""What a card shows, as pieces: a row, a gauge, a step, a sentence, each whole or not at all.

A card is set piece by piece, so that it can fill two columns; a safety message and the step it
stands before are one piece, and so are memory items that follow each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import count, cycle, groupby
from string import ascii_lowercase
from typing import Any

from placardry.book.cards import Block, Card
from placardry.book.figures import Fact, Limit, Parameter, Scale
from placardry.book.instruments import Alarm
from placardry.book.procedures import Hazard, Procedure
from placardry.book.tasks import Task
from placardry.figures import Figure
from placardry.paper.inked import Ink, Register, inked
from placardry.stated import parts_of, statement_of
from placardry.wording.phrases import Phrase, Run, Speaker, joined, plain, sentence
from placardry.wording.steps import Instruction, instructions

Piece = dict[str, Any]

# The kinds that a limit's name does not tell; a nominal or typical figure speaks for itself.
SAID_KINDS = ("maximum", "minimum", "avoid", "drop", "rise")


class Blocks:
    """Turns the blocks of a card into pieces for one manual."""

    def __init__(self, speaker: Speaker, register: Register) -> None:
        self.speaker = speaker
        self.manual = speaker.manual
        self.register = register

    def pieces(self, card: Card) -> Iterator[Piece]:
        """The pieces of a card; the first piece of a block carries the block's heading."""
        for block in card.shows:
            heading = self.ink(self.speaker.text(block.heading)) if block.heading else None
            for piece in self._of(block, card):
                yield {**piece, "heading": heading} if heading else piece
                heading = None

    def ink(self, phrase: Iterable[Run]) -> Ink:
        """A phrase as the template reads it."""
        return inked(phrase, self.register)

    def _of(self, block: Block, card: Card) -> Iterator[Piece]:
        lone = block.heading is not None and len(block.scales) == 1
        for name in block.scales:
            if name in self.manual.of(Scale):
                yield self._scale(self.manual.get(Scale, name), is_named=not lone)
        rows = [*self._limits(block), *self._facts(block), *self._alarms(block)]
        if rows:
            yield {"kind": "rows", "rows": rows}
        for name in block.tasks:
            if name in self.manual.of(Task):
                yield self._task(self.manual.get(Task, name))
        if block.procedure and block.procedure in self.manual.of(Procedure):
            procedure = self.manual.get(Procedure, block.procedure)
            is_titled = block.heading is None and procedure.title != card.title
            yield from self._procedure(procedure, is_titled=is_titled)
        if block.text:
            yield {"kind": "text", "words": self.ink(self.speaker.text(block.text))}

    def _row(self, name: Phrase, figure: Figure, quiet: str = "", **more: Any) -> Piece:
        """One figure in its row: what it is, when it holds, its numerals in both units."""
        units = list(figure.shown)
        said = self.speaker.bare if figure.colour is None else self.speaker.banded
        second: Phrase = ()
        if len(units) > 1:
            second = (Run("("), Run(self.speaker.numeral(figure, units[1]), figure), Run(")"))
        return {
            "name": self.ink(name),
            "quiet": quiet,
            "held": self.ink(self.speaker.held(figure)[1:]),
            "first": self.ink(said(figure)),
            "second": self.ink(second),
            **more,
        }

    def _scale(self, scale: Scale, *, is_named: bool) -> Piece:
        """A gauge: its bands from the highest down, as they stand on an upright strip."""
        rows = []
        for band, part in zip(scale.bands, parts_of(scale), strict=True):
            figure = self.speaker.figures.get((scale.id, part))
            if figure is not None:
                said = plain(self.speaker.words[f"colour.{band.colour}"])
                rows.append(self._row(sentence(said), figure, band=band.colour))
        name = sentence(self._called(scale)) if is_named else ()
        return {"kind": "scale", "name": self.ink(name), "rows": rows[::-1]}

    def _limits(self, block: Block) -> Iterator[Piece]:
        limits = self.manual.of(Limit)
        wanted = [limits[name] for name in block.limits if name in limits]
        wanted += [
            limit
            for parameter in block.limits_of
            for limit in limits.values()
            if limit.parameter == parameter and limit not in wanted
        ]
        yield from (self._statement(limit) for limit in wanted)

    def _facts(self, block: Block) -> Iterator[Piece]:
        for name in block.facts:
            id, _, part = name.partition(".")
            figure = self.speaker.figures.get((id, part))
            if figure is None:
                continue
            if isinstance(figure.record, Fact | Limit):
                yield self._statement(figure.record)
            else:
                yield self._row(sentence(self._called(figure.record)), figure)

    def _statement(self, record: Limit | Fact) -> Piece:
        key, _ = statement_of(record) or ("", None)
        is_said = key in SAID_KINDS and isinstance(record, Limit)
        if key in ("drop", "rise") and record.name:
            is_said = False  # such a name says what differs: `Drop on one circuit`
        quiet = self.speaker.words[f"kind.{key}"] if is_said else ""
        figure = self.speaker.figures[record.id, ""]
        return self._row(sentence(self._called(record)), figure, quiet)

    def _alarms(self, block: Block) -> Iterator[Piece]:
        for name in block.alarms:
            alarm = self.manual.of(Alarm).get(name)
            if alarm is None:
                continue
            figure = self.speaker.figures[alarm.id, ""]
            # What follows from a limit travels with the limit's condition.
            id, _, part = alarm.guards.partition(".")
            guarded = self.speaker.held(self.speaker.figures[id, part])
            row = self._row(
                sentence(self.speaker.text(alarm.name)),
                figure,
                self.speaker.words[f"paper.fires-{alarm.fires}"],
            )
            if guarded:
                said = self.speaker.say("paper.guards", condition=guarded[1:])
                row["held"] = self.ink(said)
            below = [self.speaker.text(text) for text in (alarm.shows, alarm.sentence) if text]
            yield {**row, "below": self.ink(joined(below, " "))}

    def _called(self, record: Any) -> Phrase:
        """The name of a limit, scale or fact; its parameter's short name where it has none."""
        if getattr(record, "name", None):
            return self.speaker.text(record.name)
        if record.parameter is None:
            return plain(record.id.replace("-", " "))
        parameter = self.manual.get(Parameter, record.parameter)
        return self.speaker.text(parameter.short or parameter.name)

    def _task(self, task: Task) -> Piece:
        words = self.speaker.words
        parts = [
            self.speaker.interval(task, part)
            for part in ("hours", "calendar", "life")
            if (task.id, part) in self.speaker.figures
            or (task.id, f"{part}-1") in self.speaker.figures
        ]
        if task.each:
            parts.append(plain(words[f"interval.{task.each}"]))
        parts += [
            self.speaker.say("paper.after", event=self.speaker.text(one)) for one in task.after
        ]
        title = self.speaker.text(task.title)
        return {"kind": "task", "name": self.ink(title), "words": self.ink(joined(parts, "; "))}

    # Procedures

    def _procedure(self, procedure: Procedure, *, is_titled: bool) -> Iterator[Piece]:
        lines = list(self._lines(instructions(self.speaker, procedure.steps)))
        title = self.ink(self.speaker.text(procedure.title)) if is_titled else None
        when = self.ink(sentence(self.speaker.text(procedure.when)))
        for at, glued in enumerate(_glued(lines)):
            groups = [
                {"memory": memory, "steps": list(steps)}
                for memory, steps in groupby(glued, key=lambda line: line["memory"])
            ]
            piece: Piece = {"kind": "steps", "groups": groups}
            if at == 0:
                piece |= {"when": when, **({"heading": title} if title else {})}
            yield piece

    def _lines(
        self, steps: Iterable[Instruction], numbers: Iterable[str] | None = None
    ) -> Iterator[Piece]:
        """The steps numbered; a safety message takes no number."""
        ordinals = iter(numbers or map(str, count(1)))
        for step in steps:
            if step.hazard is not None:
                yield self._hazard(step.hazard)
            else:
                yield self._step(step, next(ordinals))

    def _step(self, step: Instruction, number: str) -> Piece:
        if step.hazard is not None:
            return self._hazard(step.hazard)
        return {
            "number": number,
            "action": self.ink(step.action),
            "note": self.ink(step.note),
            "expect": self.ink(step.expect),
            "otherwise": self.ink(step.otherwise),
            "memory": step.memory,
            "cases": [
                {"when": self.ink(when), "steps": list(self._lines(below, cycle(ascii_lowercase)))}
                for when, below in step.cases
            ],
        }

    def _hazard(self, hazard: Hazard) -> Piece:
        said = (self.speaker.text(text) for text in (hazard.consequence, hazard.avoid))
        return {
            "memory": False,
            "signal": hazard.signal,
            "word": self.speaker.words[f"signal.{hazard.signal}"],
            "hazard": self.ink(self.speaker.text(hazard.hazard)),
            "rest": self.ink(joined(said, " ")),
        }


def _glued(lines: Iterable[Piece]) -> Iterator[list[Piece]]:
    """The lines in groups that must not be parted: see the head of this module."""
    glued: list[Piece] = []
    for line in lines:
        last = glued[-1] if glued else None
        if last and not ("signal" in last or (last["memory"] and line["memory"])):
            yield glued
            glued = []
        glued.append(line)
    if glued:
        yield glued
