"""What a gauge strip is drawn with: its marks, and whatever a strip is not written with."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

_PRECISION = 0.011  # places and widths are written with two decimals
_TEXT = ("href", "class")
_DATE = ("style",)  # a date is kept on one line
_LINE = ("class", "x1", "x2", "y1", "y2", "stroke-width")
_RECT = ("class", "x", "y", "width", "height")
# Every element that a strip is written with by the one that it stands in, and its attributes; an
# svg in a key is a `sample`, one in the strip a `point`. All else could hide a mark, move it or
# lie over it.
_WRITTEN: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("figure", "figcaption"): (),
    ("figure", "svg"): ("width", "height", "role", "aria-label"),
    ("figure", "p"): (),
    ("figcaption", "strong"): (),
    ("figcaption", "a"): _TEXT,
    ("figcaption", "span"): _DATE,
    ("strong", "a"): _TEXT,
    ("strong", "span"): _DATE,
    ("p", "span"): (),
    ("span", "sample"): ("width", "height", "aria-hidden"),
    ("span", "a"): _TEXT,
    ("span", "span"): _DATE,
    ("sample", "line"): _LINE,
    ("sample", "rect"): _RECT,
    ("svg", "line"): _LINE,
    ("svg", "rect"): _RECT,
    ("svg", "point"): ("x", "y", "overflow"),
    ("svg", "a"): _TEXT,
    ("point", "path"): ("class", "d"),
    ("a", "text"): ("x", "y", "dx", "text-anchor"),
    ("a", "span"): _DATE,
}
_VALUES = {
    ("a", "class"): "unit-(own|other)",
    ("path", "class"): "page|edge",
    ("path", "d"): r"([MLHVZ ]|-?[12]?[0-9](?![0-9.]))+",  # no farther than a band is high
    ("span", "style"): "white-space:nowrap",
    ("svg", "width"): "100%",
    ("point", "overflow"): "visible",
    ("text", "dx"): "-?[0-9]",
    ("text", "text-anchor"): "start|middle|end",
}
_SVG = {"span": "sample", "svg": "point"}
_MARKS = ("rect", "line")
_LEADERS = ("leader", "leader unit-own", "leader unit-other")
_HIDING = frozenset(["style", "hidden"])
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")


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
        return near(self.left, other.left) and near(self.right, other.right)


def drawn(strip: LexborNode) -> Iterator[Mark]:
    """All that is drawn but numerals and the lines to them."""
    for node in strip.css("rect, line"):
        own = list(_own(node))
        name = " ".join([name_of(node), *own])
        if node.tag == "rect":
            left = share(node, "x")
            yield Mark(name, left, left + share(node, "width"))
        elif name not in _LEADERS:
            yield Mark(name, share(node, "x1"), share(node, "x2"))
    for node in strip.css("svg svg"):
        yield Mark("point", share(node, "x"), share(node, "x"))


def foreign(figure: LexborNode) -> Iterator[str]:
    """What a strip is not written with, but for the looks of its marks, which `drawn` tells."""
    if figure.tag != "figure":
        yield f"a {figure.tag} around it"
    if name_of(figure) != "gauge":
        yield "a class of its own"
    around: LexborNode | None = figure
    while around is not None:
        keys = set(around.attributes) - {"class"} if around is figure else _HIDING
        yield from (f"a {key} around it" for key in sorted(keys) if key in around.attributes)
        around = around.parent
    yield from _foreign_in(figure)


def _foreign_in(parent: LexborNode) -> Iterator[str]:
    for node in parent.iter():
        home, kind = _kind(parent), _kind(node)
        if kind in _MARKS and home != "sample":
            pass  # told as a mark
        elif (home, kind) not in _WRITTEN:
            yield f"a {node.tag} of its own"
            continue
        else:
            yield from (f"a {kind} {own}" for own in _own(node, home))
        yield from _foreign_in(node)


def _own(node: LexborNode, home: str = "svg") -> Iterator[str]:
    """The attributes of an element that a strip does not give it, or not so."""
    kind = _kind(node)
    known = _WRITTEN.get((home, kind), ())
    for key, value in node.attributes.items():
        right = _VALUES.get((kind, key))
        if key not in known or (right and not re.fullmatch(right, value or "")):
            yield f"with a {key} of its own"


def _kind(node: LexborNode) -> str:
    tag, parent = node.tag or "", node.parent
    return _SVG.get((parent.tag if parent else "") or "", tag) if tag == "svg" else tag


def upright(node: LexborNode) -> tuple[float, float]:
    """From where to where a band reaches from above, in pixels."""
    if node.tag == "rect":
        top = number(node, "y")
        return top, top + number(node, "height")
    middle, half = number(node, "y1"), number(node, "stroke-width") / 2
    return middle - half, middle + half


def name_of(node: LexborNode) -> str:
    """The class by which a mark is known."""
    return node.attributes.get("class") or ""


def share(node: LexborNode, name: str) -> float:
    """A place or a width in percent; −1 where it is not written so."""
    text = node.attributes.get(name) or ""
    return _read(text.removesuffix("%")) if text.endswith("%") else -1.0


def number(node: LexborNode, name: str) -> float:
    """A number of pixels; −1 where it is none."""
    return _read(node.attributes.get(name) or "")


def _read(text: str) -> float:
    return float(text) if _NUMBER.fullmatch(text) else -1.0


def near(one: float, other: float) -> bool:
    """Whether two places are the same, but for how they are written."""
    return abs(one - other) <= _PRECISION
