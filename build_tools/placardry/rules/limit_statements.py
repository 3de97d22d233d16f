"""Rules on what one limit must say."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Limit, Scale
from placardry.finding import Family, Severity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
    figure_of,
)

NEEDS_ANSWER = ("maximum", "minimum", "range", "avoid", "drop", "rise")


@rule(Severity.WARNING, Family.LIMITS)
def limit_without_exceeded(subject: Subject) -> Iterator[Problem]:
    """A limit or a scale with red does not say what to do when it is not kept.

    A figure alone leaves the owner to guess, with the engine running.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              idle-speed: {parameter: engine-speed, range: 2000 to 2400 rpm, source: page 9}
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
    wanting: list[Limit | Scale] = [
        *(one for one in every(subject.book, Limit) if _needs_answer(one)),
        *(one for one in every(subject.book, Scale) if any(b.colour == "red" for b in one.bands)),
    ]
    for one in wanting:
        if one.exceeded is None:
            message = f"`{one.id}` does not say what to do when it is not kept"
            yield Problem(one.places.span, message, "add `exceeded:` with what the owner does")


def _needs_answer(limit: Limit) -> bool:
    return any(getattr(limit, key) is not None for key in NEEDS_ANSWER)


@rule(Severity.WARNING, Family.LIMITS)
def drop_without_floor(subject: Subject) -> Iterator[Problem]:
    """A drop has no least value, so that no drop at all would pass.

    When one circuit is cut and the speed does not fall, the cut may not work.

    Source: common practice, no source.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              ignition-drop:
                parameter: engine-speed
                drop: at most 400 rpm
                source: page 9
                exceeded: Do not take off.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              ignition-drop:
                parameter: engine-speed
                drop: 100 to 400 rpm
                source: page 9
                exceeded: Do not take off.
    """
    for manual in subject.views:
        drops = [(one, one.drop) for one in manual.of(Limit).values() if one.drop is not None]
        floored = {(one.parameter, one.condition) for one, drop in drops if drop.low is not None}
        for one, drop in drops:
            if drop.low is None and (one.parameter, one.condition) not in floored:
                message = f"`{one.id}` says {drop}, so no drop at all would pass"
                yield Problem(one.places.at("drop"), message, "write the least drop too")


@rule(Severity.WARNING, Family.LIMITS)
def coolant_without_minimum(subject: Subject) -> Iterator[Problem]:
    """The coolant of an engine has a maximum and no figure below which it is too cold.

    Too hot, the engine knocks and seizes; too cold, it scores its cylinder and seizes as well.

    Source: FAA-H-8083-29 chapter 4 (a liquid-cooled engine wants a coolant range).

    Bad:
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1, coolant-maximum: coolant.red}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        procedures/coolant.yaml
            document: marl-manual
            scales:
              coolant:
                parameter: coolant-temperature
                bands: [green, yellow from 80 degC, red from 90 degC]
                source: page 4
                exceeded: Reduce to idle.
            limits:
              engine-speed-maximum:
                parameter: engine-speed
                maximum: 7500 rpm
                source: page 4
                exceeded: Reduce power.
    Good:
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1, coolant-maximum: coolant.red}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        procedures/coolant.yaml
            document: marl-manual
            scales:
              coolant:
                parameter: coolant-temperature
                bands: [green from 60 degC, yellow from 80 degC, red from 90 degC]
                source: page 4
                exceeded: Reduce to idle.
            limits:
              engine-speed-maximum:
                parameter: engine-speed
                maximum: 7500 rpm
                source: page 4
                exceeded: Reduce power.
    """
    for manual in subject.views:
        named = manual.engine.coolant_maximum
        hottest = figure_of(manual, subject.figures[manual.id], named) if named else None
        if hottest is None or hottest.parameter is None:
            continue
        if not _has_low_end(manual, hottest.parameter):
            message = f"`{hottest.anchor}` is the coolant maximum of `{manual.engine.id}`, and "
            message += "no figure says when the coolant is too cold"
            mend = "write `green from …` on its scale, or add a `minimum:` or a `range:`"
            yield Problem(hottest.span, message, mend)


def _has_low_end(manual: Manual, parameter: str) -> bool:
    limits = (one for one in manual.of(Limit).values() if one.parameter == parameter)
    scales = (one for one in manual.of(Scale).values() if one.parameter == parameter)
    return any(one.minimum is not None or one.range is not None for one in limits) or any(
        band.colour == "green" and (at > 0 or band.start is not None)
        for one in scales
        for at, band in enumerate(one.bands)
    )
