"""Making one figure of a record, rounded for the manual's market."""

from __future__ import annotations

from typing import Any

from placardry.book.figures import Parameter
from placardry.figures import Exact, Figure, show, unit_order
from placardry.resolve import Manual
from placardry.rounding import Kind


def make(
    manual: Manual,
    record: Any,
    part: str | None,
    type_: str,
    kind: Kind,
    exact: Exact,
    *at: str | int,
    **more: Any,
) -> Figure:
    """A figure rounded for the manual's market."""
    parameter = more.pop("parameter", None) or getattr(record, "parameter", None)
    known = manual.get(Parameter, parameter) if parameter else None
    order = unit_order(exact, known, manual.market.units)
    shown = more.pop("shown", None) or show(kind, exact, order, more.pop("safer", (None, None)))
    more.setdefault("source", getattr(record, "source", None))
    return Figure(
        id=record.id,
        part=part,
        type=type_,
        kind=kind,
        exact=exact,
        shown=shown,
        record=record,
        span=record.places.at(*at),
        parameter=parameter,
        **more,
    )


def make_time(
    manual: Manual, record: Any, part: str, kind: Kind, exact: Exact, type_: str = "limit"
) -> Figure:
    """A figure that is a time, so that the record's parameter does not say its units."""
    order = unit_order(exact, None, manual.market.units)
    figure = make(manual, record, part, type_, kind, exact, part, shown=show(kind, exact, order))
    return figure
