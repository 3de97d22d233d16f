"""Gauge strips by their drawing: bands, red lines and numerals, each where its row says.

A strip is true to scale along its width, in percent: the outermost of what it marks stand 7/20 of
the way between them from its ends. Source: common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from placardry.audit.claims import Piece, plain
from placardry.audit.register import Ends, Entry
from placardry.audit.told import GAUGE, Told, tell
from placardry.finding import Span
from placardry.recognise import ends_in, quantities

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

_MEND = "build the manual again; change the scale in the book alone"
_STRIP = re.compile(rb"<figure\b[^>]*\bclass=\"[^\"]*\bgauge\b")
_COLOUR = re.compile(r"green|yellow|red")
_BEYOND = Fraction(7, 20)
_WRITTEN = 0.011  # places and widths are written with two decimals
# What lies over a band, so that it is known without its colour (WCAG 2.2, 1.4.1).
_OVER = {"yellow": "bars", "avoid": "strike"}
_OWN_LOOK = ("style", "fill", "stroke", "opacity", "transform", "visibility", "display")
_TALL = frozenset(["green", "yellow", "avoid", "bars", "beyond", ""])
_LINES = ("maximum", "minimum")
Fault = tuple[str, str, str]  # figure, found, expected


@dataclass(frozen=True, slots=True)
class Mark:
    """What is drawn, from where to where in percent; `figure` is the row that it is of."""

    name: str
    left: float
    right: float
    figure: str = ""

    def __str__(self) -> str:
        return f"{self.name or 'colourless'} {self.left:.2f}% to {self.right:.2f}%"

    def lies_at(self, other: Mark) -> bool:
        """Whether it lies where the other one does, but for how places are written."""
        return _near(self.left, other.left) and _near(self.right, other.right)


def judged(path: str, data: bytes, entries: Mapping[str, Entry], language: str) -> Iterator[Told]:
    """What is wrong with the strips of a page; its figures must be right."""
    from selectolax.lexbor import LexborHTMLParser

    starts = [found.start() for found in _STRIP.finditer(data)]
    if not starts:
        return
    page = LexborHTMLParser(data.decode("utf-8", "replace"))
    for start, figure in zip(starts, page.css("figure.gauge"), strict=False):
        line = data.count(b"\n", 0, start) + 1
        for name, found, expected in _Strip(figure, entries, language).faults():
            message = f"the gauge strip of `{name}` has {found or 'nothing'} where its figures "
            message += f"give {expected or 'nothing'}"
            yield tell(GAUGE, Span(path, line, 1, line, 1), message, _MEND, name, found, expected)


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

    def faults(self) -> Iterator[Fault]:
        """What is not as the figures say."""
        drawn = self.figure.css_first("svg")
        if drawn is None or not self.rows:
            return
        found = list(_drawn(drawn))
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
            yield from self._upright(drawn)
        yield from self._numbered(drawn)
        yield from self._heard(drawn)

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

    def _upright(self, drawn: LexborNode) -> Iterator[Fault]:
        """Bands of one height, side by side, and red lines at least as high."""
        bands = drawn.css("rect, line")
        places = Counter(_upright(one) for one in bands if _name(one) in _TALL).most_common()
        if len(places) > 1:
            yield self.rows[0].anchor, "bands of several heights", "one height"
        top, bottom = places[0][0]
        for one in drawn.css("line.limit"):
            ends = _number(one, "y1"), _number(one, "y2")
            if ends[0] > top or ends[1] < bottom:
                x = _number(one, "x1")
                near = min((abs(self._place(row)[0] - x), row.kind not in _LINES, row.anchor)
                           for row in self.rows)  # fmt: skip
                yield near[2], "a red line lower than the bands", "a higher one"

    def _numbered(self, drawn: LexborNode) -> Iterator[Fault]:
        """Numerals, and the lines that lead to them, where their values lie."""
        places = []
        for row, text in self.numerals:
            if row is None or text is None:
                continue
            value = self._value(row, text.text())
            ends = self._ends(row).values() if value is None else [value]
            own = [self._at(end) for end in ends]
            places += own
            words, x = " ".join(text.text().split()), _number(text, "x")
            if not any(_near(x, right) for right in own):
                right = " or ".join(f"{place:.2f}%" for place in own)
                yield row.anchor, f"{words} at {x:.2f}%", f"{words} at {right}"
        for one in drawn.css("line.leader"):
            x = _number(one, "x1")
            if not _near(x, _number(one, "x2")) or not any(_near(x, right) for right in places):
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

    def _heard(self, drawn: LexborNode) -> Iterator[Fault]:
        """What is heard: the colours from the lowest on, each in the words of its key."""
        keys: dict[str, str] = {}
        for key in self.figure.css("p > span"):
            shown = key.css_first("rect") or key.css_first("line.limit")
            if shown is not None:
                keys.setdefault(_name(shown).replace("limit", "red"), plain(key.text()))
        label = drawn.attributes.get("aria-label") or ""
        heard = [one.strip() for one in label.partition(":")[2].split(",")]
        rows = sorted(self.rows, key=self._place)
        colours = ["red" if row.kind in _LINES else _colour(row) for row in rows]
        right = [keys.get(colour, "") for colour in colours]
        if len(heard) != len(rows):
            yield rows[0].anchor, ", ".join(heard), ", ".join(right)
            return
        for row, said, words in zip(rows, heard, right, strict=True):
            if plain(said) not in words:
                yield row.anchor, said, words

    def _place(self, row: Entry) -> tuple[float, int, str]:
        """Where a row comes from the lowest on: a band begins behind its line."""
        ends, is_line = self._ends(row), row.kind in _LINES
        start = next(iter(ends.values())) if is_line else ends.get("low", self.low)
        return self._at(start), 0 if is_line else 1, _colour(row)


def _colour(row: Entry) -> str:
    found = _COLOUR.search(row.part)
    is_avoided = row.kind == "avoid" or (found is not None and found[0] == "red")
    return "avoid" if is_avoided else found[0] if found else ""


def _drawn(strip: LexborNode) -> Iterator[Mark]:
    """All that is drawn but numerals, lines to them, and the points of open ends."""
    for node in strip.css("rect, line, circle, ellipse, polygon, polyline, image, use"):
        own = [f"with a {key} of its own" for key in _OWN_LOOK if node.attributes.get(key)]
        name = " ".join([_name(node) if node.tag in ("rect", "line") else node.tag or "", *own])
        if name.split()[:1] == ["leader"] and not own:
            continue
        if node.tag == "rect":
            left = _number(node, "x")
            yield Mark(name, left, left + _number(node, "width"))
        else:
            yield Mark(name, _number(node, "x1"), _number(node, "x2"))


def _upright(node: LexborNode) -> tuple[float, float]:
    """From where to where a band reaches from above, in pixels."""
    if node.tag == "rect":
        top = _number(node, "y")
        return top, top + _number(node, "height")
    middle, half = _number(node, "y1"), _number(node, "stroke-width") / 2
    return middle - half, middle + half


def _name(node: LexborNode) -> str:
    return node.attributes.get("class") or ""


def _anchor(link: LexborNode) -> str:
    return Piece("", link.attributes.get("href") or "").anchor


def _number(node: LexborNode, name: str) -> float:
    try:
        return float((node.attributes.get(name) or "").removesuffix("%"))
    except ValueError:
        return -1.0


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= _WRITTEN
