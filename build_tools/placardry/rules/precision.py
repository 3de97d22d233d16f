"""Rules on figures that say more than their source: false precision."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from placardry.book.figures import Fact, Limit, Parameter, Scale
from placardry.book.instruments import Instrument
from placardry.finding import Family, Severity, Span
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import Value, values
from placardry.units import COUNTER, RATIO, UNITS, Unit

FELLOWS, FINER = 2, 2  # see `finer_than_its_fellows`

COARSER = 20
"""How many last digits of a figure the round one must be wide (our choice, no source).

So about one in twenty figures that are not converted meets a round one by chance, and of these
only such as have more digits of meaning than the round one.
"""

LEAST = 3
"""Digits of meaning from which a figure is judged: 38 degC (100 degF) is as good as any."""

STEPS = (1, 2, 5)


@rule(Severity.WARNING, Family.FIGURES)
def converted_figure(subject: Subject) -> Iterator[Problem]:
    """A figure looks as if it were converted: in another unit it is a rounder one.

    87.8 degC is what 190 degF becomes, and no maker has measured its tenth. State the figure as
    its document does; every other unit is worked out from that, and never to the unsafe side.
    Where the document itself prints the odd figure, accept this with that as the reason.

    Source: NIST SP 811 (2008) appendix B.7.1 (a conversion implies no more precision than its
    origin has); how round is round is our choice, no source.

    Bad:
        procedures/coolant.yaml
            document: marl-manual
            limits:
              engine-speed-maximum: {parameter: engine-speed, maximum: 7500 rpm, source: page 4,
                                     exceeded: Reduce power.}
            scales:
              coolant:
                parameter: coolant-temperature
                bands: [green from 60 degC, yellow from 80 degC, red from 87.8 degC]
                source: page 4
                exceeded: Reduce to idle.
        procedures/alarms.yaml
            (removed)
    Good:
        procedures/coolant.yaml
            document: marl-manual
            limits:
              engine-speed-maximum: {parameter: engine-speed, maximum: 7500 rpm, source: page 4,
                                     exceeded: Reduce power.}
            scales:
              coolant:
                parameter: coolant-temperature
                bands: [green from 60 degC, yellow from 80 degC, red from 190 degF]
                source: page 4
                exceeded: Reduce to idle.
        procedures/alarms.yaml
            (removed)
    """
    told: set[object] = set()
    for manual in subject.views:
        for value in values(manual):
            if value.change or not isinstance(value.record, Limit | Fact | Scale):
                continue
            if value.span in told:
                continue
            told.add(value.span)
            for end in (value.interval.low, value.interval.high):
                origin = _origin(manual, value, end) if end is not None else None
                if origin is not None:
                    message = f"{value.what} says {end}, which is {origin} converted"
                    mend = f"write {origin} if the source says so, or accept it with the reason"
                    yield Problem(value.span, message, mend)
                    break


@rule(Severity.WARNING, Family.FIGURES)
def finer_than_its_fellows(subject: Subject) -> Iterator[Problem]:
    """A figure has two decimals more than all others that one document gives for one parameter.

    Who measures in whole degrees does not know the hundredth: the figure was converted, worked
    out or mistyped.

    Source: NIST SP 811 (2008) section 7.14 (digits written are digits that mean something); two
    decimals and two fellows are our choice, no source.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              usual-coolant: {parameter: coolant-temperature, typical: 70.55 to 78 degC,
                              source: page 9}
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              usual-coolant: {parameter: coolant-temperature, typical: 70 to 78 degC,
                              source: page 9}
    """
    groups: dict[tuple[str, str, str], dict[Span, tuple[Value, Quantity]]] = defaultdict(dict)
    for manual in subject.views:
        for value in values(manual):
            source = getattr(value.record, "source", None)
            if source is None or source.document is None:
                continue
            ends = [end for end in (value.interval.low, value.interval.high) if end is not None]
            finest = max(ends, key=lambda end: end.digits, default=None)
            if finest is not None and not isinstance(value.record, Instrument):
                key = (value.parameter, source.document, finest.unit.symbol)
                groups[key][value.span] = (value, finest)
    for (parameter, document, _), group in groups.items():
        first, *others = sorted(group.values(), key=lambda pair: -pair[1].digits)
        usual = max((end.digits for _, end in others), default=0)
        if len(others) >= FELLOWS and first[1].digits >= usual + FINER:
            value, end = first
            message = f"{value.what} says {end}, and no other figure for `{parameter}` from "
            message += f"`{document}` has more than {usual} decimals"
            yield Problem(value.span, message, "compare the figure with the document")


def _origin(manual: Manual, value: Value, end: Quantity) -> Quantity | None:
    """The rounder figure in another unit of the parameter from which this one may come."""
    for symbol in manual.get(Parameter, value.parameter).units:
        unit = UNITS[symbol]
        if unit.symbol != end.unit.symbol and unit.mixes(end.unit):
            found = rounder(end, unit)
            if found is not None:
                return found
    return None


def rounder(written: Quantity, unit: Unit) -> Quantity | None:
    """The round figure in `unit` of which `written` is the conversion, to its last digit.

    None where there is none that is much rounder: `COARSER` last digits wide, and of fewer
    digits of meaning.
    """
    meaning = _meaning(written)
    if meaning < LEAST or {COUNTER, RATIO} & {written.unit, unit}:
        return None
    last = Fraction(1, 10**written.digits)
    scale = Quantity.of(last, written.unit.difference).to(unit.difference).value
    grid = _grid(scale * COARSER)
    there = written.to(unit).value
    candidate = Quantity.of(round(there / grid) * grid, unit)
    if candidate.digits and _meaning(candidate) < 2:
        return None  # half an inch is too common a length to tell of a conversion
    if not candidate.value or _meaning(candidate) >= meaning:
        return None
    back = candidate.to(written.unit).value
    return candidate if round(back / last) * last == written.value else None


def _grid(least: Fraction) -> Fraction:
    """The smallest of 1, 2, 5, 10 … times a power of ten that is not below `least`."""
    power = Fraction(1)
    while power >= least:
        power /= 10
    while power * 10 < least:
        power *= 10
    return next(power * step for step in (*STEPS, 10) if power * step >= least)


def _meaning(quantity: Quantity) -> int:
    """How many digits of a figure mean something: noughts at its ends do not."""
    digits = quantity.written.split()[0].lstrip("-").replace(".", "")
    return len(digits.strip("0"))
