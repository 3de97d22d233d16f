"""The state of one figure of one manual, apart from its book, so that it can be kept and compared.

Shape: `to_plain` gives what JSON can hold; numbers are fractions as text, so nothing is rounded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from placardry.book import KIND_OF
from placardry.book.instruments import Alarm
from placardry.conditions import Box, box_of
from placardry.figures import Exact, Figure, Shown
from placardry.interval import Interval
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import exact as fraction_text
from placardry.stated import guarded_side
from placardry.units import PLAIN_COUNT, RATIO, Unit, unit

_WORDS = (
    *("manual", "machine", "record", "id", "part", "type", "kind"),
    *("parameter", "colour", "begins", "side", "guards", "document", "place", "written"),
)
_FLAGS = ("open_low", "open_high")


@dataclass(frozen=True, kw_only=True, slots=True)
class FigureState:
    """One figure of one manual.

    Attributes:
        record: the kind of the record that states it
        type, kind: as in `figures.Figure`
        side: of an alarm, the side of its limit on which it fires: below or above
        written: the whole figure as its author wrote it
        shown: the canonical numerals by unit, the unit printed first coming first
        box: where it holds; None where its conditions exclude each other
        within: the time for which it is allowed
        document, place: its source
    """

    manual: str
    machine: str
    record: str
    id: str
    part: str | None
    type: str
    kind: str
    exact: Exact
    written: str = ""
    shown: Mapping[str, str] = field(default_factory=dict)
    parameter: str | None = None
    colour: str | None = None
    begins: str | None = None
    side: str | None = None
    open_low: bool = False
    open_high: bool = False
    box: Box | None = field(default_factory=Box)
    within: Quantity | None = None
    guards: str | None = None
    document: str | None = None
    place: str | None = None

    @property
    def source(self) -> str | None:
        """The place cited, in one line."""
        return ", ".join(one for one in (self.document, self.place) if one) or None


def state_of(figure: Figure, manual: Manual) -> FigureState:
    """The state of a figure of a manual."""
    record, source = figure.record, figure.source
    is_alarm = isinstance(record, Alarm)
    ends = [end for end in (figure.exact.value, figure.exact.low, figure.exact.high) if end]
    return FigureState(
        manual=manual.id,
        machine=manual.machine.id,
        record=KIND_OF[type(record)],
        id=figure.id,
        part=figure.part,
        type=figure.type,
        kind=str(figure.kind),
        exact=figure.exact,
        written=figure.exact.text or " to ".join(str(end) for end in ends),
        shown={symbol: shown_text(shown) for symbol, shown in figure.shown.items()},
        parameter=figure.parameter,
        colour=figure.colour,
        begins=figure.begins,
        side=str(guarded_side(record)) if is_alarm else None,
        # An alarm that fires above its set-point fires later than one that fires at it.
        open_low=figure.open_low or (is_alarm and record.fires == "above"),
        open_high=figure.open_high or (is_alarm and record.fires == "below"),
        box=box_of(figure.conditions),
        within=figure.within,
        guards=figure.guards,
        document=source.document if source else None,
        place=source.place if source else None,
    )


def shown_text(shown: Shown) -> str:
    """A figure in one unit as canonical numerals: `88`, `63 to 82`, `25 (23 to 27)`."""

    def say(number: Fraction) -> str:
        return Quantity.of(number, RATIO if shown.unit == RATIO else PLAIN_COUNT).written

    ends = [say(one) for one in (shown.low, shown.high) if one is not None]
    span = " to ".join(ends)
    if shown.value is None:
        return span
    return f"{say(shown.value)} ({span})" if span else say(shown.value)


def to_plain(state: FigureState) -> dict[str, Any]:
    """The state as words, numbers and mappings of them; what is not said is left out."""
    said = {name: getattr(state, name) for name in _WORDS}
    flags = {name: getattr(state, name) for name in _FLAGS}
    return {
        **{name: value for name, value in said.items() if value is not None},
        **{name: value for name, value in flags.items() if value},
        "exact": _ends(state.exact.low, state.exact.high, state.exact.value),
        "shown": dict(state.shown),
        **({"box": _plain_box(state.box)} if state.box != Box() else {}),
        **({"within": _plain_quantity(state.within)} if state.within else {}),
    }


def from_plain(plain: Mapping[str, Any]) -> FigureState:
    """The state that `to_plain` gave.

    Raises:
        Malformed: of rule `unknown-unit`, for a unit that this release does not know.
        KeyError: something that every state says is missing.
    """
    return FigureState(
        **{name: plain.get(name) for name in _WORDS if name != "written"},  # type: ignore[arg-type]
        open_low=bool(plain.get("open_low")),
        open_high=bool(plain.get("open_high")),
        written=plain.get("written", ""),
        exact=Exact(**_read_ends(plain["exact"]), text=plain.get("written", "")),
        shown=dict(plain["shown"]),
        box=_read_box(plain["box"]) if "box" in plain else Box(),
        within=_read_quantity(plain["within"]) if "within" in plain else None,
    )


def _plain_quantity(one: Quantity) -> dict[str, Any]:
    plain: dict[str, Any] = {"value": fraction_text(one.value), "unit": one.unit.symbol}
    plain |= {"digits": one.digits, "written": one.written}
    if one.unit != unit_of(one.unit.symbol):
        plain["difference"] = True
    return plain


def unit_of(symbol: str) -> Unit:
    """The unit of a canonical symbol, none for a plain count."""
    return unit(symbol) if symbol else PLAIN_COUNT


def _read_quantity(plain: Mapping[str, Any]) -> Quantity:
    here = unit_of(plain["unit"])
    here = here.difference if plain.get("difference") else here
    return Quantity(Fraction(plain["value"]), here, plain["digits"], plain["written"])


def _ends(low: Quantity | None, high: Quantity | None, value: Quantity | None) -> dict[str, Any]:
    named = {"low": low, "high": high, "value": value}
    return {name: _plain_quantity(one) for name, one in named.items() if one is not None}


def _read_ends(plain: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _read_quantity(plain[name]) for name in ("low", "high", "value") if name in plain}


def _plain_box(box: Box | None) -> dict[str, Any] | None:
    if box is None:
        return None
    return {
        "states": {name: sorted(allowed) for name, allowed in sorted(box.states.items())},
        "spans": {
            name: {
                **_ends(span.low, span.high, None),
                "low_open": span.low_open,
                "high_open": span.high_open,
            }
            for name, span in sorted(box.spans.items())
        },
    }


def _read_box(plain: Mapping[str, Any] | None) -> Box | None:
    if plain is None:
        return None
    spans = {
        name: Interval(
            **{"low": None, "high": None, **_read_ends(span)},
            low_open=span["low_open"],
            high_open=span["high_open"],
        )
        for name, span in plain["spans"].items()
    }
    states = {name: frozenset(allowed) for name, allowed in plain["states"].items()}
    return Box(states, spans)
