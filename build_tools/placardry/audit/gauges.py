"""Gauge strips by their drawing: bands, red lines and numerals, each where its row says.

A strip is true to scale along its width, in percent: the outermost of what it marks stand 7/20 of
the way between them from its ends. Source: common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from placardry.audit.claims import Piece, plain
from placardry.audit.register import Ends, Entry
from placardry.audit.strip_marks import Mark, drawn, foreign, name_of, near, number, share, upright
from placardry.audit.told import GAUGE, Told, on_line, tell
from placardry.recognise import ends_in, quantities

if TYPE_CHECKING:
    from selectolax.lexbor import LexborHTMLParser, LexborNode

_MEND = "build the manual again; change the scale in the book alone"
_STRIP = re.compile(rb"<(figure|text)\b", re.I)
_FIGURE = re.compile(rb"<figure\b", re.I)
_COLOUR = re.compile(r"green|yellow|red|avoid")
_BEYOND = Fraction(7, 20)
_LEAST = 10  # pixels: what is lower is no band
# What lies over a band, so that it is known without its colour (WCAG 2.2, 1.4.1).
_OVER = {"yellow": "bars", "avoid": "strike"}
_TALL = frozenset(["green", "yellow", "avoid", "bars", "beyond", ""])
_LINES = ("maximum", "minimum")
Fault = tuple[str, str, str]  # figure, found, expected


def judged(path: str, data: bytes, entries: Mapping[str, Entry], language: str) -> Iterator[Told]:
    """What is wrong with the strips of a page; its figures must be right."""
    from selectolax.lexbor import LexborHTMLParser

    if not _STRIP.search(data):
        return
    page = LexborHTMLParser(data.decode("utf-8", "replace"))
    lines = [data.count(b"\n", 0, found.start()) + 1 for found in _FIGURE.finditer(data)]
    known = [one.mem_id for one in page.css("figure")]
    strips = [_Strip(one, entries, language) for one in _strips(page)]
    usual = _usual(one.words for one in strips)
    for strip in strips:
        at = known.index(strip.figure.mem_id) if strip.figure.mem_id in known else len(lines)
        line = lines[at] if at < len(lines) else 1
        for name, found, expected in strip.faults(usual):
            whose = f"the gauge strip of `{name}`" if name else "a gauge strip"
            message = f"{whose} has {found or 'nothing'} where its figures "
            message += f"give {expected or 'nothing'}"
            yield tell(GAUGE, on_line(path, line), message, _MEND, name, found, expected)


def _strips(page: LexborHTMLParser) -> Iterator[LexborNode]:
    """What holds a drawing with links to the register, whatever its class is; and empty strips."""
    said = set()
    for one in page.css("svg a, figure.gauge"):
        if one.tag == "a" and not _anchor(one):
            continue
        home = one
        around: LexborNode | None = one
        while around is not None and home.tag != "figure":
            home = around if around.tag in ("svg", "figure") else home
            around = around.parent
        if home.mem_id not in said:
            said.add(home.mem_id)
            yield home


def _usual(all_words: Iterable[Mapping[str, str]]) -> Mapping[str, str]:
    """By colour the words that most strips of a page have for it; by nothing those before all."""
    counted: dict[str, Counter[str]] = {}
    for words in all_words:
        for colour, said in words.items():
            counted.setdefault(colour, Counter())[said] += 1
    return {colour: said.most_common(1)[0][0] for colour, said in counted.items()}


class _Strip:
    """One strip, and what the register says of its scale and of the ranges to be avoided."""

    def __init__(self, figure: LexborNode, entries: Mapping[str, Entry], language: str) -> None:
        self.figure = figure
        self.language = language.partition("-")[0]
        links = figure.css("svg a")
        self.numerals = [(entries.get(_anchor(one)), one.css_first("text")) for one in links]
        own = [entry for entry, _ in self.numerals if entry]
        ids = {one.id for one in own}  # of a scale all bands, also those that print no numeral
        self.unit = next(iter(own[0].published), "") if own else ""
        self.rows = [
            one
            for one in entries.values()
            if one.id in ids and one.parameter == own[0].parameter and self._ends(one)
        ]
        ends = [end for row in self.rows for end in self._ends(row).values()] or [Fraction()]
        margin = _BEYOND * ((max(ends) - min(ends)) or 1)
        self.low, self.high = min(ends) - margin, max(ends) + margin

    def _ends(self, row: Entry) -> Ends:
        return row.published.get(self.unit, {})

    def _at(self, value: Fraction) -> float:
        return float(100 * (value - self.low) / (self.high - self.low))

    def faults(self, usual: Mapping[str, str]) -> Iterator[Fault]:
        """What is not as the figures say; `usual` are the words of the other strips."""
        svg = self.figure.css_first("svg")
        if svg is None or not self.rows:
            yield "", "no numeral that leads to a figure", "one"
            return
        yield from ((self.rows[0].anchor, one, "") for one in foreign(self.figure))
        found = list(drawn(svg))
        expected = [Mark("track", 0, 100), *(one for row in self.rows for one in self._marks(row))]
        for one in tuple(expected):
            same = next((o for o in found if o.name == one.name and o.lies_at(one)), None)
            if same is not None:
                expected.remove(one)
                found.remove(same)
        for one in expected:  # what lies in its place, else what is of its kind, was made of it
            alike = [o for o in found if o.name == one.name]
            made = ([o for o in found if o.lies_at(one)] or alike)[:1]
            found = [o for o in found if o not in made]
            yield one.figure, "".join(map(str, made)), str(one)
        for one in found:
            yield self.rows[0].anchor, str(one), ""
        if not expected and not found:
            yield from self._upright(svg)
        yield from self._numbered(svg)
        yield from self._heard(svg, usual)

    def _marks(self, row: Entry) -> Iterator[Mark]:
        """What a row of the register is drawn as."""
        ends = {name: self._at(value) for name, value in self._ends(row).items()}
        if row.kind in _LINES:
            at = next(iter(ends.values()))
            left, right = (at, 100.0) if row.kind == "maximum" else (0.0, at)
            yield Mark("beyond", left, right, row.anchor)
            yield Mark("limit", at, at, row.anchor)
            return
        colour = _colour(row)
        for name in (colour, *([_OVER[colour]] if colour in _OVER else ())):
            yield Mark(name, ends.get("low", 0), ends.get("high", 100), row.anchor)
        for end, at in (("low", 0), ("high", 100)):
            if end not in ends:
                yield Mark("point", at, at, row.anchor)

    def _upright(self, svg: LexborNode) -> Iterator[Fault]:
        """Bands of one height, side by side, and red lines at least as high."""
        bands = svg.css("rect, line")
        places = Counter(upright(one) for one in bands if name_of(one) in _TALL).most_common()
        top, bottom = places[0][0]
        if len(places) > 1 or any(number(one, "y") != top for one in svg.css("svg svg")):
            yield self.rows[0].anchor, "bands of several heights", "one height"
        elif bottom - top < _LEAST:
            yield self.rows[0].anchor, "bands without height", "a height"
        for one in svg.css("line.limit"):
            ends = number(one, "y1"), number(one, "y2")
            if ends[0] > top or ends[1] < bottom:
                x = share(one, "x1")
                near = min((abs(self._place(row)[0] - x), row.kind not in _LINES, row.anchor)
                           for row in self.rows)  # fmt: skip
                yield near[2], "a red line lower than the bands", "a higher one"

    def _numbered(self, svg: LexborNode) -> Iterator[Fault]:
        """Numerals, and the lines that lead to them, where their values lie."""
        places = []
        for row, text in self.numerals:
            if row is None or text is None:
                continue
            value = self._value(row, text.text())
            ends = self._ends(row).values() if value is None else [value]
            own = [self._at(end) for end in ends]
            places += own
            words, x = " ".join(text.text().split()), share(text, "x")
            if not any(near(x, right) for right in own):
                right = " or ".join(f"{place:.2f}%" for place in own)
                yield row.anchor, f"{words} at {x:.2f}%", f"{words} at {right}"
        for one in svg.css("line.leader"):
            x = share(one, "x1")
            if not near(x, share(one, "x2")) or not any(near(x, right) for right in places):
                yield self.rows[0].anchor, f"the line to a numeral at {x:.2f}%", ""

    def _value(self, row: Entry, text: str) -> Fraction | None:
        """In the strip's unit the end that a numeral is, of a range its middle; None if unread."""
        read = next(quantities(text, self.language), None)
        if read is None:
            return None
        given = ends_in(read.figure)
        published = row.published.get(next(iter(given.values())).unit.symbol, {})
        numbers = {one.value for one in given.values()}
        ends = [self._ends(row)[end] for end, value in published.items() if value in numbers]
        return sum(ends, Fraction()) / len(ends) if ends else None

    @property
    def words(self) -> Mapping[str, str]:
        """The words of each colour in its key; by nothing those that begin what is heard."""
        svg = self.figure.css_first("svg")
        label = (svg.attributes.get("aria-label") or "") if svg else ""
        said = {"": label.partition(":")[0]}
        for key in self.figure.css("p > span"):
            shown = key.css_first("rect") or key.css_first("line.limit")
            if shown is not None:
                said.setdefault(name_of(shown).replace("limit", "red"), plain(key.text()))
        return said

    def _heard(self, svg: LexborNode, usual: Mapping[str, str]) -> Iterator[Fault]:
        """What is heard: the colours from the lowest on, each in the words of its key."""
        keys = self.words
        for colour, words in keys.items():  # a range to be avoided has its name in its key
            if colour != "avoid" and words != usual[colour]:
                yield self.rows[0].anchor, words, usual[colour]
        heard = (svg.attributes.get("aria-label") or "").partition(":")[2].split(",")
        rows = sorted(self.rows, key=self._place)
        right = [keys.get("red" if row.kind in _LINES else _colour(row), "") for row in rows]
        if len(heard) != len(rows):
            yield rows[0].anchor, ", ".join(map(plain, heard)), ", ".join(right)
            return
        for row, said, words in zip(rows, map(plain, heard), right, strict=True):
            named = words.split(", ")[1:] if _colour(row) == "avoid" else ()
            if not said or (said != words and said not in named):
                yield row.anchor, said, words

    def _place(self, row: Entry) -> tuple[float, int, str]:
        """Where a row comes from the lowest on: a band begins behind its line."""
        ends, is_line = self._ends(row), row.kind in _LINES
        start = next(iter(ends.values())) if is_line else ends.get("low", self.low)
        return self._at(start), 0 if is_line else 1, _colour(row)


def _colour(row: Entry) -> str:
    found = _COLOUR.search(row.part)
    is_avoided = row.kind == "avoid" or (found is not None and found[0] in ("red", "avoid"))
    return "avoid" if is_avoided else found[0] if found else ""


def _anchor(link: LexborNode) -> str:
    return Piece("", link.attributes.get("href") or "").anchor
