"""Each touched card as pictures: before, after, and where they differ.

The difference is told by frames and by hatching too, so that nobody needs to see colours.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from placardry.paper.typesetter import drawn
from placardry.review.touched import Face

if TYPE_CHECKING:
    from PIL.Image import Image

PPI = 110
MOST_BYTES = 100_000  # small enough to stand in a comment
COLOURS = (64, 16, 8, 4)  # tried in turn until a picture is small enough
MOST_CARDS = 40  # more pictures than anybody looks at; the list of cards names them all

GONE = (160, 30, 20)
NEW = (0, 70, 160)
FRAME = (120, 60, 0)
GAP = 8  # pixels of agreement that part two places


@dataclass(frozen=True)
class Pictures:
    """A card before and after, each a PNG; None on the side that does not have it.

    Attributes:
        name: the name of their files: `MANUAL-CARD`
        places: how many framed places the difference has
    """

    name: str
    title: str
    before: bytes | None
    after: bytes | None
    difference: bytes | None
    places: int

    @property
    def files(self) -> dict[str, bytes]:
        """The pictures by their path beside the report."""
        named = (("before", self.before), ("after", self.after), ("difference", self.difference))
        return {f"cards/{self.name}-{what}.png": data for what, data in named if data}


def pictures(faces: Iterable[Face]) -> tuple[Pictures, ...]:
    """The pictures of the first of these faces; no more than anybody looks at."""
    return tuple(_pictures(face) for face in list(faces)[:MOST_CARDS])


def _pictures(face: Face) -> Pictures:
    sides = [
        drawn("card.typ", data, PPI) if data is not None else None
        for data in (face.before, face.after)
    ]
    opened = [_opened(data) if data else None for data in sides]
    difference, places = _difference(*opened)
    before, after, differing = (
        _small(one) if one is not None else None for one in (*opened, difference)
    )
    name = f"{face.manual}-{face.card}"
    return Pictures(name, face.title, before, after, differing, places)


def _opened(data: bytes) -> Image:
    from PIL import Image

    picture = Image.open(io.BytesIO(data)).convert("RGBA")
    paper = Image.new("RGBA", picture.size, "white")
    paper.alpha_composite(picture)
    return paper.convert("RGB")


def _small(picture: Image) -> bytes:
    """The picture as a PNG of at most `MOST_BYTES`: with fewer colours, then with fewer pixels."""
    from PIL.Image import Dither

    while True:
        for colours in COLOURS:
            out = io.BytesIO()
            picture.quantize(colours, dither=Dither.NONE).save(out, "PNG", optimize=True)
            if out.tell() <= MOST_BYTES:
                return out.getvalue()
        picture = picture.resize((picture.width * 3 // 4, picture.height * 3 // 4))


def _difference(before: Image | None, after: Image | None) -> tuple[Image | None, int]:
    """The later face, pale, with what went and what came marked and framed."""
    from PIL import Image, ImageChops, ImageDraw

    if before is None or after is None:
        return None, 0
    size = (max(before.width, after.width), max(before.height, after.height))
    old, new = (_on(size, one).convert("L") for one in (before, after))
    changed = ImageChops.difference(old, new).point(lambda value: 255 if value > 48 else 0)
    if changed.getbbox() is None:
        return None, 0
    # Paler than any mark, so that what stayed is context.
    pale = new.point(lambda value: 200 + value * 55 // 255).convert("RGB")
    went = ImageChops.multiply(ImageChops.subtract(new, old), changed)
    came = ImageChops.multiply(ImageChops.subtract(old, new), changed)
    marks = [mask.point(lambda value: 255 if value > 48 else 0) for mask in (went, came)]
    hatch = Image.new("L", size, 0)
    draw = ImageDraw.Draw(hatch)
    for start in range(-size[1], size[0], 4):
        draw.line((start, size[1], start + size[1], 0), fill=255, width=2)
    pale.paste(Image.new("RGB", size, GONE), mask=ImageChops.multiply(marks[0], hatch))
    pale.paste(Image.new("RGB", size, NEW), mask=marks[1])
    places = _places(changed)
    draw = ImageDraw.Draw(pale)
    for left, top, right, bottom in places:
        draw.rectangle((left - 4, top - 4, right + 3, bottom + 3), outline=FRAME, width=2)
    return pale, len(places)


def _on(size: tuple[int, int], picture: Image) -> Image:
    """The picture in the upper left corner of a white one of this size."""
    from PIL import Image

    paper = Image.new("RGB", size, "white")
    paper.paste(picture)
    return paper


def _places(changed: Image) -> list[tuple[int, int, int, int]]:
    """The boxes around what changed: cut where lines agree, then where columns agree."""
    found = []
    for top, bottom in _stretches(changed, across=True):
        row = changed.crop((0, top, changed.width, bottom))
        for left, right in _stretches(row, across=False):
            found.append((left, top, right, bottom))
    return found


def _stretches(changed: Image, *, across: bool) -> list[tuple[int, int]]:
    """The stretches of lines (or columns) with a change in them, near ones joined."""
    lone = (1, changed.height) if across else (changed.width, 1)
    # Shrunk to one pixel a line, in whole; a line with any mark keeps some of it.
    marks = changed.convert("F").resize(lone, 4).tobytes()  # 4: a box filter, the mean of a line
    values = memoryview(marks).cast("f")
    stretches: list[tuple[int, int]] = []
    for at, value in enumerate(values):
        if value <= 0:
            continue
        if stretches and at - stretches[-1][1] <= GAP:
            stretches[-1] = (stretches[-1][0], at + 1)
        else:
            stretches.append((at, at + 1))
    return stretches
