"""The pages of instruments: screens and fields, what is measured, counted and recorded."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from placardry.book.instruments import Channel, Extreme, Instrument, ScreenField
from placardry.book.machines import Option
from placardry.figures import Figure
from placardry.links import Link
from placardry.menus import gesture
from placardry.numerals import NO_BREAK_SPACE
from placardry.pages.gauge import strips
from placardry.pages.inline import Inline, Markdown, escaped
from placardry.pages.page import PageFile, Writing, cells, identified
from placardry.wording.keys import figure as said_figure
from placardry.wording.keys import key_presses
from placardry.wording.phrases import Phrase, Run, joined, plain, sentence, spoken


def pages(writing: Writing) -> Iterator[PageFile]:
    """A page for each instrument."""
    for instrument in writing.manual.of(Instrument).values():
        path = f"instruments/{instrument.id}.md"
        on_page = _OnPage(writing.inline(path), instrument)
        yield writing.page(
            path,
            spoken(sentence(writing.speaker.text(instrument.name))),
            "machine",
            "instrument",
            instrument=instrument,
            buttons=[
                Markdown(f"**{escaped(one)}**") for one in (instrument.buttons or {}).values()
            ],
            hold=on_page.hold(),
            screens=[on_page.screen(name) for name in instrument.screens or {}],
            channels=on_page.channels(),
            strips=strips(on_page.write, on_page.parameters()),
            timers=on_page.timers(),
            extremes=on_page.extremes(),
        )


class _OnPage:
    """One instrument on its page."""

    def __init__(self, write: Inline, instrument: Instrument) -> None:
        self.write = write
        self.speaker = write.speaker
        self.instrument = instrument
        self.all_channels = instrument.channels or {}

    def hold(self) -> Markdown:
        """How long a hold lasts; empty where nothing says it."""
        if self.instrument.hold is None:
            return Markdown("")
        return self.write.phrase(said_figure(self.speaker, self.instrument.hold))

    def nested(self, name: str, nested: str) -> Markdown:
        """The name of a screen, channel or timer, as it begins a cell."""
        link = Link("instrument", self.instrument.id, name, nested)
        return self.write.phrase(sentence(self.speaker.name(link)))

    def screen(self, name: str) -> Mapping[str, Any]:
        """A screen: how to get there, its fields, where its keys lead."""
        screen = (self.instrument.screens or {})[name]
        keys = [
            cells((self.keys(pressed), self.nested(target, "screen")))
            for pressed, target in (screen.keys or {}).items()
        ]
        way = key_presses(self.speaker, self.instrument, name)
        if name == self.instrument.home:
            way = plain(self.speaker.words["instrument.home"])
        return {
            "heading": identified(self.write.start(screen.title), name),
            "about": screen.about,
            "way": self.write.phrase(way),
            "fields": [self.field(field) for field in screen.fields],
            "presses": keys,
        }

    def keys(self, pressed: str) -> Markdown:
        """A gesture of a screen in words."""
        found = gesture(pressed)
        if found is None:
            return escaped(pressed)
        kind, names = found
        labels: list[Phrase] = [
            (Run((self.instrument.buttons or {}).get(name, name), style="label"),) for name in names
        ]
        said = joined(labels, ", ", self.speaker.words["step.and"])
        return self.write.phrase(sentence(self.speaker.say(f"step.{kind}-gesture", buttons=said)))

    def field(self, field: ScreenField) -> Markdown:
        """A field of a screen: the letters beside it, what it shows, what that tells."""
        label = Markdown(f"**{escaped(field.label)}**") if field.label else Markdown("")
        if field.channel is not None:
            shows = self.nested(field.channel, "channel")
            about = self.of_channel(self.all_channels[field.channel])
        elif field.timer is not None:
            shows = self.nested(field.timer, "timer")
            about = self.write.text((self.instrument.timers or {})[field.timer].about)
        elif field.extreme is not None:
            shows = self.extreme((self.instrument.extremes or {})[field.extreme])
            about = self.write.text((self.instrument.extremes or {})[field.extreme].about)
        else:
            shows, about = self.write.start(field.mark or ""), Markdown("")
        return cells((label, shows, self.write.text(field.about) or about))

    def of_channel(self, channel: Channel) -> Markdown:
        """What a channel tells; of one that is not connected, what is seen and why."""
        if self.speaker.manual.connects(channel):
            return self.write.text(channel.about)
        option = self.speaker.manual.of(Option).get(channel.needs or "")
        why = self.write.text(option.notice if option else channel.about)
        why = why or self.write.word("instrument.unconnected")
        if channel.shows is None:
            return why
        glyphs = channel.shows.replace(" ", NO_BREAK_SPACE)  # a display does not break `- - -`
        shown = self.write.phrase((Run(glyphs, style="quotation"),))
        return Markdown(f"{self.write.say('instrument.nothing', shown=shown)} {why}")

    def channels(self) -> list[Markdown]:
        """What can be read, how finely, and in which span it reads true."""
        return [
            cells(
                (
                    self.nested(name, "channel"),
                    self.units(f"{name}-range"),
                    self.units(f"{name}-resolution"),
                    self.reads_true(name, channel),
                    self.units(f"{name}-alarm-range"),
                    self.units(f"{name}-alarm-grid"),
                )
            )
            for name, channel in self.all_channels.items()
            if self.speaker.manual.connects(channel)
        ]

    def parameters(self) -> set[str]:
        """What is measured."""
        return {
            one.parameter
            for one in self.all_channels.values()
            if one.parameter and self.speaker.manual.connects(one)
        }

    def reads_true(self, name: str, channel: Channel) -> Markdown:
        """The span in which a channel can be believed, with its condition."""
        span = self.units(f"{name}-reads-true")
        if channel.reads_true_when is None:
            return span
        when = self.write.phrase(self.speaker.name(Link("condition", channel.reads_true_when)))
        return Markdown(f"{span} {when}".strip())

    def units(self, part: str) -> Markdown:
        """A figure of the instrument in every unit."""
        figure: Figure | None = self.speaker.figures.get((self.instrument.id, part))
        return self.write.all_units(figure) if figure is not None else Markdown("")

    def timers(self) -> list[Markdown]:
        """What is counted, which way, and what resets it."""
        rows = []
        for name, timer in (self.instrument.timers or {}).items():
            way = self.write.word(f"instrument.{timer.direction}")
            if timer.interval is not None:
                start = self.write.phrase(said_figure(self.speaker, timer.interval))
                way = Markdown(f"{way} ({start})")
            tasks = [self.speaker.name(Link("task", task)) for task in timer.serves]
            rows.append(
                cells(
                    (
                        self.nested(name, "timer"),
                        self.write.text(timer.counts),
                        way,
                        self.write.text(timer.resets),
                        self.write.phrase(joined(tasks, "; ")),
                    )
                )
            )
        return rows

    def extreme(self, extreme: Extreme) -> Markdown:
        """The name of a recorded extreme: `highest coolant temperature`."""
        of = self.speaker.name(Link("instrument", self.instrument.id, extreme.of, "channel"))
        return self.write.phrase(
            sentence(self.speaker.say(f"instrument.{extreme.keeps}", channel=of))
        )

    def extremes(self) -> list[Markdown]:
        """What is recorded, and what clears it."""
        return [
            cells((self.extreme(one), self.write.text(one.resets), self.write.text(one.about)))
            for one in (self.instrument.extremes or {}).values()
        ]
