"""Paper against what standards and handbooks ask of it; each row of data names its source."""

from __future__ import annotations

import re
import struct
from itertools import pairwise
from pathlib import Path

import pytest
import wcag_contrast_ratio as wcag

from placardry.book.cards import Card
from placardry.paper.sizes import faces
from tests import faces as book
from tests import printed
from tests.reference.rows import Row, rows

PACKAGE = Path(__file__).parents[2] / "build_tools" / "placardry"
INK = (PACKAGE / "paper" / "ink.typ").read_text(encoding="utf-8")
FONT = (PACKAGE / "assets" / "fonts" / "Inter-Bold.ttf").read_bytes()


def fraction(hex_colour: str) -> tuple[float, ...]:
    return tuple(int(hex_colour[at : at + 2], 16) / 255 for at in (0, 2, 4))


def contrast(one: str, other: str) -> float:
    return float(wcag.rgb(fraction(one), fraction(other)))


def limits(topic: str, part: str) -> list[float]:
    """The figures of the one row of a topic whose input begins so."""
    found = [row for param in rows(topic) for row in param.values if isinstance(row, Row)]
    (row,) = (row for row in found if row.input.startswith(part))
    return [float(one) for one in re.findall(r"[\d.]+", row.expected)]


def limit(topic: str, part: str) -> float:
    """The first of the figures."""
    return limits(topic, part)[0]


def colours() -> list[tuple[str, str, str]]:
    """Name, colour and the colour of its letters for every signal word."""
    names = {"white": "ffffff", "black": "000000"}
    found = re.findall(r'(\w+): \(fill: rgb\("#(\w{6})"\), ink: (\w+)\)', INK)
    return [(name, fill, names[ink]) for name, fill, ink in found]


def x_height(font: bytes) -> float:
    """The height of the letter x in parts of the size: OS/2 `sxHeight` over head `unitsPerEm`."""
    tables = {}
    for at in range(struct.unpack_from(">H", font, 4)[0]):
        tag, _, offset, _ = struct.unpack_from(">4sIII", font, 12 + 16 * at)
        tables[tag] = offset
    height = struct.unpack_from(">h", font, tables[b"OS/2"] + 86)[0]
    units = struct.unpack_from(">H", font, tables[b"head"] + 18)[0]
    return float(height / units)


@pytest.mark.parametrize("row", rows("paper"))
def test_paper_sizes(row: Row) -> None:
    width, height = (int(side) for side in row.expected.split(" x "))
    upright, lying = faces()[f"{row.input} portrait"], faces()[f"{row.input} landscape"]
    assert (upright.width, upright.height) == (width, height)
    assert (lying.width, lying.height) == (height, width)


def test_a6_is_half_of_a5() -> None:
    # ISO 216, 3.1: the next size is half of the one before, cut across its longer side.
    a5, a6 = faces()["A5 portrait"], faces()["A6 portrait"]
    assert (a6.width, a6.height) == (a5.height // 2, a5.width)


@pytest.mark.parametrize("row", rows("contrast"))
def test_the_contrast_that_we_measure_with(row: Row) -> None:
    assert contrast(*row.input.split("/")) == pytest.approx(
        float(row.expected), abs=float(row.tolerance)
    )


@pytest.mark.parametrize(("name", "fill", "ink"), colours())
def test_signal_words_can_be_read(name: str, fill: str, ink: str) -> None:
    assert contrast(fill, ink) >= limit("contrast-limit", "normal text AA")


def test_there_is_a_colour_for_each_signal_word() -> None:
    # ANSI Z535.4 4.14: danger red, warning orange, caution yellow, notice blue.
    hues = {name: fraction(fill) for name, fill, _ in colours()}
    assert list(hues) == ["danger", "warning", "caution", "notice"]
    red, green, blue = hues["danger"]
    assert red > 3 * green
    assert red > 3 * blue
    assert hues["warning"][0] > hues["warning"][1] > hues["warning"][2]
    assert hues["warning"][1] < hues["caution"][1]
    assert hues["notice"][2] > hues["notice"][1] > hues["notice"][0]


def test_quiet_words_can_be_read() -> None:
    (level,) = re.findall(r"#let quiet = luma\((\d+)\)", INK)
    shade = f"{int(level):02x}" * 3
    assert contrast(shade, "ffffff") >= limit("contrast-limit", "normal text AA")


def test_the_draft_mark_leaves_the_words_readable() -> None:
    face = (PACKAGE / "paper" / "face.typ").read_text(encoding="utf-8")
    (level,) = re.findall(r"fill: luma\((\d+)\), tracking", face)
    shade = f"{int(level):02x}" * 3
    (quiet,) = re.findall(r"#let quiet = luma\((\d+)\)", INK)
    for words in ("000000", f"{int(quiet):02x}" * 3):
        assert contrast(shade, words) >= limit("contrast-limit", "normal text AA")


@pytest.mark.parametrize("size", [name for name in faces() if name.startswith("A")])
def test_type_sizes_of_cards(size: str) -> None:
    face = faces()[size]
    wanted, least = limits("typography", "body")
    assert face.body[0] >= wanted
    assert face.body[1] >= least
    assert min(face.heading, face.title) >= limits("typography", "headings")[1]


def test_labels_are_never_smaller_than_7_points() -> None:
    # Common practice, no source: a label is read with a finger on it.
    for face in faces().values():
        assert min(face.body[1], face.footer, face.heading, face.title) >= 7


def test_the_numerals_of_limits_are_tall_enough() -> None:
    """The x-height of important text, on the smallest type that a card may have."""
    least_mm = limit("typography", "x-height") * 25.4
    (scale,) = re.findall(
        r"numerals\(row, s\) = text\(size: ([\d.]+) \* s",
        (PACKAGE / "paper" / "face.typ").read_text(encoding="utf-8"),
    )
    smallest = min(face.body[1] for name, face in faces().items() if name.startswith("A"))
    assert x_height(FONT) * float(scale) * smallest * 25.4 / 72 >= least_mm - 0.01


def test_lines_are_far_enough_apart() -> None:
    """The pitch of lines measured on a printed card, in parts of the size of type."""
    words = "In the long text of a card nobody must lose the line that he has begun to read. " * 4
    pdf = book.printed("A6 portrait", f'[{{text: "{words}"}}]')
    body = [glyph for glyph in printed.glyphs(pdf)[0] if glyph.char == "n"]
    size = max({one.size for one in body}, key=[one.size for one in body].count)
    feet = sorted({round(glyph.bottom, 1) for glyph in body if glyph.size == size})
    pitches = [(below - above) / size for above, below in pairwise(feet)]
    least, most = (1 + percent / 100 for percent in limits("typography", "line spacing"))
    assert pitches
    assert all(least <= pitch <= most for pitch in pitches)


def test_no_type_on_a_card_is_smaller_than_its_face_allows() -> None:
    speaker = book.usual()
    for card in speaker.manual.of(Card).values():
        pdf, _ = book.printed_card(speaker, card.id)
        assert pdf is not None
        face = faces()[card.size]
        sizes = {glyph.size for glyph in printed.glyphs(pdf)[0]} - {face.footer, 8}  # the code
        assert min(sizes) >= min(10, face.body[1]) - 0.01
