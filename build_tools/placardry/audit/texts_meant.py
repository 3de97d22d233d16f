"""Which figure of a machine a quantity in a text speaks of, and what becomes of it.

Each figure is weighed by how well the words name it and by whether it has the value: a value that
agrees speaks for a figure, and the more, the rarer the value is. What weighs most is meant.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import log

from placardry.audit.texts_context import Context
from placardry.audit.texts_naming import Entry, Named, Namer, stems, turned
from placardry.audit.texts_values import LEAN, Reading, Relation, Values
from placardry.quantity import Quantity
from placardry.spoken import MIXED
from placardry.units import RATIO, Unit


class Verdict(StrEnum):
    """What became of a figure that was published elsewhere."""

    CURRENT = "current"
    STALE = "stale"
    CONTRADICTS = "contradicts"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Was:
    """What a figure was in an earlier edition; `values` are in the unit named."""

    edition: int
    id: str
    part: str | None
    unit: str
    values: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Meant:
    """A figure that a quantity may speak of, and what the quantity then is.

    Attributes:
        points: how much speaks for it
        by: the words of its name that are said, as stems
        edition: the last one in which a stale value held
        turned: the words that make a least value of a greatest one, or the other way round
        others: the figures that may be meant, where a word says only what is measured
    """

    verdict: Verdict
    points: float
    entry: Entry
    by: tuple[str, ...] = ()
    edition: int | None = None
    turned: str = ""
    others: tuple[str, ...] = ()

    @property
    def anchor(self) -> str:
        """The identity of the figure inside its manual."""
        id, part = self.entry["id"], self.entry["part"]
        return f"{id}.{part}" if part else str(id)


_LEAST = 1.3  # points; less is said of a figure by chance
_FOLLOWS = 1.5  # for another figure of the record that was named just before
_AGREES = 2.0  # at least for a value that agrees
_RARE = 0.8  # for a value that is nobody else's
_FEW = 4  # figures in a unit, so that such a value speaks for itself


class Figures:
    """The figures of one machine, as they are and as they were."""

    def __init__(self, entries: Sequence[Entry], history: Iterable[Was] = ()) -> None:
        self.namer = Namer(entries)
        self.earlier: dict[tuple[str, str | None], list[Was]] = {}
        self.editions: set[int] = set()
        for was in history:
            self.earlier.setdefault((was.id, was.part), []).append(was)
            self.editions.add(was.edition)
        self.siblings: dict[tuple[str, str], set[frozenset[str]]] = defaultdict(set)
        for one in self.namer.figures:
            self.siblings[one.entry["parameter"], one.entry["kind"]].add(one.held)
        self._in: dict[str, list[tuple[Named, Values]]] = {}

    def since(self, edition: int) -> int | None:
        """The edition after one; None if it is the last."""
        return min((one for one in self.editions if one > edition), default=None)

    def meant(
        self, asked: Sequence[Reading], context: Context, last: Meant | None = None
    ) -> Meant | None:
        """The figure that words and value speak of; None where they are too vague.

        Args:
            asked: the quantity, in the units in which it may be meant
            context: what is said around it
            last: the figure named just before, in the same sentence
        """
        heard = self.namer.heard(context)
        found = [
            one for unit, ends in asked for one in self._likely(unit, ends, context, heard, last)
        ]
        return max(found, key=lambda one: one.points, default=None)

    def _likely(
        self,
        unit: Unit,
        ends: Sequence[Quantity],
        context: Context,
        heard: Mapping[str, float],
        last: Meant | None,
    ) -> Iterator[Meant]:
        """The figures for which something speaks."""
        same = self._same(unit, ends)
        agrees = _AGREES + log(max(len(self._figures(unit)), 1) / max(len(same), 1))
        rare = self._rarity(unit) if _is_telling(ends) and len(same) == 1 else 0.0
        one_measure = len({one.entry["parameter"] for one, _ in self._figures(unit)} - {None}) == 1
        is_mix = unit is RATIO and _is_mix(ends, context)
        for named, values in self._figures(unit):
            entry, score = named.entry, self.namer.score(named, heard, context)
            more = rare + (_FOLLOWS if last and last.entry["id"] == entry["id"] else 0.0)
            is_mixed = is_mix and values.is_lean
            more += _LEAST * is_mixed
            if score.points + more < _LEAST:
                continue
            relation, other_side = values.relation(ends), turned(entry, context)
            if other_side and _defines(entry):
                continue
            edition = None if relation is Relation.SAME else self._was(entry, unit, ends)
            if relation is Relation.SAME or edition is not None:
                verdict = Verdict.CURRENT if edition is None else Verdict.STALE
                vague = entry["type"] == "example" or self._holds_elsewhere(named, heard)
                more += 0.0 if vague else agrees
                if other_side:
                    verdict = Verdict.CONTRADICTS
                yield Meant(verdict, score.points + more, entry, score.by, edition, other_side)
            elif other_side or self.namer.is_with(named, heard):
                continue  # of another value and to the other side: nothing speaks for it
            elif _is_statement(named, relation, last) and (
                score.is_sure
                or is_mixed
                or (one_measure and self._is_held(named, heard, context))
                or (values.is_half(ends) and self.namer.is_telling(score.by))
            ):
                others = self._others(named, unit) if _is_common(score.by) else ()
                wrong = relation is Relation.OTHER and not context.is_report and not others
                verdict = Verdict.CONTRADICTS if wrong else Verdict.UNKNOWN
                points = score.points + _LEAST * is_mixed
                yield Meant(verdict, points, entry, score.by, others=others)

    def _others(self, named: Named, unit: Unit) -> tuple[str, ...]:
        """All figures of its kind and unit, where it is not the only one."""
        kind = named.entry["kind"]
        ids = {one.entry["id"] for one, values in self._figures(unit)
               if values.is_given and one.entry["kind"] == kind}  # fmt: skip
        return tuple(sorted(ids)) if len(ids) > 1 else ()

    def _is_held(self, named: Named, heard: Mapping[str, float], context: Context) -> bool:
        """Whether its condition is said, and its kind, so that its unit says the rest."""
        return named.entry["kind"] in context.kinds and self.namer.share(named.held, heard) > 0.5

    def _holds_elsewhere(self, named: Named, heard: Mapping[str, float]) -> bool:
        """Whether the condition that is said is that of another limit of the same kind."""
        entry = named.entry
        own = self.namer.share(named.held, heard)
        beside = self.siblings[entry["parameter"], entry["kind"]] if entry["parameter"] else ()
        return any(self.namer.share(held, heard) > own + 0.5 for held in beside)

    def _figures(self, unit: Unit) -> list[tuple[Named, Values]]:
        """The figures that have values in a unit."""
        if unit.symbol not in self._in:
            worked = ((one, Values.of(one.entry, unit)) for one in self.namer.figures)
            self._in[unit.symbol] = [(one, values) for one, values in worked if values]
        return self._in[unit.symbol]

    def _rarity(self, unit: Unit) -> float:
        """What a value says by itself that one figure has; the more where few have its unit."""
        given = {one.entry["id"] for one, values in self._figures(unit) if values.is_given}
        return _LEAST if len(given) <= _FEW else _RARE

    def _was(self, entry: Entry, unit: Unit, ends: Sequence[Quantity]) -> int | None:
        """The last edition in which the figure had the values said."""
        had = (
            was.edition
            for was in self.earlier.get((entry["id"], entry["part"]), ())
            if unit.symbol == was.unit and all(end.value in was.values for end in ends)
        )
        return max(had, default=None)

    def _same(self, unit: Unit, ends: Sequence[Quantity]) -> dict[str, Named]:
        """The figures that have the value, one for each id."""
        return {
            one.entry["id"]: one
            for one, values in reversed(self._figures(unit))
            if values.is_given and values.relation(ends) is Relation.SAME
        }


def _is_telling(ends: Sequence[Quantity]) -> bool:
    """Whether a value has more than one digit, so that hardly another figure has it by chance."""
    return all(abs(end.value) >= 10 or end.value.denominator > 1 for end in ends)


_MEASURES = stems("torque Drehmoment Anzugsmoment")


def _is_common(by: Sequence[str]) -> bool:
    """Whether only what is measured is said, not of what."""
    return bool(by) and _MEASURES.issuperset(by)


def _is_mix(ends: Sequence[Quantity], context: Context) -> bool:
    """Whether a ratio is said of oil and petrol."""
    is_lean = all(0 < end.value * LEAN <= 1 for end in ends)
    return is_lean and any(MIXED.fullmatch(word) for word in context.said)


def _defines(entry: Entry) -> bool:
    """Whether the figure says when a condition holds: `full throttle` is from 8400 rpm on."""
    return (
        entry["type"] == "fact"
        and entry["part"] is not None
        and entry["part"] == entry["parameter"]
    )


def _is_statement(named: Named, relation: Relation, last: Meant | None) -> bool:
    """Whether a value that a figure has not may be said of it all the same.

    Not of what was said right in the same sentence, nor what is of quite another size; what is
    only a part of a figure, such as the delay of an alarm, has no name of its own; and what defines
    a condition does not limit what holds in it.
    """
    entry = named.entry
    is_own = entry["part"] is None or entry["type"] == "interval"
    said = last is not None and last.entry is entry and last.verdict is Verdict.CURRENT
    if relation is Relation.FAR or entry["type"] == "example" or said:
        return False
    usual = entry["kind"] == "typical" and relation is not Relation.INSIDE
    return not usual and (is_own or bool(named.colour))
