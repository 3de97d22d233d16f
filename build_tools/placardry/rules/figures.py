"""Rules on single figures: that there is one, its unit, its size, its rounding."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import FIGURE_KEYS, Fact, Limit, Parameter, Statement
from placardry.finding import Family, Note, Severity
from placardry.nodes import Mapping
from placardry.quantity import Quantity
from placardry.rules.physics import is_below_absolute_zero
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import every, fits, is_plausible, values
from placardry.units import UNITS, Dimension


@rule(Severity.ERROR, Family.FIGURES)
def statement_without_figure(subject: Subject) -> Iterator[Problem]:
    """A limit or a fact states no figure, or more than one.

    The key that holds the figure says what kind it is and so how it rounds: a maximum rounds
    down, a minimum up.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              idle-speed:
                parameter: engine-speed
                source: page 9
                exceeded: Adjust the carburettor.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              idle-speed:
                parameter: engine-speed
                range: 2000 to 2400 rpm
                source: page 9
                exceeded: Adjust the carburettor.
    """
    kinds: tuple[type[Statement], ...] = (Limit, Fact)
    for kind in kinds:
        for one in every(subject.book, kind):
            given = [key for key in FIGURE_KEYS if getattr(one, key) is not None]
            if len(given) == 1:
                continue
            what = "no figure" if not given else "several figures: " + ", ".join(given)
            mend = "give exactly one of " + ", ".join(f"`{key}:`" for key in FIGURE_KEYS)
            yield Problem(one.places.span, f"`{one.id}` states {what}", mend)


@rule(Severity.ERROR, Family.FIGURES)
def units_that_do_not_mix(subject: Subject) -> Iterator[Problem]:
    """A parameter is shown in units of which one cannot be converted into the other.

    A reading is one kind of quantity: torque never meets energy, rpm never meets hertz.

    Source: NIST SP 811 (2008) appendix B.8 (factors exist within one kind of quantity).

    Bad:
        procedures/torque.yaml
            parameters:
              torque: {name: torque, units: {N*m: 0.5, J: 1}}
    Good:
        procedures/torque.yaml
            parameters:
              torque: {name: torque, units: {N*m: 0.5, lbf*ft: 0.1}}
    """
    for one in every(subject.book, Parameter):
        first, *others = (UNITS[symbol] for symbol in one.units)
        for at, other in enumerate(others, 1):
            if not first.mixes(other):
                message = (
                    f"`{one.id}` is shown in {first}, a unit of {first.dimension}, "
                    f"and in {other}, one of {other.dimension}"
                )
                mend = "keep only units that convert into each other"
                node = one.places.get("units")
                key = list(node)[at] if isinstance(node, Mapping) else ""
                yield Problem(one.places.at("units", key), message, mend)


@rule(Severity.ERROR, Family.FIGURES)
def unit_that_does_not_fit(subject: Subject) -> Iterator[Problem]:
    """A figure stands in a unit in which its parameter cannot be measured.

    A temperature in bar is a slip of the unit or of the parameter, and no reader can tell which.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cruise-coolant:
                parameter: coolant-temperature
                minimum: 40 bar
                source: page 9
                exceeded: Warm the engine further.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cruise-coolant:
                parameter: coolant-temperature
                minimum: 40 degC
                source: page 9
                exceeded: Reduce power.
    """
    for manual in subject.views:
        for parameter in manual.of(Parameter).values():
            span = parameter.plausible
            if span is not None and not fits(manual, parameter.id, span.unit):
                place, shown = parameter.places.at("plausible"), ", ".join(parameter.units)
                message = f"`{parameter.id}` is shown in {shown}, its plausible span is {span}"
                yield Problem(place, message, f"write the span in one of {shown}")
        for value in values(manual):
            if not fits(manual, value.parameter, value.unit):
                shown = ", ".join(manual.get(Parameter, value.parameter).units)
                message = (
                    f"{value.what} is in {value.unit or 'no unit'}, but `{value.parameter}` is "
                    f"shown in {shown}"
                )
                mend = f"write the figure in one of {shown}, or name another parameter"
                yield Problem(value.span, message, mend)


@rule(Severity.ERROR, Family.FIGURES)
def time_in_another_unit(subject: Subject) -> Iterator[Problem]:
    """The time for which a limit is allowed, or the delay of an alarm, is no time.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              take-off-speed:
                parameter: engine-speed
                maximum: 7700 rpm
                within: 5 m
                source: page 9
                exceeded: Reduce power.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              take-off-speed:
                parameter: engine-speed
                maximum: 7700 rpm
                within: 5 min
                source: page 9
                exceeded: Reduce power.
    """
    for kind, key in (("limit", "within"), ("alarm", "delay")):
        for statements in subject.book.records.get(kind, {}).values():
            for one in statements:
                time: Quantity | None = getattr(one, key)
                if time is not None and time.unit.dimension is not Dimension.DURATION:
                    message = f"`{one.id}` gives {time} as a time, a figure of "
                    message += str(time.unit.dimension)
                    yield Problem(one.places.at(key), message, f"write `{key}:` in s, min or h")


@rule(Severity.ERROR, Family.FIGURES)
def implausible_figure(subject: Subject) -> Iterator[Problem]:
    """A figure lies outside the plausible span of its parameter.

    A digit too many or a wrong unit usually leaves the span; a figure that is right and
    unusual calls for a wider span, which a reviewer sees.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cruise-coolant:
                parameter: coolant-temperature
                typical: 700 to 780 degC
                source: page 9
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cruise-coolant:
                parameter: coolant-temperature
                typical: 70 to 78 degC
                source: page 9
    """
    for manual in subject.views:
        for value in values(manual):
            parameter = manual.get(Parameter, value.parameter)
            if value.change or not value.stated or is_below_absolute_zero(value.interval):
                continue
            if not is_plausible(manual, value.parameter, value.interval):
                yield Problem(
                    value.span,
                    f"{value.what} says {value.interval}; `{value.parameter}` is plausible from "
                    f"{parameter.plausible}",
                    "correct the figure, or widen the parameter's `plausible:`",
                    (Note(parameter.places.at("plausible"), "the plausible span"),),
                )


@rule(Severity.ERROR, Family.FIGURES)
def rounding_too_coarse(subject: Subject) -> Iterator[Problem]:
    """A display step empties a range, or eats more than a quarter of it.

    A range rounds inwards, never outwards, so a coarse step can leave less than the owner
    needs, or nothing.

    Source: IEEE/ANSI 268 (limits that may not be violated round inwards).

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              idle-speed:
                parameter: engine-speed
                range: 2004 to 2017 rpm
                source: page 9
                exceeded: Adjust the carburettor.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              idle-speed:
                parameter: engine-speed
                range: 2000 to 2200 rpm
                source: page 9
                exceeded: Adjust the carburettor.
    """
    for manual in subject.views:
        for figure in subject.figures[manual.id].values():
            low, high, _ = figure.exact.values
            coarse = [one for one in figure.shown.values() if one.too_coarse]
            if coarse and (low is None or high is None or low < high):
                steps = " and ".join(f"{float(one.step):g} {one.unit}" for one in coarse)
                message = f"`{figure.anchor}` keeps too little of its range in steps of {steps}"
                mend = (
                    f"give `{figure.parameter}` a finer step under `units:`"
                    if figure.parameter
                    else "add a `parameter:` that has a fine enough step under `units:`"
                )
                yield Problem(figure.span, message, mend)
