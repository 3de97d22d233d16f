"""Rules on limits that are allowed for a time, against those that are not."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Limit, Scale
from placardry.figures import Figure
from placardry.finding import Family, Note, Severity
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import Kind
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.where import on_machines
from placardry.stated import Figures


@rule(Severity.ERROR, Family.LIMITS)
def time_limit_below_continuous(subject: Subject) -> Iterator[Problem]:
    """What is allowed for a time alone is no more than what is allowed for ever.

    A time-limited maximum lies above the continuous one under the same condition, and above the
    green; else the time means nothing, or one of the two figures is wrong.

    Source: 14 CFR 33.7 (from memory): take-off ratings, limited in time, beside the continuous.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              take-off-speed: {parameter: engine-speed, maximum: 6900 rpm, within: 5 min,
                               name: speed in the climb, source: page 9, exceeded: Reduce power.}
              steady-speed: {parameter: engine-speed, range: 2000 to 7000 rpm,
                             name: speed, source: page 9, exceeded: Reduce power.}
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              take-off-speed: {parameter: engine-speed, maximum: 7600 rpm, within: 5 min,
                               name: speed in the climb, source: page 9, exceeded: Reduce power.}
              steady-speed: {parameter: engine-speed, range: 2000 to 7000 rpm,
                             name: speed, source: page 9, exceeded: Reduce power.}
    """
    yield from on_machines(
        (manual, problem)
        for manual in subject.manuals
        for problem in _below(manual, subject.figures[manual.id])
    )


def _below(manual: Manual, figures: Figures) -> Iterator[Problem]:
    timed = [one for one in manual.of(Limit).values() if one.within is not None]
    if not timed:
        return
    steady: dict[str, list[Figure]] = {}
    for figure in figures.values():
        if figure.parameter is not None and _is_steady(figure):
            steady.setdefault(figure.parameter, []).append(figure)
    for limit in timed:
        for figure in steady.get(limit.parameter, ()):
            wider = frozenset(getattr(figure.record, "condition", ()))
            own = frozenset(limit.condition)
            if wider <= own if figure.colour else wider == own:
                yield from _compared(limit, figure)


def _is_steady(figure: Figure) -> bool:
    """Whether a figure says what is allowed without end: the green, a maximum, a range."""
    record = figure.record
    if isinstance(record, Scale):
        return figure.colour == "green"
    kinds = (Kind.MAXIMUM, Kind.MINIMUM, Kind.RANGE)
    return isinstance(record, Limit) and record.within is None and figure.kind in kinds


def _compared(limit: Limit, steady: Figure) -> Iterator[Problem]:
    """What is wrong with a time-limited limit beside one figure that is not."""
    ends: tuple[tuple[str, Quantity | None, Quantity | None, int], ...] = (
        ("maximum", limit.maximum, steady.exact.high, 1),
        ("minimum", limit.minimum, steady.exact.low, -1),
    )
    for key, own, other, sign in ends:
        if own is None or other is None or not own.unit.mixes(other.unit):
            continue
        if sign * own.to(other.unit).value <= sign * other.value:
            message = f"`{limit.id}` allows {own} for {limit.within}, and `{steady.anchor}` {other}"
            message += " for ever"
            side = "above" if sign > 0 else "below"
            mend = f"write a figure {side} {other}, or take `within:` away"
            note = Note(steady.span, f"`{steady.anchor}` is stated here")
            yield Problem(limit.places.at(key), message, mend, (note,))
