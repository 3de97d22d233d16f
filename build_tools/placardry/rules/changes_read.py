"""The rule on drops and rises that nobody can see on a display."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from placardry.book.figures import Limit, Parameter
from placardry.book.measures import Step
from placardry.finding import Family, Severity
from placardry.interval import Interval
from placardry.rules.registry import Problem, Subject, rule
from placardry.units import UNITS


@rule(Severity.WARNING, Family.LIMITS)
def change_below_step(subject: Subject) -> Iterator[Problem]:
    """A drop or a rise is smaller than every display step of its parameter.

    Nobody can see it: the reading before and the reading after are shown as the same. Mostly the
    unit is wrong, millivolts for volts.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              slow: {parameter: engine-speed, rise: at least 4 rpm, source: page 9,
                     exceeded: Do not fly.}
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              slow: {parameter: engine-speed, rise: at least 40 rpm, source: page 9,
                     exceeded: Do not fly.}
    """
    for manual in subject.views:
        for limit in manual.of(Limit).values():
            for key in ("drop", "rise"):
                change = getattr(limit, key)
                if change is None or limit.parameter not in manual.of(Parameter):
                    continue
                steps = manual.get(Parameter, limit.parameter).units.items()
                if steps and all(_hides(change, symbol, step) for symbol, step in steps):
                    message = f"`{limit.id}` is a {key} of {change}, which no display step shows"
                    mend = "correct the figure or its unit, or show the parameter in finer steps"
                    yield Problem(limit.places.at(key), message, mend)


def _hides(change: Interval, symbol: str, step: Step) -> bool:
    """Whether a step in this unit is larger than the whole change."""
    unit = UNITS[symbol].difference
    ends = [end for end in (change.low, change.high) if end is not None and end.unit.mixes(unit)]
    return bool(ends) and all(0 < end.to(unit).value < Fraction(step) for end in ends)
