"""A run as a table: each step, what is done, and what it changes of the machine's state."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from placardry.book.procedures import ChooseStep, ForEachStep, Procedure
from placardry.errors import PlacardryError
from placardry.finding import did_you_mean
from placardry.resolve import Manual
from placardry.runs import Event, State, events
from placardry.wording.phrases import Speaker, spoken
from placardry.wording.steps import instruction

NUMBER = 8  # columns for the number of a step
GAP = 2

Row = tuple[str, str, str | list[str]]  # number, what is done, what it changes


def table(manual: Manual, name: str, width: int = 80) -> str:
    """The run of a procedure by itself, from everything that it may begin with.

    Raises:
        PlacardryError: the manual has no such procedure.
    """
    width, known = max(width, 40), manual.of(Procedure)
    if name not in known:
        hint = did_you_mean(name, known, f"known are {', '.join(sorted(known))}")
        raise PlacardryError(f"`{manual.id}` has no procedure `{name}`; {hint}")
    speaker = Speaker(manual)
    happened = events(manual, speaker.figures, name)
    begins = changes(State(), happened[0].before) if happened else []
    rows: list[Row] = [
        ("Step", "What is done", "State after it, where it changed"),
        ("", "It begins", begins),
    ]
    rows += [row for event in happened for row in _rows(speaker, event)]
    title = f"{spoken(speaker.text(known[name].title))} ({name}, {manual.id})"
    return "\n".join([*textwrap.wrap(title, width), "", *_laid_out(rows, width)]) + "\n"


def _rows(speaker: Speaker, event: Event) -> Iterator[Row]:
    number = ".".join(str(one) for one in event.number if one)
    if event.head == "otherwise":
        said = spoken(instruction(speaker, event.step).otherwise)
        ends = ["the run ends here"] if _stops(event) else []
        after = changes(event.before, event.after) if event.after is not None else []
        yield "", said, [*after, *ends]
    elif event.step is None:
        yield number, spoken(speaker.say("step.when", when=speaker.text(event.head))), []
    else:
        made = instruction(speaker, event.step)
        if made.hazard is not None:
            said = f"{speaker.words[f'signal.{made.hazard.signal}']}: "
            said += spoken(speaker.text(made.hazard.hazard))
        else:
            said = " ".join(filter(None, map(spoken, (made.action, made.expect))))
        if isinstance(event.step, ChooseStep):
            said = "Whichever of these is so:"
        inside = isinstance(event.step, ChooseStep | ForEachStep)  # its rows follow
        yield number, said, [] if inside else changes(event.before, event.after or event.before)


def _stops(event: Event) -> bool:
    """Whether a run is over after this `otherwise`."""
    other = event.step.otherwise
    return event.after is None or (other.do is not None and not other.returns)


def changes(before: State, after: State) -> list[str]:
    """What differs between two states, a line for each name."""
    lines = []
    for name in sorted({*before.box.states, *after.box.states}):
        values = after.known(name)
        if values != before.known(name):
            shown = " or ".join(value or "dark" for value in sorted(values or ())) or "not known"
            lines.append(f"{name.replace('/screen', ' screen')}: {shown}")
    for name in sorted({*before.box.spans, *after.box.spans}):
        span = after.box.spans.get(name)
        if span != before.box.spans.get(name):
            lines.append(f"{name}: {span if span is not None else 'not known'}")
    return lines


def _laid_out(rows: Iterable[Row], width: int) -> Iterator[str]:
    right = (width - NUMBER - 2 * GAP) * 2 // 5
    left = width - NUMBER - 2 * GAP - right
    for at, (number, said, states) in enumerate(rows):
        words = textwrap.wrap(said, left) or [""]
        state = [
            line
            for one in ([states] if isinstance(states, str) else states)
            for line in textwrap.wrap(one, right, subsequent_indent="  ")
        ]
        for line in range(max(len(words), len(state))):
            cells = (
                number.ljust(NUMBER) if not line else " " * NUMBER,
                (words[line] if line < len(words) else "").ljust(left),
                state[line] if line < len(state) else "",
            )
            yield (" " * GAP).join(cells).rstrip()
        if not at:
            yield "-" * width
