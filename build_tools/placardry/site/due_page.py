"""The due calculator: what maintenance is due, from what the owner enters, without a request.

One page beside the manual's own, linked from its schedule. What the script computes with stands
in the page as data, each interval with its identity in the register, so that the audit can trace
it. Without script the page lists the works and when they fall due.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable, Mapping
from typing import Any

from placardry.book.sources import Edition
from placardry.book.tasks import Series, Task
from placardry.figures import Figure
from placardry.links import Link
from placardry.numerals import manner
from placardry.pages import edition_state, maintenance
from placardry.pages.places import Place, Places
from placardry.rounding import exact
from placardry.site import environment, footer
from placardry.site.unbroken import unbroken
from placardry.units import UNITS, Dimension
from placardry.wording.phrases import Phrase, Run, Speaker, sentence, spoken

Asked = Mapping[str, Phrase]  # what the owner is asked, by a key that languages share

PAGE = "due.html"
# What lies beside it, with the file of this package that it is.
BESIDE = {
    "due.js": "due.js",
    "due_show.js": "due_show.js",
    "due_form.js": "due_form.js",
    "styles/due.css": "due.css",
}


def due_page(speaker: Speaker, issued: Edition | None = None) -> Mapping[str, bytes]:
    """The page, its scripts and style by path in the manual's folder; none without a schedule.

    Args:
        speaker: the manual
        issued: the edition in which the manual was issued; None marks it as a draft
    """
    manual = speaker.manual
    tasks = list(manual.of(Task).values())
    if not tasks:
        return {}
    events = _distinct(
        (f"{task.id}-{number}", said)
        for task in tasks
        for number, said in enumerate(_reasons(speaker, task), 1)
    )
    severe = _distinct((task.id, said) for task in tasks for said in _hard_use(speaker, task))
    data = {
        "book": manual.settings.book,
        "machine": manual.machine.id,
        "language": manual.language,
        "mark": manner(manual.language).decimal_mark,
        "words": _words(speaker),
        "tasks": [task_data(speaker, task, events, severe) for task in tasks],
    }
    places = Places(manual)
    text = environment().get_template("due.html.j2").render(
        language=manual.language,
        machine=manual.machine.name,
        words=speaker.words,
        draft=None if issued else edition_state(speaker.words, None),
        footer=footer(speaker, issued),
        works=[_work(speaker, places, task) for task in tasks],
        events=[(key, _html(places, sentence(said))) for key, said in events.items()],
        severe=[(key, _html(places, sentence(said))) for key, said in severe.items()],
        data=data,
    )  # fmt: skip
    own = {path: pkgutil.get_data("placardry.site", name) or b"" for path, name in BESIDE.items()}
    return {PAGE: unbroken(text).encode(), **own}


def _words(speaker: Speaker) -> Mapping[str, str]:
    return {
        key.removeprefix("due."): said
        for key, said in speaker.words.table.items()
        if key.startswith("due.")
    }


def _reasons(speaker: Speaker, task: Task) -> list[Phrase]:
    return [speaker.say("task.after", event=speaker.text(event)) for event in task.after]


def _hard_use(speaker: Speaker, task: Task) -> list[Phrase]:
    hard = task.severe
    return [speaker.say("due.severe", when=speaker.text(hard.when))] if hard is not None else []


def _distinct(texts: Iterable[tuple[str, Phrase]]) -> Asked:
    """What is asked, once however many tasks speak of it."""
    found: dict[str, Phrase] = {}
    for key, text in texts:
        if spoken(text) not in map(spoken, found.values()):
            found[key] = text
    return found


def task_data(speaker: Speaker, task: Task, events: Asked, severe: Asked) -> Mapping[str, Any]:
    """What the script is told of a task.

    Shape: each interval is `{figure, exact, unit}`: its row in the register, and its exact value
    as numerator/denominator in its written unit.
    """

    def figure(part: str) -> Mapping[str, str] | None:
        found = speaker.figures.get((task.id, part))
        return _exact(found) if found is not None else None

    def series(part: str, one: Series | None) -> Mapping[str, Any] | None:
        if one is None:
            return None
        points = [figure(f"{part}-{number}") for number in range(1, len(one.points) + 1)]
        return {"points": points, "every": figure(part)}

    def keys(asked: Asked, phrases: Iterable[Phrase]) -> list[str]:
        said = set(map(spoken, phrases))
        return [key for key, phrase in asked.items() if spoken(phrase) in said]

    hard = task.severe
    return {
        "id": task.id,
        "hours": series("hours", task.hours),
        "calendar": series("calendar", task.calendar),
        "life": figure("life"),
        "tolerance": figure("tolerance"),
        "deducted": task.overrun == "deducted",
        "endOfMonth": task.end_of_month,
        "each": task.each is not None,
        "after": bool(task.after),
        "severe": hard
        and {
            "hours": series("severe", hard.hours),
            "calendar": series("severe-calendar", hard.calendar),
        },
        "events": keys(events, _reasons(speaker, task)),
        "hardUse": next(iter(keys(severe, _hard_use(speaker, task))), None),
    }


def _exact(figure: Figure) -> Mapping[str, str]:
    value = figure.exact.high
    if value is None:
        raise AssertionError(f"{figure.anchor} is an interval and has a high end")
    return {
        "figure": figure.anchor,
        "exact": exact(value.value),
        "unit": value.unit.symbol,
    }


def _work(speaker: Speaker, places: Places, task: Task) -> Mapping[str, Any]:
    """What the page says of a task, and what it asks."""
    hours, dated = _counts_in(task)
    deducted = task.overrun == "deducted"
    in_months = task.tolerance is not None and _is_dated(task.tolerance.unit.dimension)
    how = None
    if task.procedure is not None:
        how = _href(places.of(Link("procedure", task.procedure)))
    return {
        "id": task.id,
        "title": _html(places, sentence(speaker.text(task.title))),
        "when": _html(places, sentence(maintenance.due(speaker, task))),
        "tolerance": _html(places, speaker.interval(task, "tolerance")),
        "overrun": speaker.words[f"task.{task.overrun}"],
        "how": how,
        "by": speaker.words[f"task.{task.by}"],
        "hours": hours,
        "dated": dated,
        "hours_due": deducted and task.hours is not None and task.hours.every is not None,
        "date_due": deducted and in_months and dated,
        "after": bool(task.after),
    }


def _counts_in(task: Task) -> tuple[bool, bool]:
    """Whether a task counts in running hours, and whether in months."""
    hard = task.severe
    lives = _is_dated(task.life.unit.dimension) if task.life is not None else None
    hours = task.hours or (hard and hard.hours) or lives is False
    dated = task.calendar or (hard and hard.calendar) or lives
    return bool(hours), bool(dated)


def _is_dated(dimension: Dimension) -> bool:
    return dimension is UNITS["month"].dimension


def _html(places: Places, phrase: Phrase) -> list[tuple[str, str]]:
    """The runs of a phrase, each with the address that it leads to, which may be empty."""
    return [(run.text, _target(places, run)) for run in phrase]


def _target(places: Places, run: Run) -> str:
    if run.figure is not None:
        return _href(places.register(run.figure)) or ""
    return ""


def _href(place: Place | None) -> str | None:
    if place is None:
        return None
    path, anchor = place
    page = path.removesuffix(".md") + ".html"
    return f"{page}#{anchor}" if anchor else page
