"""Rules on figures in several units: what rounding gives away, and values that disagree."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from placardry.book.figures import Fact, Limit
from placardry.figures import Exact, Figure, Shown
from placardry.finding import Family, Note, Severity, Span
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import Kind
from placardry.rules.registry import Problem, Subject, rule
from placardry.stated import exact_of, statement_of
from placardry.units import COUNTER, RATIO, Dimension, Unit

MOST_GIVEN_AWAY = Fraction(1, 10)
"""The share of a maximum or minimum that rounding may take unnoticed (our choice, no source)."""


@rule(Severity.WARNING, Family.FIGURES)
def step_gives_away_much(subject: Subject) -> Iterator[Problem]:
    """A display step takes more than a tenth of a maximum or a minimum.

    A maximum rounds down and a minimum up, so a coarse step is safe, but it forbids the owner
    what the maker allows. Temperatures are left out: their zero says nothing of a share.

    Source: IEEE/ANSI 268 (limits round inwards); the share is our choice, no source.

    Bad:
        procedures/wear.yaml
            document: marl-manual
            parameters:
              wear: {name: wear, units: {mm: 0.1, in: 0.05}}
            limits:
              spring-wear:
                {parameter: wear, maximum: 2 mm, name: spring, source: page 9, exceeded: Fit anew.}
    Good:
        procedures/wear.yaml
            document: marl-manual
            parameters:
              wear: {name: wear, units: {mm: 0.1, in: 0.001}}
            limits:
              spring-wear:
                {parameter: wear, maximum: 2 mm, name: spring, source: page 9, exceeded: Fit anew.}
    """
    for manual in subject.views:
        for figure in subject.figures[manual.id].values():
            if figure.parameter is None or figure.kind not in (Kind.MAXIMUM, Kind.MINIMUM):
                continue
            if figure.exact.unit.dimension is Dimension.TEMPERATURE:
                continue
            for shown in figure.shown.values():
                exact, said = _end(figure.exact.values_in(shown.unit)), _end(_ends(shown))
                if exact and abs(said - exact) > abs(exact) * MOST_GIVEN_AWAY:
                    yield _given_away(figure, shown, exact, said)


def _ends(shown: Shown) -> tuple[Fraction | None, ...]:
    return shown.low, shown.high, shown.value


def _end(ends: tuple[Fraction | None, ...]) -> Fraction:
    return next((end for end in ends if end is not None), Fraction(0))


def _given_away(figure: Figure, shown: Shown, exact: Fraction, said: Fraction) -> Problem:
    share = round(100 * abs((said - exact) / exact))
    message = (
        f"`{figure.anchor}` is {float(exact):.4g} {shown.unit} and is shown as {float(said):g}, "
        f"{share} % off, in steps of {float(shown.step):g} {shown.unit}"
    )
    return Problem(figure.span, message, f"give `{figure.parameter}` a finer step under `units:`")


@rule(Severity.WARNING, Family.FIGURES)
def disagreeing_units(subject: Subject) -> Iterator[Problem]:
    """One thing is stated twice, in two units, and the two values are not the same.

    Two figures of one name, kind and condition say one thing. State it once, as its source does:
    every other unit is worked out from that.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              tank: {nominal: 11.0 L, name: fuel tank, source: page 3}
              tank-us: {nominal: 3.1 US gal, name: fuel tank, source: page 3}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              tank: {nominal: 11.0 L, name: fuel tank, source: page 3}
              tank-us: {nominal: 2.9 US gal, name: fuel tank, source: page 3}
    """
    for manual in subject.views:
        for alike in _alike(manual):
            for (one, first), (other, second) in combinations(alike, 2):
                if first.unit != second.unit and not _agree(first, second):
                    there = second.written.to(first.unit)
                    message = (
                        f"`{other.id}` says {second.text or second.written}, that is "
                        f"{float(there.value):.4g} {first.unit}, and `{one.id}`, of the same name, "
                        f"says {first.text or first.written}"
                    )
                    mend = "keep the one that the source states, or give each its own `name:`"
                    note = Note(_place(one), f"`{one.id}`")
                    yield Problem(_place(other), message, mend, (note,))


def _place(one: Limit | Fact) -> Span:
    given = statement_of(one)
    return one.places.at(given[0]) if given else one.places.span


def _alike(manual: Manual) -> Iterator[list[tuple[Limit | Fact, Exact]]]:
    """The statements of a manual that say one thing by name, kind, condition and time."""
    found: dict[object, list[tuple[Limit | Fact, Exact]]] = defaultdict(list)
    stated: list[Limit | Fact] = [*manual.of(Limit).values(), *manual.of(Fact).values()]
    for one in stated:
        given = statement_of(one)
        if given is None or (one.name is None and one.parameter is None):
            continue
        _, exact = exact_of(*given)
        if exact.unit not in (RATIO, COUNTER):
            within = getattr(one, "within", None)
            key = (one.parameter, one.name, given[0], frozenset(one.condition), str(within))
            found[key].append((one, exact))
    yield from found.values()


def _agree(one: Exact, other: Exact) -> bool:
    """Whether two figures are one within what their last digits leave open."""
    if not one.unit.mixes(other.unit):
        return True
    open_ = (_last_digit(one, one.unit) + _last_digit(other, one.unit)) / 2
    return all(
        (mine is None) == (theirs is None)
        and (mine is None or theirs is None or abs(mine - theirs) <= open_)
        for mine, theirs in zip(one.values, other.values_in(one.unit), strict=True)
    )


def _last_digit(exact: Exact, unit: Unit) -> Fraction:
    """One of the last decimal as written, as a difference in `unit`."""
    step = Quantity.of(Fraction(1, 10**exact.written.digits), exact.unit.difference)
    return step.to(unit.difference).value
