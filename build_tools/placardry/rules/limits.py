"""Rules on limits against each other."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations, permutations

from placardry.book.figures import Limit, Scale
from placardry.conditions import Box
from placardry.finding import Family, Severity
from placardry.interval import Interval
from placardry.resolve import Manual, per_view
from placardry.rules.regions import (
    Region,
    box_here,
    is_looser,
    is_sound,
    reading,
    regions,
    room,
    same_reading,
)
from placardry.rules.registry import Problem, Subject, rule


@per_view
def pairs(manual: Manual) -> tuple[tuple[Region, Region], ...]:
    """Every two limits on one reading, the one stated first coming first."""
    return tuple(_pairs(manual))


def _pairs(manual: Manual) -> Iterator[tuple[Region, Region]]:
    together: dict[object, list[Region]] = defaultdict(list)
    for region in sorted(regions(manual), key=lambda region: region.span):
        together[reading(manual, region)].append(region)
    for same in together.values():
        for one, other in combinations(same, 2):
            if one.record is not other.record:
                yield one, other


@rule(Severity.ERROR, Family.LIMITS)
def contradicting_limits(subject: Subject) -> Iterator[Problem]:
    """Two limits on one reading hold at once, and no value keeps to both.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            limits:
              cruise-minimum:
                parameter: coolant-temperature
                minimum: 94 degC
                condition: cruise
                source: page 9
                exceeded: Close the radiator flap.
    Good:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              cruise: {short: in cruise, engine-speed: 5000 to 6400 rpm}
            limits:
              cruise-minimum:
                parameter: coolant-temperature
                minimum: 64 degC
                condition: cruise
                source: page 9
                exceeded: Close the radiator flap.
    """
    for manual in subject.views:
        clashes = list(_clashes(manual))
        counted = Counter(region.record.id for pair in clashes for region in pair[:2])
        blamed: dict[str, list[tuple[Region, Region, Box]]] = {}
        for one, other, box in clashes:
            # One wrong limit may clash with many sound ones: it is the one that clashes most.
            first_is_wrong = counted[one.record.id] > counted[other.record.id]
            wrong, sound = (one, other) if first_is_wrong else (other, one)
            blamed.setdefault(wrong.record.id, []).append((wrong, sound, box))
        for (wrong, sound, box), *more in blamed.values():
            yield Problem(
                wrong.span,
                f"`{wrong.record.id}` says {wrong.words}, `{sound.record.id}` says {sound.words}, "
                f"and both hold {_where(box)}",
                "correct one of the two, or narrow its `condition:`",
                (sound.note, *(another.note for _, another, _ in more)),
            )


def _clashes(manual: Manual) -> Iterator[tuple[Region, Region, Box]]:
    """Every two limits that no value keeps to, with where both hold."""
    for one, other in pairs(manual):
        box = one.box.meet(other.box)
        here = box.spans.get(one.parameter) if box is not None else None
        if box is None or "typical" in (one.key, other.key):
            continue
        # A limit that shuts out the other's whole condition does not contradict it.
        if room([one], here) and room([other], here) and not room([one, other], here):
            yield one, other, box


def _where(box: Box) -> str:
    states = [f"with {name} {' or '.join(sorted(of))}" for name, of in sorted(box.states.items())]
    spans = [f"with {name} {span}" for name, span in sorted(box.spans.items())]
    return ", ".join(states + spans) or "everywhere"


@rule(Severity.WARNING, Family.LIMITS)
def loosened_limit(subject: Subject) -> Iterator[Problem]:
    """A limit under a narrower condition is looser than one that holds there too.

    The stricter one holds there as well, so the looser says nothing, or the stricter one lacks
    a condition. Limits with a time allowed (`within:`) are left alone.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              take-off: {short: for take-off, engine-speed: above 5000 rpm}
            limits:
              take-off-speed:
                parameter: engine-speed
                maximum: 7800 rpm
                condition: take-off
                source: page 9
                exceeded: Reduce power.
    Good:
        procedures/limits.yaml
            document: marl-manual
            conditions:
              take-off: {short: for take-off, engine-speed: above 5000 rpm}
            limits:
              take-off-speed:
                parameter: engine-speed
                maximum: 7800 rpm
                condition: take-off
                within: 2 min
                source: page 9
                exceeded: Reduce power.
    """
    for manual in subject.views:
        for pair in pairs(manual):
            for narrow, wide in permutations(pair):
                if not isinstance(narrow.record, Limit) or _is_for_a_time(pair):
                    continue
                same_box = wide.box.inside(narrow.box)
                if not narrow.box.inside(wide.box) or (same_box and isinstance(wide.record, Scale)):
                    continue  # against a scale of the same condition: the next rule
                if is_looser(narrow, wide):
                    yield Problem(
                        narrow.span,
                        f"`{narrow.record.id}` says {narrow.words}, but `{wide.record.id}`, which "
                        f"holds there too, says {wide.words}",
                        "correct the figure, give it the time allowed with `within:`, or give the "
                        "other a condition",
                        (wide.note,),
                    )


def _is_for_a_time(pair: tuple[Region, Region]) -> bool:
    return any(isinstance(one.record, Limit) and one.record.within is not None for one in pair)


@rule(Severity.WARNING, Family.LIMITS)
def typical_outside_limits(subject: Subject) -> Iterator[Problem]:
    """What is usually seen lies outside the green, or outside a limit that holds there.

    Owners would fear a normal reading, or take a forbidden one for normal.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              usual-coolant:
                parameter: coolant-temperature
                typical: 70 to 84 degC
                source: page 9
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              usual-coolant:
                parameter: coolant-temperature
                typical: 70 to 78 degC
                source: page 9
    """
    for manual in subject.views:
        found = regions(manual)
        greens = [green for scale in manual.of(Scale).values() for green in _greens(manual, scale)]
        for usual in found:
            if usual.key != "typical":
                continue
            bounds = (
                one
                for one in (*greens, *found)
                if one.key != "typical"
                and same_reading(manual, usual, one)
                and usual.box.inside(one.box)
            )
            broken = next((one for one in bounds if not _keeps_to(usual, one)), None)
            if broken is not None:
                yield Problem(
                    usual.span,
                    f"`{usual.record.id}` says {usual.words}, `{broken.record.id}` says "
                    f"{broken.words}",
                    "correct one of the two, or give it the condition that it lacks",
                    (broken.note,),
                )


def _greens(manual: Manual, scale: Scale) -> Iterator[Region]:
    """The green of a scale that has one stretch of it."""
    box = box_here(manual, scale.condition)
    at = [number for number, band in enumerate(scale.bands) if band.colour == "green"]
    if box is None or len(at) != 1 or not is_sound(manual, scale):
        return
    above = scale.bands[at[0] + 1].start if at[0] + 1 < len(scale.bands) else None
    green = Interval(scale.bands[at[0]].start, above)
    yield Region(scale, "green", box, green, None, str(green), scale.places.at("bands", at[0]))


def _keeps_to(usual: Region, bound: Region) -> bool:
    if bound.forbidden is not None:
        return not usual.allowed.overlaps(bound.forbidden)
    return usual.allowed.within(bound.allowed)
