"""Rules on what nature allows."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from placardry.book.figures import Parameter
from placardry.finding import Family, Severity, Span
from placardry.interval import Interval
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import values
from placardry.units import UNITS, Dimension

ABSOLUTE_ZERO = Fraction("-273.15")  # degC


@rule(Severity.ERROR, Family.PHYSICS)
def below_absolute_zero(subject: Subject) -> Iterator[Problem]:
    """A temperature lies below absolute zero.

    Source: SI Brochure (BIPM, 9th edition) section 2.3.1: 0 K is -273.15 °C.

    Bad:
        procedures/parameters.yaml
            parameters:
              engine-speed: {name: engine speed, units: {rpm: 10}}
              coolant-temperature:
                name: coolant temperature
                units: {degC: 1, degF: 1}
                plausible: -400 to 150 degC
    Good:
        procedures/parameters.yaml
            parameters:
              engine-speed: {name: engine speed, units: {rpm: 10}}
              coolant-temperature:
                name: coolant temperature
                units: {degC: 1, degF: 1}
                plausible: -40 to 150 degC
    """
    for manual in subject.views:
        stated: list[tuple[Interval, str, Span]] = [
            (value.interval, value.what, value.span) for value in values(manual) if not value.change
        ]
        for one in manual.of(Parameter).values():
            if one.plausible is not None:
                place = one.places.at("plausible")
                stated.append((one.plausible, f"`{one.id}`", place))
        for interval, what, span in stated:
            if is_below_absolute_zero(interval):
                lowest = interval.low or interval.high
                message = f"{what} says {lowest}, below absolute zero at -273.15 degC"
                yield Problem(span, message, "correct the figure or its unit")


def is_below_absolute_zero(interval: Interval) -> bool:
    """Whether an end of the interval is a temperature that cannot be."""
    if interval.unit.dimension is not Dimension.TEMPERATURE:
        return False
    ends = [end for end in (interval.low, interval.high) if end is not None]
    return any(end.to(UNITS["degC"]).value < ABSOLUTE_ZERO for end in ends)
