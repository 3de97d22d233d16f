"""The sentences of a procedure's steps, ready for a page or a card.

A step becomes an `Instruction`: what to do, what must then be seen, what to do if it is not. The
key presses to a screen come from the instrument's screens, so that nobody types them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from placardry.book.conditions import Condition
from placardry.book.instruments import Instrument, Setting
from placardry.book.procedures import (
    AdjustStep,
    BringStep,
    ChooseStep,
    DoStep,
    Expect,
    ForEachStep,
    GoToStep,
    Hazard,
    HazardStep,
    HoldStep,
    LookStep,
    Otherwise,
    PerformStep,
    PressStep,
    PullStep,
    ReadStep,
    SetStep,
    TogetherStep,
    WaitStep,
    WaitUntilStep,
)
from placardry.links import Link
from placardry.rounding import Kind
from placardry.starts import starts
from placardry.stated import delivered
from placardry.units import UNITS
from placardry.wording.keys import figure, key_presses, keys_said, screen_title
from placardry.wording.phrases import Phrase, Run, Speaker, joined, sentence


@dataclass(frozen=True, slots=True)
class Instruction:
    """One step as it is read.

    Attributes:
        hazard: the step is this safety message, and nothing else
        action: what to do
        note: a sentence more
        expect: what must then be seen
        otherwise: what to do if it is not
        memory: to be known by heart
        cases: the branches of a choice, or the steps of a repetition under their heading
    """

    hazard: Hazard | None = None
    action: Phrase = ()
    note: Phrase = ()
    expect: Phrase = ()
    otherwise: Phrase = ()
    memory: bool = False
    cases: tuple[tuple[Phrase, tuple[Instruction, ...]], ...] = ()


def instructions(speaker: Speaker, steps: Iterable[Any]) -> tuple[Instruction, ...]:
    """The steps of a procedure or of a branch."""
    return tuple(instruction(speaker, step) for step in steps)


def instruction(speaker: Speaker, step: Any) -> Instruction:
    """One step."""
    if isinstance(step, HazardStep):
        return Instruction(hazard=step.hazard)
    said = Instruction(
        action=sentence(ACTIONS[type(step)](speaker, step)),
        note=speaker.text(step.note) if step.note else (),
        expect=_expected(speaker, step) if step.expect else (),
        otherwise=_otherwise(speaker, step.otherwise) if step.otherwise else (),
        memory=step.memory,
    )
    if isinstance(step, ChooseStep):
        cases = tuple(
            (
                speaker.say("step.when", when=speaker.text(branch.when)),
                instructions(speaker, branch.steps),
            )
            for branch in step.choose
        )
        return replace(said, cases=cases)
    if isinstance(step, ForEachStep):
        return replace(said, cases=(((), instructions(speaker, step.steps)),))
    return said


def button(speaker: Speaker, name: str) -> Phrase:
    """A control, or a key of an instrument, as it is named to the owner."""
    instrument, slash, key = name.partition("/")
    if not slash:
        return speaker.say("step.the", name=speaker.control(name))
    return keys_said(speaker.manual.get(Instrument, instrument), [key], speaker)


def _set(speaker: Speaker, step: SetStep) -> Phrase:
    return joined(
        (
            speaker.say(
                "step.set",
                control=speaker.say("step.the", name=speaker.control(name)),
                position=speaker.control(name, position),
            )
            for name, position in step.set.items()
        ),
        " ",
    )


def _press(speaker: Speaker, step: PressStep) -> Phrase:
    return _often(speaker, "press", button(speaker, step.press), step.times)


def _pull(speaker: Speaker, step: PullStep) -> Phrase:
    return _often(speaker, "pull", button(speaker, step.pull), step.times)


def _often(speaker: Speaker, action: str, what: Phrase, times: str | None) -> Phrase:
    """An action that is done once, or as often as a figure says."""
    if times is None:
        return speaker.say(f"step.{action}", button=what)
    name, _, part = times.partition(".")
    found = speaker.figures.get((name, part))
    # `10 times` says how often; `10 presses` would be pressed, and stands apart.
    key = "times" if found is None or found.exact.unit.symbol == "time" else "counted"
    return speaker.say(f"step.{action}-{key}", button=what, times=figure(speaker, times))


def _hold(speaker: Speaker, step: HoldStep) -> Phrase:
    held = button(speaker, step.hold)
    if step.for_ is None:
        return speaker.say("step.hold", button=held)
    return speaker.say("step.hold-for", button=held, time=_lasting(speaker, step.for_))


def _together(speaker: Speaker, step: TogetherStep) -> Phrase:
    names = [button(speaker, name) for name in step.together]
    held = joined(names, ", ", speaker.words["step.and"])
    if step.for_ is None:
        return speaker.say("step.together", buttons=held)
    return speaker.say("step.together-for", buttons=held, time=_lasting(speaker, step.for_))


def _lasting(speaker: Speaker, name: str) -> Phrase:
    """How long to hold; a time that must not be passed says so."""
    part = name.partition(".")
    found = speaker.figures.get((part[0], part[2]))
    if found is not None and found.kind is Kind.MAXIMUM:
        return speaker.sided(found)
    return figure(speaker, name)


def _go_to(speaker: Speaker, step: GoToStep) -> Phrase:
    name, _, screen = step.go_to.partition("/")
    there = speaker.say("step.go-to", screen=screen_title(speaker, name, screen))
    shown = starts(speaker.manual).get(id(step.places))
    said = key_presses(speaker, speaker.manual.get(Instrument, name), screen, shown)
    return (*there, Run(" "), *said) if said else there


def setting_value(speaker: Speaker, setting: Setting) -> Phrase:
    """What a setting stands at when it is handed over in this market."""
    figure = speaker.figures.get((setting.id, ""))
    if figure is not None:
        return speaker.bare(figure)
    words = delivered(setting, speaker.manual.market.id) or ""
    return (Run(shown_word(words), style="label"),) if words else ()


def shown_word(words: str) -> str:
    """A value of a setting that is no figure: a unit by its sign, else its words."""
    return UNITS[words].shown if words in UNITS else words


def _adjust(speaker: Speaker, step: AdjustStep) -> Phrase:
    setting = speaker.manual.get(Setting, step.adjust)
    value = speaker.text(step.to) if step.to else setting_value(speaker, setting)
    name = speaker.name(Link("setting", setting.id))
    return speaker.say("step.adjust", setting=name, value=value)


def _bring(speaker: Speaker, step: BringStep) -> Phrase:
    condition = speaker.manual.get(Condition, step.bring)
    return speaker.say("step.bring", condition=speaker.condition(condition))


def _read(speaker: Speaker, step: ReadStep) -> Phrase:
    if step.read is not None:
        instrument, _, part = step.read.partition("/")
        channels = speaker.manual.get(Instrument, instrument).channels or {}
        nested = "channel" if part in channels else "timer"
        said = speaker.name(Link("instrument", instrument, part, nested))
    else:
        said = speaker.name(Link("parameter", step.reading or ""))
    sentence_ = speaker.say("step.read", channel=said)
    if step.record is None:
        return sentence_
    return (*sentence_, Run(" "), *speaker.say("step.record", where=speaker.text(step.record)))


def _for_each(speaker: Speaker, step: ForEachStep) -> Phrase:
    things = joined((speaker.text(thing) for thing in step.for_each), ", ")
    return speaker.say("step.for-each", things=things)


def _perform(speaker: Speaker, step: PerformStep) -> Phrase:
    return speaker.say("step.perform", procedure=speaker.name(Link("procedure", step.perform)))


ACTIONS: Mapping[type[Any], Callable[[Speaker, Any], Phrase]] = {
    SetStep: _set,
    PressStep: _press,
    HoldStep: _hold,
    PullStep: _pull,
    TogetherStep: _together,
    GoToStep: _go_to,
    AdjustStep: _adjust,
    BringStep: _bring,
    WaitStep: lambda speaker, step: speaker.say("step.wait", time=figure(speaker, step.wait)),
    WaitUntilStep: lambda speaker, step: speaker.say(
        "step.wait-until", text=speaker.text(step.wait_until)
    ),
    ReadStep: _read,
    LookStep: lambda speaker, step: speaker.say("step.look", thing=speaker.text(step.look)),
    DoStep: lambda speaker, step: speaker.text(step.do),
    PerformStep: _perform,
    ChooseStep: lambda speaker, step: (),
    ForEachStep: _for_each,
}


def _expected(speaker: Speaker, step: Any) -> Phrase:
    expect: Expect = step.expect
    parts: list[Phrase] = []
    for name, position in (expect.position or {}).items():
        at = {"control": speaker.control(name), "position": speaker.control(name, position)}
        parts.append(speaker.say("step.expect-position", **at))
    if expect.limit:
        parts.append(speaker.say("step.expect-limit", figure=_expected_figure(speaker, step)))
    if expect.text:
        parts.append(speaker.text(expect.text))
    if expect.nothing:
        parts.append(speaker.say("step.expect-nothing", text=speaker.text(expect.nothing)))
    return speaker.say("step.expect", text=_without_stop(joined(parts, "; ")))


def _expected_figure(speaker: Speaker, step: Any) -> Phrase:
    """The figure to be found, named unless the step reads just that off an instrument."""
    name, _, part = (step.expect.limit or "").partition(".")
    found = speaker.figures.get((name, part))
    if found is None:
        return figure(speaker, name)
    said = speaker.sided(found)
    # Alone, a difference would read as a reading, and `at most 5 mm` says not of what.
    if found.kind is not Kind.CHANGE and isinstance(step, ReadStep):
        return said
    if found.record.name:
        return speaker.say("step.expect-named", name=speaker.text(found.record.name), figure=said)
    if found.kind is not Kind.CHANGE:
        return said
    return speaker.say(f"step.expect-{'drop' if found.record.drop else 'rise'}", figure=said)


def _otherwise(speaker: Speaker, otherwise: Otherwise) -> Phrase:
    parts: list[Phrase] = []
    if otherwise.text:
        parts.append(speaker.text(otherwise.text))
    if otherwise.do:
        name = speaker.name(Link("procedure", otherwise.do))
        key = "step.otherwise-return" if otherwise.returns else "step.otherwise-do"
        parts.append(speaker.say(key, procedure=name))
    if otherwise.see:
        name = speaker.name(Link("fault", otherwise.see))
        parts.append(speaker.say("step.otherwise-see", fault=name))
    return speaker.say(
        "step.otherwise", text=_without_stop(joined(map(_without_stop, parts), "; "))
    )


def _without_stop(phrase: Phrase) -> Phrase:
    """The phrase without its full stop, for a place in a longer sentence."""
    if not phrase or not phrase[-1].text.endswith("."):
        return phrase
    last = replace(phrase[-1], text=phrase[-1].text[:-1])
    return (*phrase[:-1], last)
