"""From phrases and author text to Markdown in which nothing that an author typed is markup.

Every sign of a run that Markdown could read is written as a numeric entity; a backslash would
fail in table cells. A figure becomes a link to its row in the register, which is its identity.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import groupby

from placardry.figures import Figure
from placardry.links import Link
from placardry.pages.places import REGISTER, Places
from placardry.pages.unit_choice import INSTEAD, marked
from placardry.references import Bad, Reference, pieces
from placardry.wording.phrases import Phrase, Run, Speaker, plain, sentence, spoken
from placardry.wording.unit_sides import Side, sides


class Markdown(str):
    """Text that is Markdown already; a template escapes every other."""

    __slots__ = ()


# Signs that begin or end markup anywhere in a line, and spaces that an editor would lose.
_SIGNS = re.compile(r"[&<>\\`*_\[\]{}|~#!\u202f]")
# What begins a list, a rule or an underlined heading, but only at the beginning of a line.
_START = re.compile(r"^(?:[-+=]|\d+(?=[.)](?: |$)))")
_CODE = re.compile(r"((?<!`)(`+)(?!`).+?(?<!`)\2(?!`))")


def escaped(text: str) -> Markdown:
    """Plain words as Markdown that reads the same, on one line."""
    words = re.sub(r"[ \t\r\n]+", " ", text)
    words = _SIGNS.sub(lambda sign: f"&#{ord(sign[0])};", words)
    words = _START.sub(lambda start: f"&#{ord(start[0][0])};{start[0][1:]}", words)
    return Markdown(words.replace("\u00a0", "&nbsp;"))


class Inline:
    """Writes the phrases and texts of one manual for one of its pages.

    Attributes:
        page: the path of the page, which links are relative to
    """

    def __init__(self, speaker: Speaker, places: Places, page: str) -> None:
        self.speaker = speaker
        self.places = places
        self.page = page

    @property
    def is_register(self) -> bool:
        """Whether this is the page that always shows a figure in all its units."""
        return self.page == REGISTER

    # What templates call

    def phrase(self, phrase: Iterable[Run]) -> Markdown:
        """A phrase; runs that are alike share their emphasis."""
        alike = groupby(phrase, key=lambda run: (run.figure, run.link, run.style))
        merged = (
            replace(run, text=run.text + spoken(more)) if more else run for _, (run, *more) in alike
        )
        return Markdown("".join(self._run(run) for run in merged).strip(" "))

    def text(self, text: str | None) -> Markdown:
        """An author's text with its references said; empty for None."""
        return self.phrase(self.speaker.text(text)) if text else Markdown("")

    def start(self, text: str) -> Markdown:
        """An author's text as the beginning of a sentence."""
        return self.phrase(sentence(self.speaker.text(text)))

    def word(self, key: str) -> Markdown:
        """Words of our own, by their key in the table of words."""
        return escaped(self.speaker.words[key])

    def say(self, key: str, **slots: Markdown) -> Markdown:
        """Words of our own with their slots filled by Markdown."""
        pieces_ = self.speaker.words.pieces(key)
        return Markdown("".join(slots[text] if slot else escaped(text) for text, slot in pieces_))

    def name(self, kind: str, id: str, part: str | None = None) -> Markdown:
        """The name of a record, as a link to where it stands."""
        return self.phrase(self.speaker.name(Link(kind, id, part)))

    def figure(self, id: str, part: str | None = None, unit: str | None = None) -> Markdown:
        """A figure in one unit, with its words and without its condition; empty if there is none.

        For places where the condition stands beside it.
        """
        figure = self.speaker.figures.get((id, part or ""))
        if figure is None or (unit is not None and unit not in figure.shown):
            return Markdown("")
        return self.phrase(self.speaker.bare(figure, unit))

    def all_units(self, figure: Figure) -> Markdown:
        """A figure in every unit that the market shows, with its condition behind it.

        An alarm has no condition of its own: it is said with the limit that it stands before.
        """
        said = self.each_unit(figure)
        if held := self.phrase(self.speaker.held(figure)):
            said = Markdown(f"{said} {held}")
        id, _, part = (figure.guards or "").partition(".")
        limit = self.speaker.figures.get((id, part))
        return self.say("alarm.before", figure=said, limit=self.all_units(limit)) if limit else said

    def each_unit(self, figure: Figure) -> Markdown:
        """A figure in every unit, without its condition; marked where a reader may hide a unit."""
        side = {} if self.is_register else sides(figure, self.speaker.manual)
        said = ""
        last: Side | None = None
        for unit in figure.shown:
            here = side.get(unit)
            if said:
                said += _hidden(" · ", last, here)
            said += _hidden(self.phrase(self.speaker.bare(figure, unit)), here)
            last = here
        return Markdown(said)

    def link(self, words: str, path: str, anchor: str = "") -> Markdown:
        """Words as a link to a page of the manual."""
        return Markdown(f"[{escaped(words)}]({self.to(path, anchor)})")

    def to(self, path: str, anchor: str = "") -> Markdown:
        """The address of a page, or of a place on it, from this page."""
        relative = _relative(path, posixpath.dirname(self.page))
        return Markdown(f"{relative}#{anchor}" if anchor else relative)

    # Runs

    def _run(self, run: Run) -> str:
        if run.figure is not None:
            target = self.to(*self.places.register(run.figure))
            said = f"[{escaped(run.text)}]({target})"
            if self.is_register or not run.instead:
                return said
            own = f"{said}{{: .{marked(['own'])} }}"
            return f"{own}[ {escaped(run.instead)}]({target}){{: .{INSTEAD} }}"
        words = str(escaped(run.text))
        if run.style in ("label", "strong") and words.strip():
            words = f"**{words.strip()}**"
        elif run.style == "quotation":
            words = f"{self.word('marks.open')}{words}{self.word('marks.close')}"
        place = self.places.of(run.link) if run.link is not None else None
        if place is None or place == (self.page, ""):
            return words
        return f"[{words}]({self.to(*place)})"

    # Pages of prose

    def prose(self, markdown: str) -> Markdown:
        """An author's Markdown with its references said; tags and braces become plain signs.

        A reference inside of code is said as plain words, for code holds no links.
        """
        parts = _CODE.split(markdown)
        # The pattern has two groups: words, code, its fence, words, …
        said = [
            self._code(part) if at % 3 == 1 else self._words(part)
            for at, part in enumerate(parts)
            if at % 3 != 2
        ]
        return Markdown("".join(said))

    def _words(self, markdown: str) -> str:
        return "".join(
            self.phrase(piece) if isinstance(piece, tuple) else _defused(piece)
            for piece in self._pieces(markdown)
        )

    def _code(self, markdown: str) -> str:
        return "".join(
            spoken(piece) if isinstance(piece, tuple) else piece for piece in self._pieces(markdown)
        )

    def _pieces(self, markdown: str) -> Iterator[str | Phrase]:
        """The words as they stand, and each reference as the phrase that it reads."""
        for piece in pieces(markdown):
            if isinstance(piece, Reference):
                yield self.speaker.text(str(piece))
            elif isinstance(piece, Bad):
                yield plain(piece.text)
            else:
                yield piece


@lru_cache(maxsize=4096)
def _relative(path: str, folder: str) -> str:
    """The way from a folder of the manual to a page; both begin at its root."""
    return posixpath.relpath(f"/{path}", f"/{folder}")


def _hidden(said: str, *with_: Side | None) -> str:
    """What is hidden with these sides of a figure's units."""
    names = marked(with_)
    return f'<span class="{names}">{said}</span>' if names else said


def _defused(markdown: str) -> str:
    """An author's Markdown without what the fixed set does not hold.

    Tags, entities, braces (attributes stand in them), and the beginning of our own blocks.
    """
    return re.sub(r"[<&{}]|!(?=!!)", lambda sign: f"&#{ord(sign[0])};", markdown)
