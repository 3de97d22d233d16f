"""Rules on scales: the bands of a parameter as a gauge would show them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from placardry.book.figures import Band, Limit, Scale
from placardry.finding import Family, Note, Severity
from placardry.rules.regions import (
    box_here,
    end_of,
    is_looser,
    regions,
    same_reading,
)
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
)


@rule(Severity.ERROR, Family.LIMITS)
def bands_out_of_order(subject: Subject) -> Iterator[Problem]:
    """The cut points of a scale do not rise, or a band after the first has none.

    A band ends where the next begins; only so can there be neither gap nor overlap.

    Source: 14 CFR 25.1549(c) (precautionary ranges lie between the others).

    Bad:
        procedures/oil.yaml
            document: marl-manual
            scales:
              speed:
                parameter: engine-speed
                bands: [green from 2000 rpm, yellow from 7800 rpm, red from 7500 rpm]
                source: page 9
                exceeded: Reduce power.
    Good:
        procedures/oil.yaml
            document: marl-manual
            scales:
              speed:
                parameter: engine-speed
                bands: [green from 2000 rpm, yellow from 7200 rpm, red from 7500 rpm]
                source: page 9
                exceeded: Reduce power.
    """
    for one in every(subject.book, Scale):
        problem = _disorder(one.bands)
        if problem is not None:
            at, message = problem
            mend = "write the bands from the lowest cut point to the highest"
            yield Problem(one.places.at("bands", at), f"`{one.id}`: {message}", mend)


def _disorder(bands: tuple[Band, ...]) -> tuple[int, str] | None:
    """The first band that stands wrong, and why."""
    for at, (below, above) in enumerate(pairwise(bands), 1):
        if above.start is None:
            return at, f"{above.colour} has no `from`"
        if below.colour == above.colour:
            return at, f"{above.colour} follows {below.colour}"
        if below.start is None or not below.start.unit.mixes(above.start.unit):
            continue
        if above.start.to(below.start.unit).value <= below.start.value:
            return at, f"{above.colour} begins at {above.start}, {below.colour} at {below.start}"
    return None


@rule(Severity.ERROR, Family.LIMITS)
def red_between_bands(subject: Subject) -> Iterator[Problem]:
    """Red stands between two other bands of a scale.

    A red line ends a scale. A stretch in the middle that must be left quickly, such as one of
    vibration, is an `avoid` band.

    Source: 14 CFR 25.1549(a) and (d).

    Bad:
        procedures/speed.yaml
            document: marl-manual
            scales:
              speed:
                parameter: engine-speed
                bands: [green from 2000 rpm, red from 3200 rpm, green from 3900 rpm]
                source: page 9
                exceeded: Move on quickly.
    Good:
        procedures/speed.yaml
            document: marl-manual
            scales:
              speed:
                parameter: engine-speed
                bands: [green from 2000 rpm, avoid from 3200 rpm, green from 3900 rpm]
                source: page 9
                exceeded: Move on quickly.
    """
    for one in every(subject.book, Scale):
        for at, band in enumerate(one.bands[1:-1], 1):
            if band.colour == "red":
                message = f"`{one.id}` goes on above its red"
                mend = "write `avoid` if the stretch is only to be left quickly"
                yield Problem(one.places.at("bands", at), message, mend)


@rule(Severity.ERROR, Family.LIMITS)
def overlapping_scales(subject: Subject) -> Iterator[Problem]:
    """Two scales of one parameter can hold at once.

    A gauge has one set of arcs; with two the owner cannot know which holds.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            scales:
              cruise-coolant:
                parameter: coolant-temperature
                condition: cruise
                bands: [green from 62 degC, yellow from 80 degC, red from 90 degC]
                source: page 9
                exceeded: Reduce power.
    Good:
        procedures/coolant.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: above 5000 rpm}
              below-cruise: {short: below cruise, engine-speed: at most 5000 rpm}
            limits:
              engine-speed-maximum:
                parameter: engine-speed
                maximum: 7500 rpm
                source: page 4
                exceeded: Reduce power.
            scales:
              coolant:
                parameter: coolant-temperature
                condition: below-cruise
                bands: [green from 60 degC, yellow from 80 degC, red from 90 degC]
                source: page 9
                exceeded: Reduce power.
              cruise-coolant:
                parameter: coolant-temperature
                condition: cruise
                bands: [green from 62 degC, yellow from 80 degC, red from 90 degC]
                source: page 9
                exceeded: Reduce power.
        procedures/alarms.yaml
            (removed)
    """
    for manual in subject.views:
        boxes = [(one, box_here(manual, one.condition)) for one in manual.of(Scale).values()]
        ordered = sorted(boxes, key=lambda pair: pair[0].places.span)
        for (one, here), (other, there) in combinations(ordered, 2):
            if one.parameter != other.parameter or here is None or there is None:
                continue
            if here.meet(there) is not None:
                message = f"`{one.id}` and `{other.id}` are both scales of `{one.parameter}`"
                note = Note(one.places.span, f"`{one.id}`")
                mend = "give them conditions that exclude each other, or keep one"
                yield Problem(other.places.span, message, mend, (note,))


@rule(Severity.ERROR, Family.LIMITS)
def scale_against_limit(subject: Subject) -> Iterator[Problem]:
    """A scale's red line is not where a limit under the same condition is, or lies beyond one.

    Green and yellow do not extend beyond a limit, and a red line marks one.

    Source: 14 CFR 25.1549(a) and (b).

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              coolant-maximum:
                parameter: coolant-temperature
                maximum: 87 degC
                source: page 9
                exceeded: Reduce power.
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              coolant-maximum:
                parameter: coolant-temperature
                maximum: 90 degC
                source: page 9
                exceeded: Reduce power.
    """
    for manual in subject.views:
        found = regions(manual)
        ends = [one for one in found if isinstance(one.record, Scale)]
        for limit in found:
            if not isinstance(limit.record, Limit) or limit.key not in ("maximum", "minimum"):
                continue
            for end in ends:
                if end.key != limit.key or not same_reading(manual, limit, end):
                    continue
                same_box = end.box.inside(limit.box) and limit.box.inside(end.box)
                strict = same_box and limit.record.within is None and is_looser(limit, end)
                if strict or (end.box.inside(limit.box) and is_looser(end, limit)):
                    yield Problem(
                        end.span,
                        f"the red of `{end.record.id}` says {end.words}, `{limit.record.id}` says "
                        f"{limit.words}",
                        f"let the red begin at {end_of(limit)}, or correct the limit",
                        (limit.note,),
                    )
