"""What is due on a machine, as text or JSON; the arithmetic is `due`'s."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from placardry.book.tasks import Task
from placardry.due import STATES, Done, Due, Point, due
from placardry.errors import Malformed, PlacardryError
from placardry.finding import did_you_mean
from placardry.quantity import Quantity
from placardry.resolve import Manual
from placardry.rounding import decimal, round_down
from placardry.units import PLAIN_COUNT, UNITS, convert

TENTH = Fraction(1, 10)
_AS_SHOWN = "write the hours as the counter shows them, such as `25.5`"
SAID = {
    "overdue": "overdue",
    "in-tolerance": "due, in its tolerance",
    "due": "due now",
    "every-time": "every time",
    "later": "later",
    "on-event": "after an event",
    "unknown": "not known",
}


def hours_of(text: str) -> Fraction:
    """Running hours as a counter shows them: `25.5`, `25.5 h` or `25:30:00`.

    Raises:
        PlacardryError: the text is none of these.
    """
    try:
        quantity = Quantity.parse(text, bare=True)
        is_bare = quantity.unit == PLAIN_COUNT
        hours = quantity.value if is_bare else convert(quantity.value, quantity.unit, UNITS["h"])
    except Malformed as problem:
        mend = problem.mend if problem.rule == "decimal-comma" else _AS_SHOWN
        raise PlacardryError(f"{problem.message}; {mend}") from problem
    if hours < 0:
        raise PlacardryError(f"`{text}` is less than no hours; {_AS_SHOWN}")
    return hours


def history_of(given: Iterable[str], manual: Manual) -> Mapping[str, list[Done]]:
    """The work that was done, by task, oldest first.

    Shape: each text is `TASK=HOURS,DATE`; hours or date may be left out.

    Raises:
        PlacardryError: a text has another shape, or names no task of the manual.
    """
    found: dict[str, list[Done]] = {}
    for text in given:
        name, _, rest = text.partition("=")
        if name not in manual.of(Task):
            hint = did_you_mean(name, manual.of(Task), "`placardry due` lists the tasks")
            raise PlacardryError(f"{manual.machine.name} has no task `{name}`; {hint}")
        hours, _, day = rest.partition(",")
        try:
            on = date.fromisoformat(day) if day else None
        except ValueError:
            raise PlacardryError(f"`{day}` is not a date such as 2026-05-01") from None
        found.setdefault(name, []).append(Done(hours_of(hours) if hours else None, on))
    for done in found.values():
        done.sort(key=lambda one: (one.on or date.min, one.hours or Fraction(0)))
    return found


def listed(
    manual: Manual, hours: Fraction, on: date, history: Mapping[str, list[Done]], *, severe: bool
) -> list[Due]:
    """Every task of a manual, the most urgent first."""
    found = [
        due(task, history.get(task.id, ()), hours, on, severe=severe)
        for task in manual.of(Task).values()
    ]

    def urgency(one: Due) -> tuple[int, Fraction, str]:
        return (STATES.index(one.state), one.left or Fraction(0), one.task.id)

    return sorted(found, key=urgency)


def as_text(found: Iterable[Due], width: int = 80) -> str:
    """The list for a person."""
    lines: list[str] = []
    state = None
    for one in found:
        if one.state != state:
            state = one.state
            lines += ["", SAID[state]]
        head = f"  {one.task.title} ({one.task.id})"
        why = "; ".join(_reason(point) for point in one.points) or _without_points(one.task)
        lines += textwrap.wrap(
            f"{head}: {why}", width, subsequent_indent="      ", break_on_hyphens=False
        )
    lines += [
        "",
        *textwrap.wrap(
            "The maker's documents and your local rules decide what must be done, and by whom.",
            width,
        ),
    ]
    return "\n".join(lines).lstrip("\n") + "\n"


def _reason(point: Point) -> str:
    at = f"at {_tenths(point.hours)} h" if point.hours is not None else f"by {point.on}"
    if point.part == "once":
        return f"{at} from new"
    what = {"life": "life of", "calendar": "every", "hours": "every"}[point.part]
    since = ", counted from new" if point.assumed else ""
    return f"{at} ({what} {point.interval}{since})"


def _without_points(task: Task) -> str:
    if task.each is not None:
        return "before each flight" if task.each == "flight" else "each flying day"
    if task.after:
        return "after " + ", ".join(task.after)
    return "say when it was last done: --done " + f"{task.id}=HOURS,DATE"


def _tenths(hours: Fraction | None) -> str:
    """Hours for a person, down, for work is never due later than stated."""
    return decimal(round_down(hours or Fraction(0), TENTH), TENTH)


def as_json(manual: Manual, hours: Fraction, on: date, found: Iterable[Due]) -> str:
    """The list for a program; hours are exact, as numerator/denominator."""
    listed_ = [
        {
            "task": one.task.id,
            "title": str(one.task.title),
            "state": one.state,
            "left": None if one.left is None else str(one.left),
            "first": _point(one.first),
            "points": [_point(point) for point in one.points],
        }
        for one in found
    ]
    whole = {
        "machine": manual.machine.id,
        "hours": str(hours),
        "on": on.isoformat(),
        "due": listed_,
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _point(point: Point | None) -> dict[str, Any] | None:
    if point is None:
        return None
    return {
        "part": point.part,
        "interval": str(point.interval),
        "hours": None if point.hours is None else str(point.hours),
        "on": None if point.on is None else point.on.isoformat(),
        "assumed": point.assumed,
    }
