"""Alarms with what they watch and what they guard, for the rules on them; no rules itself."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.instruments import Alarm, Channel
from placardry.figures import Figure
from placardry.finding import Note, light
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import Kind, Side
from placardry.rules.registry import Subject
from placardry.rules.statements import (
    channel_of,
    figure_of,
    fits,
)
from placardry.stated import Figures, guarded_side

NO_LIMITS = (Kind.TYPICAL, Kind.NOMINAL, Kind.CHANGE)  # what no reading can break


@light
class Guard:
    """An alarm with the channel that it watches and the figure that it guards."""

    manual: Manual
    alarm: Alarm
    channel: Channel
    guarded: Figure
    figures: Figures

    @property
    def is_high(self) -> bool:
        """Whether it fires when the reading climbs."""
        return guarded_side(self.alarm) is Side.BELOW

    @property
    def note(self) -> Note:
        """A pointer to what it guards."""
        return Note(self.guarded.span, f"`{self.alarm.guards}` is stated here")

    @property
    def is_in_span(self) -> bool:
        """Whether the set-point lies in the span in which the instrument can be set."""
        span, value = self.channel.alarm_range, self.alarm.set_point
        return span is None or not span.unit.mixes(value.unit) or span.contains(value)

    @property
    def parameter(self) -> str | None:
        """The parameter that it watches, where its set-point is a value of that parameter."""
        name = self.channel.parameter
        unit = self.alarm.set_point.unit
        fit = name is not None and fits(self.manual, name, unit)
        fit = fit and self.guarded.exact.unit.mixes(unit)  # not so for a rise or a drop
        fit = fit and self.guarded.kind not in NO_LIMITS
        return name if fit and name == self.guarded.parameter else None


def guards(subject: Subject) -> Iterator[Guard]:
    """Every alarm whose channel and guarded figure are known."""
    for manual in subject.manuals:
        figures = subject.figures[manual.id]
        for alarm in manual.of(Alarm).values():
            channel = channel_of(manual, alarm)
            guarded = figure_of(manual, figures, alarm.guards)
            if channel is not None and guarded is not None:
                yield Guard(manual, alarm, channel, guarded, figures)


def threshold(figure: Figure, *, is_high: bool) -> Quantity | None:
    """Where a climbing (or, if not `is_high`, a falling) reading leaves what is allowed.

    None where the figure has no such end: a maximum cannot be broken by a falling reading.
    """
    low, high = figure.exact.low, figure.exact.high
    if figure.kind in (Kind.AVOID, Kind.CUT) and figure.colour != "green":
        return low if is_high else high  # where a bad band begins
    return high if is_high else low


def also_in(value: Quantity, other: Quantity) -> str:
    """The value once more in the other's unit, in brackets, where the units differ."""
    if value.unit == other.unit:
        return ""
    return f" ({float(value.to(other.unit).value):.4g} {other.unit})"
