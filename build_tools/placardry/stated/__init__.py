"""The figures that a manual's records state, each with its identity.

To make a record state figures, write a function in a module of this package and give it a row
in `STATED`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

from placardry.book.conditions import Condition
from placardry.book.controls import Panel
from placardry.book.figures import Derived, Example, Fact, Limit, Scale
from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.book.tasks import Task
from placardry.figures import Figure
from placardry.resolve import Manual, per_view
from placardry.stated import equipment, limits
from placardry.stated.equipment import delivered, guarded_side
from placardry.stated.limits import exact_of, parts_of, reach, statement_of

Figures = Mapping[tuple[str, str], Figure]

STATED: Mapping[type[Any], Callable[[Manual, Any], Iterator[Figure]]] = {
    Limit: partial(limits.statement, "limit"),
    Scale: limits.scale,
    Fact: partial(limits.statement, "fact"),
    Example: limits.example,
    Condition: limits.condition,
    Instrument: equipment.instrument,
    Panel: equipment.panel,
    Alarm: equipment.alarm,
    Setting: equipment.setting,
    Task: equipment.task,
}


@per_view
def figures(manual: Manual) -> Figures:
    """Every figure of a manual by (id, part), sorted."""
    found: dict[tuple[str, str], Figure] = {}
    for cls, stated in STATED.items():
        for record in manual.of(cls).values():
            for figure in stated(manual, record):
                found.setdefault(figure.key, figure)
    for record in manual.of(Derived).values():
        for figure in limits.derived(manual, record, found):
            found.setdefault(figure.key, figure)
    return dict(sorted(found.items()))


__all__ = [
    "STATED",
    "Figures",
    "delivered",
    "exact_of",
    "figures",
    "guarded_side",
    "parts_of",
    "reach",
    "statement_of",
]
