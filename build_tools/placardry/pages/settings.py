"""The settings and the alarms of the instruments."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from placardry.book.instruments import Alarm, Instrument, Setting
from placardry.links import Link
from placardry.pages.inline import Inline, Markdown, escaped
from placardry.pages.page import PageFile, Writing, identified
from placardry.wording.keys import key_presses
from placardry.wording.phrases import plain
from placardry.wording.steps import setting_value, shown_word


def settings(writing: Writing) -> Iterator[PageFile]:
    """Every setting: where it is set, what it may be, how it was delivered, what is advised."""
    path = "settings.md"
    write = writing.inline(path)
    found = [_setting(write, one) for one in writing.manual.of(Setting).values()]
    if found:
        title = writing.word("page.settings")
        yield writing.page(path, title, "machine", "settings", settings=found)


def _setting(write: Inline, setting: Setting) -> Mapping[str, Any]:
    speaker = write.speaker
    instrument = speaker.manual.get(Instrument, setting.instrument)
    screen = speaker.name(Link("instrument", instrument.id, setting.screen, "screen"))
    allowed = [
        _value(write, setting, f"allowed-{at}", one) for at, one in enumerate(setting.allowed, 1)
    ]
    lines = {
        "on": write.name("instrument", instrument.id),
        "screen": write.phrase(screen),
        "way": write.phrase(key_presses(speaker, instrument, setting.screen)),
        "change": write.text(setting.change),
        "allowed": Markdown(", ".join(allowed)) or write.figure(setting.id, "span"),
        "factory": _value(write, setting, "factory", setting.factory),
        "delivered": write.phrase(setting_value(speaker, setting)),
        "advised": write.text(setting.advised),
    }
    return {
        "heading": identified(write.start(setting.name), setting.id),
        "lines": [(write.word(f"setting.{key}"), said) for key, said in lines.items() if said],
    }


def _value(write: Inline, setting: Setting, part: str, words: str) -> Markdown:
    """A value of a setting: a figure if it is one, a unit by its sign, else its words."""
    return write.figure(setting.id, part) or escaped(shown_word(words))


def alarms(writing: Writing) -> Iterator[PageFile]:
    """Every alarm: what it guards, when it fires and clears, what is seen, what it cannot know."""
    path = "alarms.md"
    write = writing.inline(path)
    found = [_alarm(write, one) for one in writing.manual.of(Alarm).values()]
    if found:
        title = writing.word("page.alarms")
        yield writing.page(path, title, "limits", "alarms", alarms=found)


def _alarm(write: Inline, alarm: Alarm) -> Mapping[str, Any]:
    speaker = write.speaker
    figures = {part: speaker.figures.get((alarm.id, part)) for part in ("", "clears", "delay")}
    said = {part: write.all_units(one) if one else Markdown("") for part, one in figures.items()}
    setting = Markdown("")
    if alarm.setting is not None:
        name, _, screen = alarm.setting.partition("/")
        instrument = speaker.manual.get(Instrument, name)
        title = speaker.name(Link("instrument", name, screen, "screen"))
        way = key_presses(speaker, instrument, screen)
        setting = write.phrase((*title, *plain(". "), *way) if way else title)
    lines = {
        "on": write.name("instrument", alarm.instrument),
        "fires": write.say(f"alarm.{alarm.fires}", figure=said[""]) if said[""] else "",
        "clears": said["clears"],
        "delay": said["delay"],
        "shows": write.text(alarm.shows),
        "sentence": write.text(alarm.sentence),
        "setting": setting,
    }
    return {
        "heading": identified(write.start(alarm.name), alarm.id),
        "lines": [(write.word(f"alarm.{key}"), said) for key, said in lines.items() if said],
    }
