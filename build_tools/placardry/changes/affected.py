"""The figures of a manual that a set of differing records can have changed, and no others."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from placardry.book import KIND_OF
from placardry.book.figures import Derived
from placardry.book.instruments import Alarm, Instrument
from placardry.derived import names
from placardry.errors import Malformed
from placardry.figures import Figure
from placardry.resolve import Manual
from placardry.stated import STATED, limits

Touched = frozenset[tuple[str, str]]

# The kinds of records that can change a figure or how it is published.
TOUCHING = frozenset(
    (
        *("limit", "scale", "fact", "derived", "example", "condition", "instrument", "panel"),
        *("alarm", "setting", "task", "parameter", "market", "machine", "manual", "engine"),
    )
)

# What shapes every figure of a manual: its units, its machine.
AROUND = ("market", "machine", "manual")


def view(manual: Manual, touched: Touched) -> object:
    """The same for manuals whose figures are the same, and change by the same causes."""
    own = (("manual", manual.id), ("machine", manual.machine.id))
    return (
        own if touched.intersection(own) else None,
        manual.market.id,
        frozenset(option for option in manual.options if manual.fitted(option)),
        # The book holds the records while this is compared, so an address stands for one record.
        *(
            id(one)
            for kind in sorted(TOUCHING - {"manual", "machine"})
            for one in manual.records.get(kind, {}).values()
        ),
    )


def affected(manual: Manual, touched: Touched) -> dict[tuple[str, str], Figure]:
    """The figures whose record, or what it leads to, is in `touched`; and what formulas need."""
    around = {(kind, getattr(manual, kind).id) for kind in AROUND if kind != "manual"}
    is_all = bool((around | {("manual", manual.id)}) & touched)
    formulas = {one.id: _operands(one) for one in manual.of(Derived).values()}
    wanted: set[str] = set()
    chosen: list[tuple[Any, Any]] = []
    left: list[tuple[Any, Any]] = []
    for cls, stated in STATED.items():
        kind = KIND_OF[cls]
        for id, record in manual.of(cls).items():
            is_touched = (kind, id) in touched or _leads_to(record, touched)
            if is_all or is_touched or _watches(manual, record, touched):
                wanted.add(id)
                chosen.append((stated, record))
            else:
                left.append((stated, record))
    own = {
        one.id
        for one in manual.of(Derived).values()
        if is_all or ("derived", one.id) in touched or _leads_to(one, touched)
    }
    derived = _reached(formulas, wanted | own)
    operands = {name for id in derived for name in formulas[id]} | derived
    chosen += [(stated, record) for stated, record in left if record.id in operands]
    found: dict[tuple[str, str], Figure] = {}
    for stated, record in chosen:
        for figure in stated(manual, record):
            found.setdefault(figure.key, figure)
    for record in manual.of(Derived).values():
        if record.id in operands:
            for figure in limits.derived(manual, record, found):
                found.setdefault(figure.key, figure)
    return found


def _leads_to(record: Any, touched: Touched) -> bool:
    """Whether a record is rounded, or bound, by one of the touched records."""
    return any(
        one in touched
        for one in (
            ("parameter", getattr(record, "parameter", None)),
            ("instrument", getattr(record, "instrument", None)),
            *(("condition", name) for name in getattr(record, "condition", ())),
            *_parameters(record),
        )
    )


def _watches(manual: Manual, record: Any, touched: Touched) -> bool:
    """Whether an alarm rounds by a touched parameter, which its instrument's channel names."""
    if not isinstance(record, Alarm):
        return False
    channel = (manual.get(Instrument, record.instrument).channels or {}).get(record.channel)
    return channel is not None and ("parameter", channel.parameter) in touched


def _parameters(record: Any) -> Iterator[tuple[str, str]]:
    """The parameters by which the figures of conditions and channels round."""
    for name in getattr(record, "box", None) or ():
        yield "parameter", name
    for channel in (getattr(record, "channels", None) or {}).values():
        if channel.parameter:
            yield "parameter", channel.parameter


def _operands(record: Derived) -> frozenset[str]:
    try:
        return frozenset(name.partition(".")[0] for name in names(record.formula))
    except Malformed:
        return frozenset()


def _reached(formulas: dict[str, frozenset[str]], wanted: set[str]) -> set[str]:
    """The formulas that hold a wanted figure, also through other formulas, with their operands."""
    reached = {id for id in formulas if id in wanted}
    while True:
        more = {
            id for id, used in formulas.items() if id not in reached and used & (wanted | reached)
        }
        if not more:
            break
        reached |= more
    below = set(reached)
    while more := {name for id in below for name in formulas[id] if name in formulas} - below:
        below |= more
    return below
