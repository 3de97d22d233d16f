"""Rules on what one limit must say."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Limit, Scale
from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    every,
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
    for manual in subject.manuals:
        drops = [(one, one.drop) for one in manual.of(Limit).values() if one.drop is not None]
        floored = {(one.parameter, one.condition) for one, drop in drops if drop.low is not None}
        for one, drop in drops:
            if drop.low is None and (one.parameter, one.condition) not in floored:
                message = f"`{one.id}` says {drop}, so no drop at all would pass"
                yield Problem(one.places.at("drop"), message, "write the least drop too")
