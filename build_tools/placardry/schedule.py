"""What is due on a machine, as text or JSON; the arithmetic is `due`'s."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from placardry.book.tasks import Task
from placardry.due import STATES, Due, due
from placardry.due_points import Done, Missing, Now, Point, Work
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
    "soon": "due soon",
    "unknown": "not known",
    "every-time": "every time",
    "later": "later",
    "on-event": "after an event",
    "done": "done, and not due again",
}
# What is to be typed for what is missing; the rest follows the name of the task.
MISSING: Mapping[Missing, str] = {
    "hours-now": "say the hours: --hours",
    "date-now": "say the day: --on",
    "hours-done": "say when it was last done: --done {task}=HOURS,DATE, or --done {task}=never",
    "date-done": "say when it was last done: --done {task}=HOURS,DATE, or --done {task}=never",
    "date-new": "say when the machine was new: --new DATE",
    "event": "say whether that has happened since: --event {task}=yes or {task}=no",
    "severe": "say whether the machine is used hard: --severe",
    "wear": "go by its wear",
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


def works_of(done: Iterable[str], happened: Iterable[str], manual: Manual) -> Mapping[str, Work]:
    """What is known of the work, by task.

    Shape: each text of `done` is `TASK=HOURS,DATE`, of which either may be left out, or
    `TASK=never`; each of `happened` is `TASK=yes` or `TASK=no`.

    Raises:
        PlacardryError: a text has another shape, or names no task of the manual.
    """
    found: dict[str, list[Done]] = {}
    for name, rest in (_of_task(text, manual) for text in done):
        earlier = found.setdefault(name, [])
        if rest != "never":
            hours, _, day = rest.partition(",")
            earlier.append(Done(hours_of(hours) if hours else None, day_of(day) if day else None))
    for one in found.values():
        one.sort(key=lambda one: (one.on or date.min, one.hours or Fraction(0)))
    answers: dict[str, bool] = {}
    for name, rest in (_of_task(text, manual) for text in happened):
        if rest not in ("yes", "no"):
            raise PlacardryError(f"`{rest}` is neither yes nor no; write `{name}=yes`")
        answers[name] = rest == "yes"
    return {
        name: Work(tuple(found[name]) if name in found else None, answers.get(name))
        for name in {*found, *answers}
    }


def _of_task(text: str, manual: Manual) -> tuple[str, str]:
    name, _, rest = text.partition("=")
    if name not in manual.of(Task):
        hint = did_you_mean(name, manual.of(Task), "`placardry due` lists the tasks")
        raise PlacardryError(f"{manual.machine.name} has no task `{name}`; {hint}")
    return name, rest


def day_of(text: str) -> date:
    """A day as the command line takes it.

    Raises:
        PlacardryError: there is no such day.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise PlacardryError(f"`{text}` is not a date such as 2026-05-01") from None


def listed(manual: Manual, works: Mapping[str, Work], now: Now) -> list[Due]:
    """Every task of a manual, the most urgent first.

    Raises:
        PlacardryError: something is said to have been before it can have been.
    """
    _refuse_what_lies_ahead(works, now)
    found = [due(task, works.get(task.id, Work()), now) for task in manual.of(Task).values()]

    def urgency(one: Due) -> tuple[int, Fraction, str]:
        return (STATES.index(one.state), one.left or Fraction(0), one.task.id)

    return sorted(found, key=urgency)


def _refuse_what_lies_ahead(works: Mapping[str, Work], now: Now) -> None:
    """Work done in the future would count as not due for years: a slip of the pen, never a fact."""
    wrong = "one of the two is wrong; correct it"
    for name, work in works.items():
        for done in work.done or ():
            if done.hours is not None and now.hours is not None and done.hours > now.hours:
                raise PlacardryError(
                    f"`{name}` was done at more than the engine hours now, {_tenths(now.hours)}: "
                    f"{wrong}, --done or --hours"
                )
            if done.on is not None and now.on is not None and done.on > now.on:
                raise PlacardryError(
                    f"`{name}` was done on {done.on}, after the date of today, {now.on}: "
                    f"{wrong}, --done or --on"
                )
    if now.new_on is not None and now.on is not None and now.new_on > now.on:
        raise PlacardryError(
            f"the machine was new on {now.new_on}, after the date of today, {now.on}: "
            f"{wrong}, --new or --on"
        )


def as_text(found: Iterable[Due], width: int = 80) -> str:
    """The list for a person."""
    lines: list[str] = []
    state = None
    for one in found:
        if one.state != state:
            state = one.state
            lines += ["", SAID[state]]
        head = f"  {one.task.title} ({one.task.id})"
        is_called_for = one.state == "due" and one.first is None
        called = ["called for by an event"] if is_called_for else []
        reasons = [*called, *map(_reason, one.points), *_asked(one)]
        why = "; ".join(dict.fromkeys(reasons)) or _without_points(one.task)
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
    if point.once:
        return f"{at} from new"
    what = {"life": "life of", "calendar": "every", "hours": "every"}[point.part]
    since = ", counted from new" if point.assumed else ""
    return f"{at} ({what} {point.interval}{since})"


def _asked(one: Due) -> Iterator[str]:
    """What is to be said where it is not known whether a task is due."""
    for missing in one.missing:
        yield MISSING[missing].replace("{task}", one.task.id)


def _without_points(task: Task) -> str:
    if task.each is not None:
        return "before each flight" if task.each == "flight" else "each flying day"
    return "after " + ", ".join(task.after) if task.after else "nothing more"


def _tenths(hours: Fraction | None) -> str:
    """Hours for a person, down, for work is never due later than stated."""
    return decimal(round_down(hours or Fraction(0), TENTH), TENTH)


def as_json(manual: Manual, now: Now, found: Iterable[Due]) -> str:
    """The list for a program; hours are exact, as numerator/denominator."""
    listed_ = [
        {
            "task": one.task.id,
            "title": str(one.task.title),
            "state": one.state,
            "left": None if one.left is None else str(one.left),
            "first": _point(one.first),
            "points": [_point(point) for point in one.points],
            "missing": list(one.missing),
        }
        for one in found
    ]
    whole = {
        "machine": manual.machine.id,
        "hours": str(now.hours),
        "on": str(now.on),
        "due": listed_,
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _point(point: Point | None) -> dict[str, Any] | None:
    if point is None:
        return None
    return {
        "part": point.part,
        "once": point.once,
        "interval": str(point.interval),
        "hours": None if point.hours is None else str(point.hours),
        "on": None if point.on is None else point.on.isoformat(),
        "assumed": point.assumed,
    }
