"""Figures in what was published elsewhere, judged against the figures of one machine.

The machine's figures come as data: register entries (see `data.entry`), each with the `name` and
`short` of its parameter in the language of the text where they are known.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from placardry.audit.texts_naming import Context, Entry, Naming, named, touch
from placardry.audit.texts_reading import Place, Running
from placardry.errors import Malformed
from placardry.interval import Nominal
from placardry.quantity import Quantity
from placardry.recognise import Recognised, spoken_quantities
from placardry.units import UNITS, Unit, convert


class Verdict(StrEnum):
    """What became of a figure that was published elsewhere."""

    CURRENT = "current"
    STALE = "stale"
    CONTRADICTS = "contradicts"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Was:
    """What a figure was in an earlier edition; `values` are in the unit named."""

    edition: str
    id: str
    part: str | None
    unit: str
    values: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """A quantity found in a text, what it is, and the figure that it speaks of."""

    path: str
    place: Place
    column: int
    text: str
    around: str
    verdict: Verdict
    figure: str = ""
    expected: str = ""
    edition: str = ""


def judge(
    texts: Iterable[Running],
    entries: Sequence[Entry],
    language: str = "en",
    history: Iterable[Was] = (),
) -> Iterator[Judged]:
    """Every quantity of the texts, in order, with what it is to the figures of the machine."""
    known = _Known(entries, tuple(history))
    for running in texts:
        for found in spoken_quantities(running.text, language):
            yield _judged(running, found, known)


@dataclass(frozen=True, slots=True)
class _Known:
    """The figures of the machine, and what they were; values are worked out once a unit."""

    entries: Sequence[Entry]
    earlier: tuple[Was, ...]
    cache: dict[tuple[str, str | None, str], frozenset[Fraction]] = field(default_factory=dict)

    def values(self, entry: Entry, unit: Unit) -> frozenset[Fraction]:
        key = (entry["id"], entry["part"], unit.symbol)
        if key not in self.cache:
            self.cache[key] = _values(entry, unit)
        return self.cache[key]


def _judged(running: Running, found: Recognised, known: _Known) -> Judged:
    sentence, clause = _around(running.text, found.start, found.end)
    context = Context.of(sentence, clause)
    readings = tuple(_readings(found))
    fitting = [
        entry for entry in known.entries if any(known.values(entry, unit) for unit, _ in readings)
    ]
    meant = named(fitting, context)
    touched = tuple(entry for entry in fitting if touch(entry, context))
    verdict, entry, edition = _verdict(known, meant, touched, readings)
    place = running.place(found.start)
    return Judged(
        running.path,
        place,
        found.start - running.text.rfind("\n", 0, found.start) if not place.label else 1,
        " ".join(found.text.split()),
        sentence,
        verdict,
        _key(entry) if entry else "",
        _expected(entry, readings) if entry else "",
        edition,
    )


Reading = tuple[Unit, tuple[Quantity, ...]]


def _verdict(
    known: _Known, meant: Naming, touched: Sequence[Entry], readings: Sequence[Reading]
) -> tuple[Verdict, Entry | None, str]:
    likely = meant.entries if meant.sure else (*meant.entries, *touched)
    for entry in likely:
        if _matches(known, entry, readings):
            return Verdict.CURRENT, entry, ""
    for entry in likely:
        for was in known.earlier:
            if (was.id, was.part) == (entry["id"], entry["part"]) and _was(was, readings):
                return Verdict.STALE, entry, was.edition
    exact = [entry for entry in meant.entries if entry["kind"] != "typical"]
    if exact:
        return Verdict.CONTRADICTS, exact[0], ""
    return Verdict.UNKNOWN, None, ""


# What is said for short, and what it may be on a gauge.
_SHORT = {
    "deg": ("degC", "degF"),
    "turn": ("rpm",),
    "bar": ("bar(g)", "bar(a)"),
    "psi": ("psi(g)", "psi(a)"),
    "kPa": ("kPa(g)", "kPa(a)"),
}


def _readings(found: Recognised) -> Iterator[Reading]:
    """The units in which a figure may be meant, each with the ends that it gives."""
    figure = found.figure
    if isinstance(figure, Quantity):
        ends = [figure]
    elif isinstance(figure, Nominal):
        ends = [figure.value]
    else:
        ends = [end for end in (figure.low, figure.high) if end]
    yield ends[0].unit, tuple(ends)
    for symbol in _SHORT.get(ends[0].unit.symbol, ()):
        yield UNITS[symbol], tuple(ends)


def _values(entry: Entry, unit: Unit) -> frozenset[Fraction]:
    """The values of a figure in a unit: as published, and exact."""
    exact = entry["exact"]
    own = UNITS.get(exact["unit"])
    found = {value for text in entry["published"].get(unit.symbol, {}).values()
             if (value := _number(text)) is not None}  # fmt: skip
    if own is None:
        return frozenset(found)
    for name, text in exact.items():
        value = _number(text) if name != "unit" else None
        if value is None or (entry["kind"] == "change" and own.symbol != unit.symbol):
            continue
        try:
            found.add(convert(value, own, unit))
        except Malformed:
            continue
    return frozenset(found)


def _number(text: str) -> Fraction | None:
    over, mark, under = text.partition(":")
    try:
        return Fraction(over) / Fraction(under) if mark else Fraction(text)
    except (ValueError, ZeroDivisionError):
        return None


def _matches(known: _Known, entry: Entry, readings: Sequence[Reading]) -> bool:
    """Whether a figure has all the ends said, as exactly as they are said."""
    for unit, ends in readings:
        values = known.values(entry, unit)
        given = unit.symbol in (entry["exact"]["unit"], *entry["published"])
        if values and all(any(_same(end, value, given=given) for value in values) for end in ends):
            return True
    return False


def _same(said: Quantity, value: Fraction, *, given: bool) -> bool:
    """Whether a value is the one said; in a unit of the speaker's own, whether it rounds to it."""
    return said.value == value or (
        not given and abs(said.value - value) < Fraction(1, 10**said.digits)
    )


def _was(was: Was, readings: Sequence[Reading]) -> bool:
    return any(
        unit.symbol == was.unit and all(end.value in was.values for end in ends)
        for unit, ends in readings
    )


def _key(entry: Entry) -> str:
    return f"{entry['id']}.{entry['part']}" if entry["part"] else str(entry["id"])


def _expected(entry: Entry, readings: Sequence[Reading]) -> str:
    """The figure in the unit that was said, as the manual prints it, or as it was written."""
    shown: Mapping[str, str] = entry["shown"]
    for unit, _ in readings:
        if unit.symbol in shown:
            return shown[unit.symbol]
    return str(entry["written"])


_END = re.compile(r"[.!?](?=\s)|[•|]|\n\s*\n")
_CLAUSE = re.compile(r"[;:–—]|,(?=\s)|\b(?:but|then|and then|aber|dann)\b")
_REACH = 160  # captions may do without full stops


def _around(text: str, start: int, end: int) -> tuple[str, str]:
    """The sentence around a stretch of a text, and the clause of it that the stretch is in."""
    low, high = max(0, start - _REACH), min(len(text), end + _REACH)
    before, after = _cut(text[low:start], text[end:high], _END)
    near = _cut(before, after, _CLAUSE)
    said = text[start:end]
    return " ".join(f"{before}{said}{after}".split()), f"{near[0]}{said}{near[1]}"


def _cut(before: str, after: str, mark: re.Pattern[str]) -> tuple[str, str]:
    """The two sides of a stretch as far as the nearest marks."""
    last = max((found.end() for found in mark.finditer(before)), default=0)
    first = mark.search(after)
    return before[last:], after[: first.start()] if first else after
