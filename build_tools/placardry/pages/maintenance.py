"""The maintenance schedule and the fault finder."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from placardry.book.tasks import Cause, Fault, Task
from placardry.links import Link
from placardry.pages.inline import Inline, Markdown
from placardry.pages.page import PageFile, Writing, cells, identified
from placardry.wording.keys import figure
from placardry.wording.phrases import Phrase, Speaker, joined, sentence, spoken


def schedule(writing: Writing) -> Iterator[PageFile]:
    """The tasks: what, when, how far it may be overrun, by whom, how."""
    path = "schedule.md"
    write = writing.inline(path)
    tasks = writing.manual.of(Task).values()
    if tasks:
        yield writing.page(
            path,
            writing.word("page.schedule"),
            "maintenance",
            "schedule",
            rows=[_row(write, task) for task in tasks],
            notes=[said for task in tasks if (said := _notes(write, task))],
        )


def _row(write: Inline, task: Task) -> Markdown:
    speaker = write.speaker
    tolerance = write.phrase(speaker.interval(task, "tolerance"))
    if tolerance:
        tolerance = Markdown(f"{tolerance} ({write.word(f'task.{task.overrun}')})")
    return cells(
        (
            identified(write.start(task.title), f'{task.id} data-due="{_marks(speaker, task)}"'),
            write.phrase(sentence(due(speaker, task))),
            tolerance,
            write.word(f"task.{task.by}"),
            write.name("procedure", task.procedure) if task.procedure else Markdown(""),
        )
    )


def _marks(speaker: Speaker, task: Task) -> str:
    """What the due calculator takes from a task beside figures, for the audit to compare."""
    events = ["event"] * len({spoken(speaker.text(event)) for event in task.after})
    said = {
        task.overrun: True,
        "end-of-month": task.end_of_month,
        "each": task.each is not None,
        "after": bool(task.after),
        "severe hard-use": task.severe is not None,
    }
    return " ".join([*(word for word, holds in said.items() if holds), *events])


def due(speaker: Speaker, task: Task) -> Phrase:
    """When a task is due, every interval of it; of several the first to come counts."""
    calendar = speaker.interval(task, "calendar")
    if calendar and task.end_of_month:
        calendar = (*calendar, *speaker.say("task.to-month-end"))
    regular = [
        speaker.interval(task, "hours"),
        calendar,
        speaker.interval(task, "life"),
        speaker.say(f"interval.{task.each}") if task.each else (),
        *(speaker.say("task.after", event=speaker.text(event)) for event in task.after),
    ]
    parts = [part for part in regular if part]
    said = joined(parts, ", ", speaker.words["task.or"])
    if len([part for part in regular[:3] if part]) > 1:
        said = (*said, *speaker.say("task.first"))
    if task.severe is not None:
        severe = [speaker.interval(task, "severe"), speaker.interval(task, "severe-calendar")]
        interval = joined(severe, ", ", speaker.words["task.or"])
        when = speaker.text(task.severe.when)
        said = joined([said, speaker.say("interval.severe", interval=interval, when=when)], "; ")
    return said


def _notes(write: Inline, task: Task) -> Mapping[str, Any] | None:
    """What a task's row has no room for; None where there is nothing."""
    speaker = write.speaker
    reminder = Markdown("")
    if task.reminded_by is not None:
        instrument, _, timer = task.reminded_by.partition("/")
        name = speaker.name(Link("instrument", instrument))
        counter = speaker.name(Link("instrument", instrument, timer, "timer"))
        reminder = write.phrase(speaker.say("task.counter", counter=counter, instrument=name))
    lines = {
        "about": write.text(task.about),
        "watch": write.phrase(figure(speaker, task.watch)) if task.watch else Markdown(""),
        "reject": write.phrase(figure(speaker, task.reject)) if task.reject else Markdown(""),
        "reminded-by": reminder,
    }
    said_lines = [(write.word(f"task.{key}"), said) for key, said in lines.items() if said]
    return {"title": write.start(task.title), "lines": said_lines} if said_lines else None


def faults(writing: Writing) -> Iterator[PageFile]:
    """The fault finder: symptom, whether flight may go on, causes in order."""
    path = "faults.md"
    write = writing.inline(path)
    found = [_fault(write, fault) for fault in writing.manual.of(Fault).values()]
    if found:
        title = writing.word("page.faults")
        yield writing.page(path, title, "emergency", "faults", faults=found)


def _remedy(write: Inline, cause: Cause) -> Markdown:
    """What to do about a cause, and the procedure that tells how."""
    remedy = write.text(cause.remedy)
    if cause.see is None:
        return remedy
    how = write.say("fault.how", procedure=write.name("procedure", cause.see))
    return Markdown(f"{remedy} {how}")


def _fault(write: Inline, fault: Fault) -> Mapping[str, Any]:
    causes = [
        cells(
            (
                write.text(cause.cause),
                write.text(cause.confirm),
                _remedy(write, cause),
            )
        )
        for cause in fault.causes
    ]
    return {
        "heading": identified(write.start(fault.symptom), fault.id),
        "flight": write.word(f"flight.{fault.flight}"),
        "why": fault.why,
        "causes": causes,
        "see": [write.name("fault", name) for name in fault.see],
    }
