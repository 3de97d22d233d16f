"""What limits and scales allow, and where: for the rules that compare them with each other.

No rules of its own.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator

from placardry.book.figures import Limit, Scale
from placardry.conditions import Box, box_of
from placardry.finding import Note, Span, light
from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.resolve import Manual, per_view
from placardry.rules.statements import (
    as_interval,
    channels,
    fits,
    is_plausible,
)
from placardry.stated import statement_of

ANY = Interval(None, None)


@light
class Region:
    """One thing that the readings of a parameter must keep to, and the box in which it holds.

    Attributes:
        key: the kind of limit; for the red ends of a scale `maximum` or `minimum`
        allowed: the values that it allows
        forbidden: the values that it forbids inside those
        said: the figure as written
        span: where it is stated
    """

    record: Limit | Scale
    key: str
    box: Box
    allowed: Interval
    forbidden: Interval | None
    said: str
    span: Span

    @property
    def parameter(self) -> str:
        """The parameter whose readings it speaks of."""
        return self.record.parameter

    @property
    def words(self) -> str:
        """What it says, for messages."""
        return f"{self.key} {self.said}"

    @property
    def note(self) -> Note:
        """A pointer to it."""
        return Note(self.span, f"`{self.record.id}` says {self.words}")


def box_here(manual: Manual, names: Iterable[str]) -> Box | None:
    """The box of these conditions; None where none exists or a span is in an unfit unit."""
    conditions = manual.conditions(names)
    for condition in conditions:
        for name, item in condition.box.items():
            known = name in manual.records.get("parameter", {})
            if item.span is not None and not (known and fits(manual, name, item.span.unit)):
                return None
    return box_of(conditions)


@per_view
def regions(manual: Manual) -> tuple[Region, ...]:
    """Every limit of the manual on readings, and the red ends of its scales."""
    limits = (one for limit in manual.of(Limit).values() for one in _of_limit(manual, limit))
    scales = (one for scale in manual.of(Scale).values() for one in _of_scale(manual, scale))
    return (*limits, *scales)


def _of_limit(manual: Manual, limit: Limit) -> Iterator[Region]:
    given, box = statement_of(limit), box_here(manual, limit.condition)
    if given is None or box is None:
        return
    key, value = given
    interval = as_interval(value)
    if key in ("drop", "rise") or not _is_believable(manual, limit.parameter, interval):
        return
    place = limit.places.at(key)
    if key == "avoid":
        yield Region(limit, key, box, ANY, interval, str(value), place)
    elif isinstance(value, Quantity):
        allowed = Interval(None, value) if key == "maximum" else Interval(value, None)
        yield Region(limit, key, box, allowed, None, str(value), place)
    else:
        yield Region(limit, key, box, interval, None, str(value), place)


def _of_scale(manual: Manual, scale: Scale) -> Iterator[Region]:
    box = box_here(manual, scale.condition)
    if box is None or not is_sound(manual, scale):
        return
    last = len(scale.bands) - 1
    for at, band in enumerate(scale.bands):
        if band.colour != "red" or at not in (0, last):
            continue
        place = scale.places.at("bands", at)
        if at == last and band.start is not None:
            below = Interval(None, band.start)
            yield Region(scale, "maximum", box, below, None, str(band.start), place)
        elif at == 0 and last > 0:
            cut = scale.bands[1].start
            yield Region(scale, "minimum", box, Interval(cut, None), None, str(cut), place)


def _is_believable(manual: Manual, parameter: str, interval: Interval) -> bool:
    """Whether a figure has the right unit and size: a slip there is reported once, not here."""
    return fits(manual, parameter, interval.unit) and is_plausible(manual, parameter, interval)


def is_sound(manual: Manual, scale: Scale) -> bool:
    """Whether the cut points of a scale are values of its parameter, in rising order."""
    starts = [band.start for band in scale.bands]
    known = [start for start in starts if start is not None]
    return (
        bool(known)
        and None not in starts[1:]
        and all(_is_believable(manual, scale.parameter, Interval(start, start)) for start in known)
        and all(
            below.value < above.to(below.unit).value for below, above in itertools.pairwise(known)
        )
    )


@per_view
def _told_once(manual: Manual) -> frozenset[str | None]:
    """The parameters that an instrument shows or a scale is on."""
    shown = {channel.parameter for _, _, channel in channels(manual) if manual.connects(channel)}
    return frozenset(shown | {scale.parameter for scale in manual.of(Scale).values()})


def reading(manual: Manual, one: Region) -> tuple[str, str | None]:
    """What tells the reading of a limit from others.

    One that an instrument shows, or that a scale is on, is the same wherever it is named; of a
    torque or a gap there are many, told apart by the names of their limits.
    """
    once = one.parameter in _told_once(manual)
    return one.parameter, None if once else one.record.name


def same_reading(manual: Manual, one: Region, other: Region) -> bool:
    """Whether two limits speak of the same reading."""
    return reading(manual, one) == reading(manual, other)


def room(parts: Iterable[Region], here: Interval | None) -> bool:
    """Whether some value keeps to all of these within the span `here`."""
    left: Interval | None = here or ANY
    together = tuple(parts)
    for one in together:
        left = left.intersect(one.allowed) if left is not None else None
    if left is None:
        return False
    return not any(one.forbidden is not None and left.within(one.forbidden) for one in together)


def is_looser(one: Region, other: Region) -> bool:
    """Whether one maximum is above another, or one minimum below another."""
    if one.key != other.key or one.key not in ("maximum", "minimum"):
        return False
    here, there = end_of(one), end_of(other).to(end_of(one).unit)
    return here.value > there.value if one.key == "maximum" else here.value < there.value


def end_of(region: Region) -> Quantity:
    """The one end of a maximum or a minimum."""
    end = region.allowed.high or region.allowed.low
    if end is None:
        raise ValueError("only a maximum or a minimum has one end")
    return end
