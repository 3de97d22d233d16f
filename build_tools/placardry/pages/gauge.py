"""The gauge strip of a scale: its bands true to scale, each cut point a link to the register.

Colour is never alone (WCAG 2.2, 1.4.1): yellow is barred, a red arc struck through, a red line
stands out and what lies beyond it is grey; the caption says what each means.
"""

from __future__ import annotations

import html
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from placardry.book.figures import Scale
from placardry.figures import Figure
from placardry.pages.inline import Inline, Markdown
from placardry.pages.marking import Marking, Numeral, marking
from placardry.pages.strip_labels import ROW_PX, Placed, arranged, width_px
from placardry.pages.unit_choice import marked
from placardry.stated.limits import SAFETY
from placardry.wording.phrases import Phrase, joined, plain, sentence, title_of
from placardry.wording.unit_sides import sides

BAND_PX = 24
OVER_PX = 5  # by which a red line stands out of the bands
KEY_PX = 26, 14
BEYOND = Fraction(7, 20)  # how much is shown past the outer cuts, as a share of the way between
BASELINE_PX = 5  # below the middle of a line of type

_Printed = tuple[Numeral, str, str, Placed]  # what, its unit, its glyphs, its place


def strip(write: Inline, scale: Scale) -> Markdown:
    """The strip with its caption, as one block of HTML; empty for a scale without a cut point."""
    marks = marking(write.speaker, scale)
    if not marks.numerals:
        return Markdown("")
    lines = [
        '<figure class="gauge">',
        _caption(write, scale, marks),
        *_Drawing(write, marks).elements(),
        "<p>",
        *_keys(write, marks),
        "</p>",
        "</figure>",
    ]
    return Markdown("\n".join(lines))


def strips(write: Inline, parameters: Collection[str]) -> list[Markdown]:
    """The strips of all scales of these parameters."""
    scales = write.speaker.manual.of(Scale).values()
    return [strip(write, one) for one in scales if one.parameter in parameters]


class _Drawing:
    """One strip as SVG. Units: along it percent of its width, so that type keeps its size."""

    def __init__(self, write: Inline, marks: Marking) -> None:
        self.write = write
        self.marks = marks
        ends = [one.at for one in marks.numerals]
        ends += [at for band in marks.bands for at in (band.low, band.high) if at is not None]
        margin = BEYOND * ((max(ends) - min(ends)) or 1)
        self.low, self.high = min(ends) - margin, max(ends) + margin
        below, *above = _units(marks.numerals[0].figure, write)
        self.below = self._row(below)
        self.above = self._row(*above[:1])
        self.top = OVER_PX + _height(self.above)

    def _row(self, *units: str) -> list[_Printed]:
        """Every numeral in a unit, and where it stands; none without a unit."""
        language = self.write.speaker.language
        printed = [
            (one, unit, one.text(unit, language)) for unit in units for one in self.marks.numerals
        ]
        places = arranged((self.at(one.at) / 100, width_px(text)) for one, _, text in printed)
        return [(*one, placed) for one, placed in zip(printed, places, strict=True)]

    def at(self, value: Fraction) -> float:
        """Where a value lies."""
        return float(100 * (value - self.low) / (self.high - self.low))

    def elements(self) -> Iterator[str]:
        """The parts from the back to the front, then the numerals."""
        bottom = self.top + BAND_PX
        height = bottom + OVER_PX + _height(self.below)
        said = html.escape(_in_words(self.write, self.marks))
        yield f'<svg width="100%" height="{height}" role="group" aria-label="{said}">'
        yield _across("track", 0, 100, self.top + BAND_PX / 2, 1)
        # A range to be avoided lies over the band that it is in.
        for band in sorted(self.marks.bands, key=lambda band: band.colour == "avoid"):
            left = 0 if band.low is None else self.at(band.low)
            right = 100 if band.high is None else self.at(band.high)
            yield from _band(band.colour, left, right, self.top, BAND_PX)
            if band.low is None:
                yield _pointed(0, self.top)
            if band.high is None:
                yield _pointed(100, self.top)
        for line in self.marks.lines:
            at = self.at(line.at)
            left, right = (at, 100.0) if line.beyond == "above" else (0.0, at)
            yield _across("beyond", left, right, self.top + BAND_PX / 2, BAND_PX)
            yield _upright("limit", at, self.top - OVER_PX, bottom + OVER_PX)
        yield from self._numerals(self.below, bottom, 1)
        yield from self._numerals(self.above, self.top, -1)
        yield "</svg>"

    def _numerals(self, row: Sequence[_Printed], edge: float, way: int) -> Iterator[str]:
        """Each numeral as a link to the register, and the line from the bands' edge to it."""
        for one, unit, words, placed in row:
            middle = OVER_PX + ROW_PX * (placed.row + 0.5)
            far = middle - (ROW_PX / 3 if placed.anchor == "middle" else -ROW_PX / 4)
            at = self.at(one.at)
            side = marked([sides(one.figure, self.write.speaker.manual).get(unit)])
            yield _upright(f"leader {side}".strip(), at, *sorted((edge, edge + way * far)))
            text = (
                f'<text x="{at:.2f}%" y="{edge + way * middle + BASELINE_PX:g}" '
                f'dx="{placed.nudge_px}" text-anchor="{placed.anchor}">{html.escape(words)}</text>'
            )
            yield _link(self.write, one.figure, text, side)


def _units(figure: Figure, write: Inline) -> list[str]:
    """The unit printed below the bands, and the one above: of the other side, if it has two."""
    first, *more = figure.shown
    side = sides(figure, write.speaker.manual)
    return [first, *(unit for unit in more if not side or side[unit] != side[first])]


def _height(row: Sequence[_Printed]) -> int:
    return ROW_PX * max((placed.row + 1 for *_, placed in row), default=0)


def _band(colour: str, left: float, right: float, top: float, height: float) -> Iterator[str]:
    """A band, and the sign by which it is known without its colour."""
    yield (
        f'<rect class="{colour}" x="{left:.2f}%" y="{top:g}" width="{right - left:.2f}%" '
        f'height="{height:g}"/>'
    )
    if colour == "yellow":
        yield _across("bars", left, right, top + height / 2, height)
    elif colour == "avoid":
        yield _across("strike", left, right, top + height / 2, 4)


def _pointed(x: int, top: float) -> str:
    """The point of a band with an open end."""
    in_ = BAND_PX / 2 if x == 0 else -BAND_PX / 2
    out = -2 if x == 0 else 2
    corners = f"M{in_:g} -1L0 {BAND_PX / 2:g}L{in_:g} {BAND_PX + 1}H{out}V-1Z"
    edge = f"M{in_:g} 0L0 {BAND_PX / 2:g}L{in_:g} {BAND_PX}"
    return (
        f'<svg x="{x}%" y="{top:g}" overflow="visible">'
        f'<path class="page" d="{corners}"/><path class="edge" d="{edge}"/></svg>'
    )


def _across(name: str, left: float, right: float, y: float, width: float) -> str:
    return (
        f'<line class="{name}" x1="{left:.2f}%" x2="{right:.2f}%" y1="{y:g}" y2="{y:g}" '
        f'stroke-width="{width:g}"/>'
    )


def _upright(name: str, x: float, top: float, bottom: float) -> str:
    return f'<line class="{name}" x1="{x:.2f}%" x2="{x:.2f}%" y1="{top:g}" y2="{bottom:g}"/>'


def _in_words(write: Inline, marks: Marking) -> str:
    """The colours from the lowest on; no figures, for those are heard as links."""
    lowest = marks.numerals[0].at - 1
    found = [(lowest if one.low is None else one.low, 1, one.colour) for one in marks.bands]
    found += [(one.at, 0, "red") for one in marks.lines]  # a band begins behind its line
    said = [write.speaker.words[f"colour.{colour}"] for *_, colour in sorted(found)]
    return f"{write.speaker.words['gauge.order']} {', '.join(said)}"


def _caption(write: Inline, scale: Scale, marks: Marking) -> str:
    """What the strip is of, and when it holds."""
    speaker = write.speaker
    name = scale.name or title_of(speaker.manual.records["parameter"][scale.parameter])
    held = next(speaker.held(one.figure) for one in marks.numerals if one.end)
    said = _html(write, sentence(speaker.text(name)))
    return f"<figcaption><strong>{said}</strong>{_html(write, held)}</figcaption>"


def _keys(write: Inline, marks: Marking) -> Iterator[str]:
    """What each colour of a strip means; of a range to be avoided also which, and when."""
    whole = [one.figure for one in marks.numerals if not one.end]
    colours = {band.colour for band in marks.bands} | {"red" for _ in marks.lines}
    for colour in sorted(colours, key=list(SAFETY).index):
        words: Phrase = plain(write.speaker.words[f"colour.{colour}"])
        named = [_named(write, words, one) for one in whole] if colour == "avoid" else []
        for phrase in named or [words]:
            yield f"<span>{_key(colour)} {_html(write, phrase)}</span>"


def _named(write: Inline, words: Phrase, figure: Figure) -> Phrase:
    """A range to be avoided by its name, and when it holds."""
    name = write.speaker.text(figure.record.name or "")
    return joined([sentence(name), words, write.speaker.held(figure)[1:]], ", ")


def _key(colour: str) -> str:
    """A small piece of the strip in this colour."""
    width, height = KEY_PX
    drawn = _band(colour, 0, 100, 0, height)
    if colour == "red":
        drawn = iter(
            (_across("beyond", 30, 100, height / 2, height), _upright("limit", 30, 0, height))
        )
    return f'<svg width="{width}" height="{height}" aria-hidden="true">{"".join(drawn)}</svg>'


def _html(write: Inline, phrase: Phrase) -> str:
    """A phrase as HTML; what is no figure is words alone."""
    said = ((run, html.escape(" ".join(run.text.split("\n")), quote=False)) for run in phrase)
    return "".join(_link(write, run.figure, text) if run.figure else text for run, text in said)


def _link(write: Inline, figure: Figure, inside: str, name: str = "") -> str:
    """A link to the register, as MkDocs would write it: it leaves those in HTML alone."""
    href = write.to(*write.places.register(figure)).replace(".md#", ".html#")
    named = f' class="{name}"' if name else ""
    return f'<a href="{href}"{named}>{inside}</a>'
