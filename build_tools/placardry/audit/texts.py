"""Figures in what was published elsewhere, judged against the figures of one machine.

The machine's figures come as data: register entries (see `data.entry`), in the language of the
text; what they were in earlier editions as `Was`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from placardry.audit.texts_context import Surroundings, words_of
from placardry.audit.texts_meant import Figures, Meant, Verdict
from placardry.audit.texts_naming import Entry
from placardry.audit.texts_reading import Running
from placardry.audit.texts_tables import Place
from placardry.audit.texts_values import Reading, readings
from placardry.spoken import spoken_quantities


@dataclass(frozen=True, slots=True)
class Judged:
    """A quantity found in a text, what it is, and the figure that it speaks of.

    Attributes:
        columns: from which sign of its line on it stands there, and before which it ends
        around: the sentence that it stands in
        meant: the figure; with `UNKNOWN`, one that the quantity may be a reading of
        expected: that figure as the manual prints it
        since: the edition in which it changed, of a stale one
        by: the words of the text by which the figure is known
        machine: a word that names another machine, of which the text speaks
    """

    path: str
    place: Place
    columns: tuple[int, int]
    text: str
    around: str
    meant: Meant | None = None
    expected: str = ""
    since: int | None = None
    by: tuple[str, ...] = ()
    machine: str = ""

    @property
    def verdict(self) -> Verdict:
        """What became of the figure."""
        return self.meant.verdict if self.meant else Verdict.UNKNOWN

    @property
    def figure(self) -> str:
        """The anchor of the figure meant; empty for none."""
        return self.meant.anchor if self.meant else ""

    @property
    def edition(self) -> int | None:
        """The last edition in which a stale value held."""
        return self.meant.edition if self.meant else None


@dataclass(frozen=True, slots=True)
class Machines:
    """The words that the machine in question is called by, and those for others alone."""

    own: frozenset[str] = frozenset()
    others: frozenset[str] = frozenset()

    @classmethod
    def called(cls, own: str, others: str) -> Machines:
        """From the names of the one and of the others, in whatever order."""
        known = frozenset(words_of(own))
        return cls(known, frozenset(words_of(others)) - known)


def judge(
    running: Running, figures: Figures, language: str = "en", machines: Machines | None = None
) -> Iterator[Judged]:
    """Every quantity of a text, in order, with what it is to the figures of the machine."""
    machines = machines or Machines()
    found = list(spoken_quantities(running.text, language))
    around = Surroundings(running, [(one.start, one.end) for one in found], language)
    known: dict[int, Meant | None] = {}  # the figures so far, by where they are said
    for one in found:
        context = around.of(one.start, one.end, machines.own | machines.others)
        other = context.machine if context.machine in machines.others else ""
        asked = tuple(readings(one))
        meant = None if other else figures.meant(asked, context, known.get(context.follows))
        known[one.start] = meant
        yield Judged(
            path=running.path,
            place=running.place(one.start),
            columns=running.columns(one.start, one.text),
            text=" ".join(one.text.split()),
            around=context.sentence,
            meant=meant,
            expected=_expected(meant.entry, asked) if meant else "",
            since=figures.since(meant.edition) if meant and meant.edition else None,
            by=figures.namer.spoken(meant.by, context) if meant else (),
            machine=other,
        )


def _expected(entry: Entry, asked: Sequence[Reading]) -> str:
    """The figure in the unit that was said, as the manual prints it, or as it was written."""
    shown: Mapping[str, str] = entry["shown"]
    return next(
        (shown[unit.symbol] for unit, _ in asked if unit.symbol in shown), str(entry["written"])
    )
