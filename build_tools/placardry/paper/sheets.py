"""All cards of a manual on sheets of A4, to be printed in an office and cut.

Cards lie edge to edge, so that one cut parts two of them. A hairline shows where to cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from placardry.finding import Finding
from placardry.paper.faults import faults
from placardry.paper.typesetter import typeset
from placardry.wording.phrases import Speaker

WIDTH_MM, HEIGHT_MM = 210, 297


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a card lies: its sheet, and its upper left corner in millimetres."""

    sheet: int
    x: int
    y: int
    is_turned: bool


def render(
    speaker: Speaker, faces: Iterable[Mapping[str, Any]], dated: date | None = None
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """The cards on as few sheets as need be; None if there is none to cut.

    Args:
        speaker: the manual
        faces: what its cards show, as `cards.face_of` gives it, without cards that were refused
        dated: the day of the latest edition among them; the book's where one is a draft
    """
    faces = [face for face in faces if fits(face["face"])]
    if not faces:
        return None, ()
    spots = laid_out([(face["face"]["width"], face["face"]["height"]) for face in faces])
    words = speaker.words
    data = {
        "name": f"{words['page.cards']} – {speaker.manual.machine.name}",
        "publisher": str(speaker.manual.settings.publisher),
        "language": words.language,
        "sheets": [
            [
                {"x": spot.x, "y": spot.y, "turned": spot.is_turned, "card": face}
                for spot, face in zip(spots, faces, strict=True)
                if spot.sheet == sheet
            ]
            for sheet in range(max(spot.sheet for spot in spots) + 1)
        ],
    }
    sheet = typeset("sheet.typ", data, dated or speaker.manual.settings.dated)
    return sheet.pdf, tuple(faults(sheet, speaker.manual))


def fits(face: Mapping[str, Any]) -> bool:
    """Whether a face is smaller than the sheet; a whole sheet needs no cutting."""
    return bool(max(face["width"], face["height"]) < HEIGHT_MM)


def laid_out(sizes: Iterable[tuple[int, int]]) -> list[Spot]:
    """A spot for every card, in the order given: tall ones first, in rows from the top.

    A card that is too wide, or that leaves less of a row unused when it lies on its side, is
    turned by a quarter.

    Units: millimetres.
    """
    turned = [_lies_down(width, height) for width, height in sizes]
    ordered = sorted(
        ((height, width, at) if down else (width, height, at))
        for at, ((width, height), down) in enumerate(zip(sizes, turned, strict=True))
    )
    ordered.sort(key=lambda one: (-one[1], -one[0], one[2]))
    spots: dict[int, Spot] = {}
    sheet = x = y = row = 0
    for width, height, at in ordered:
        if x + width > WIDTH_MM:
            x, y, row = 0, y + row, 0
        if y + height > HEIGHT_MM:
            sheet, x, y, row = sheet + 1, 0, 0, 0
        spots[at] = Spot(sheet, x, y, turned[at])
        x += width
        row = max(row, height)
    return [spots[at] for at in range(len(spots))]


def _lies_down(width: int, height: int) -> bool:
    """Whether clearly more of the cards go on a sheet when they are turned."""

    def count(across: int, down: int) -> int:
        return (WIDTH_MM // across) * (HEIGHT_MM // down)

    return count(height, width) >= 1.5 * count(width, height)
