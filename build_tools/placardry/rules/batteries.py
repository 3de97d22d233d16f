"""Rules on the voltages of batteries against what their cells are made of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from placardry.book.figures import Battery, Parameter
from placardry.book.instruments import Alarm
from placardry.finding import Family, Note, Severity, Span
from placardry.interval import Interval
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every, values
from placardry.rules.where import on_machines
from placardry.units import UNITS

_SPANS: Mapping[str, tuple[str, str]] = {
    # From the voltage at which a cell is empty under load to the highest at which it is charged.
    "lead-acid": ("1.6", "2.6"),
    "lithium-ion": ("2.5", "4.35"),
    "lithium-iron-phosphate": ("2.0", "3.8"),
    "nickel-metal-hydride": ("0.9", "1.6"),
    "alkaline": ("0.8", "1.65"),
}
CELL: Mapping[str, tuple[Fraction, Fraction]] = {
    name: (Fraction(low), Fraction(high)) for name, (low, high) in _SPANS.items()
}
"""The span, in volts, in which a figure for one cell makes sense (common practice, no source)."""


@rule(Severity.WARNING, Family.PHYSICS)
def voltage_unlike_battery(subject: Subject) -> Iterator[Problem]:
    """A voltage for a battery is one that its cells never have, empty or charging.

    The number of cells, the chemistry or the figure is wrong: an alarm below what an empty cell
    still has never sounds, and a limit above what a cell stands comes after the fire.

    Source: spans for one cell: common practice, no source; for lead and acid they hold the
    absorption voltage of 2.40 to 2.45 V a cell of usual handbooks (from memory).

    Bad:
        procedures/battery.yaml
            document: marl-manual
            parameters:
              voltage: {name: battery voltage, units: {V: 0.1},
                        battery: {chemistry: lead-acid, cells: 6}}
            limits:
              battery-low: {parameter: voltage, minimum: 8.5 V, source: page 9,
                            exceeded: Charge it.}
    Good:
        procedures/battery.yaml
            document: marl-manual
            parameters:
              voltage: {name: battery voltage, units: {V: 0.1},
                        battery: {chemistry: lead-acid, cells: 6}}
            limits:
              battery-low: {parameter: voltage, minimum: 11.8 V, source: page 9,
                            exceeded: Charge it.}
    """
    yield from on_machines(
        (manual, problem)
        for manual in subject.manuals
        if any(one.battery is not None for one in manual.of(Parameter).values())
        for value in values(manual)
        for parameter in (manual.get(Parameter, value.parameter),)
        if parameter.battery is not None and parameter.battery.cells > 0
        if not value.change and (value.stated or isinstance(value.record, Alarm))
        for problem in _beyond(value.what, value.interval, parameter.battery, value.span)
    )


def _beyond(what: str, interval: Interval, battery: Battery, span: Span) -> Iterator[Problem]:
    if not interval.unit.mixes(UNITS["V"]):
        return  # reported by the rule on units
    low, high = (end * battery.cells for end in CELL[battery.chemistry])
    for end in (interval.low, interval.high):
        if end is None or low <= end.to(UNITS["V"]).value <= high:
            continue
        side = "less than an empty" if end.to(UNITS["V"]).value < low else "more than a charging"
        cells = f"{battery.cells} {'cell' if battery.cells == 1 else 'cells'}"
        message = f"{what} says {end}, {side} {battery.chemistry} battery of {cells} ever has"
        mend = f"write a figure from {float(low):g} to {float(high):g} V, or correct `battery:`"
        yield Problem(span, message, mend, (Note(battery.places.span, "the battery"),))
        return


@rule(Severity.ERROR, Family.PHYSICS)
def battery_without_cells(subject: Subject) -> Iterator[Problem]:
    """A battery has no cells, or its parameter is no voltage.

    Bad:
        procedures/battery.yaml
            parameters:
              voltage: {name: battery voltage, units: {V: 0.1},
                        battery: {chemistry: lead-acid, cells: 0}}
    Good:
        procedures/battery.yaml
            parameters:
              voltage: {name: battery voltage, units: {V: 0.1},
                        battery: {chemistry: lead-acid, cells: 6}}
    """
    for one in every(subject.book, Parameter):
        if one.battery is None:
            continue
        if one.battery.cells < 1:
            message = f"the battery of `{one.id}` has {one.battery.cells} cells"
            yield Problem(
                one.places.at("battery", "cells"), message, "write how many are in series"
            )
        elif not any(UNITS[unit].mixes(UNITS["V"]) for unit in one.units):
            message = f"`{one.id}` says what battery it is of, and is no voltage"
            yield Problem(one.places.at("battery"), message, "move `battery:` to the voltage")
