"""A card: one printed face, in exactly its size."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from placardry.book.cards import Card
from placardry.codes import code
from placardry.finding import Finding
from placardry.paper.blocks import Blocks
from placardry.paper.faults import faults
from placardry.paper.inked import Register
from placardry.paper.sizes import faces
from placardry.paper.square import code_square
from placardry.paper.typesetter import Overflow, Sheet, typeset
from placardry.resolve import Manual
from placardry.wording.phrases import Speaker, spoken

Face = Mapping[str, Any]
POINT_MM = 25.4 / 72
# Of the layout of cards: raised when the same words would look so different that cards in use
# must be replaced.
LAYOUT = 1
CHECK_PAGE = "check.html"


def render(
    manual: Manual, card: Card, face: Face, dated: date | None = None
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """The card as a PDF of one page, or None and why it cannot be printed.

    It is `dated` as the edition that last changed it, a draft as the book.
    """
    hopeless = _hopeless(face)
    made = (
        Sheet(overflow=hopeless)
        if hopeless
        else typeset("card.typ", face, dated or manual.settings.dated)
    )
    return made.pdf, tuple(faults(made, manual, card))


def printed(faces: Mapping[str, Face]) -> Mapping[str, tuple[str, ...]]:
    """For the anchor of each figure the cards that print it, as paths in the manual's folder."""
    found: dict[str, list[str]] = defaultdict(list)
    for name, face in faces.items():
        for anchor in anchors(face):
            found[anchor].append(f"cards/{name}.pdf")
    return {anchor: tuple(paths) for anchor, paths in sorted(found.items())}


def anchors(face: Face) -> list[str]:
    """The anchors of the figures on a face, each once."""
    addresses = _found([face["title"], face["pieces"]], "u")
    return list(dict.fromkeys(address.partition("#")[2] for address in addresses))


def hazards(face: Face) -> list[Any]:
    """The safety messages on a face, wherever they stand."""
    found: list[Any] = []
    pending: list[Any] = [face["pieces"]]
    while pending:
        value = pending.pop()
        if isinstance(value, dict):
            if "signal" in value:
                found.append(_read(value))
            value = list(value.values())
        if isinstance(value, list):
            pending += value
    return found


def _code(manual: str, card: str, face: Face) -> str:
    """The code of a face: of what an owner reads, so not of the addresses behind figures."""
    shown = {key: face[key] for key in ("title", "machine", "language", "pieces")}
    meant = {"layout": LAYOUT, "manual": manual, "card": card, "size": _size(face), **shown}
    return code(json.dumps(_read(meant), sort_keys=True, ensure_ascii=False))


def _size(face: Face) -> list[int]:
    return [face["face"]["width"], face["face"]["height"]]


def _read(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _read(below) for key, below in value.items() if key != "u"}
    return [_read(one) for one in value] if isinstance(value, list) else value


def _found(value: Any, key: str) -> Iterator[str]:
    """Whatever stands under a key anywhere in what a card shows."""
    if isinstance(value, dict):
        if key in value:
            yield value[key]
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from _found(one, key)


def _hopeless(face: Face) -> Overflow | None:
    """Spares the compiler a card with more letters than could ever stand on its face."""
    size = face["face"]
    letters = sum(map(len, _found(face["pieces"], "t")))
    # The narrowest letters are a fifth of their size wide, lines are its 1.28-fold apart.
    area_mm2 = letters * 0.2 * 1.28 * (size["body"][1] * POINT_MM) ** 2
    needed = area_mm2 / size["width"]
    return Overflow(needed, size["height"]) if needed > size["height"] else None


def face_of(speaker: Speaker, card: Card) -> Face | None:
    """What a card shows, as its template reads it; None where its size is no face.

    Nothing on it says yet whether it was issued: that depends on its code (`marked`).
    """
    face = faces().get(card.size)
    if face is None:
        return None
    manual, words = speaker.manual, speaker.words
    register = Register.of(manual, up="../")
    blocks = Blocks(speaker, register)
    title = speaker.text(card.title)
    foot = [f"{manual.id} / {card.id}"]
    shown = {
        "face": asdict(face),
        "name": f"{spoken(title)} – {manual.machine.name}",
        "title": blocks.ink(title),
        "machine": str(manual.machine.name),
        "publisher": str(manual.settings.publisher),
        "language": words.language,
        "draft": "",
        "by-heart": words["step.memory"],
        "pieces": list(blocks.pieces(card)),
        "foot": foot if face.brief else [*foot, words["paper.defer"]],
    }
    own_code = _code(manual.id, card.id, shown)
    link = check_address(manual, own_code)
    return {
        **shown,
        "code": own_code,
        "link": link,
        "qr": code_square(link) if link and not face.brief else "",
        "check": words["card.check"],
    }


def marked(speaker: Speaker, face: Face, *, draft: bool, state_line: str) -> Face:
    """A face with the state of its edition in its foot, and with the mark of a draft."""
    name, *rest = face["foot"]
    draft_mark = speaker.words["paper.draft"] if draft else ""
    return {**face, "draft": draft_mark, "foot": [name, state_line, *rest]}


def check_address(manual: Manual, own_code: str) -> str:
    """Where a card's code is judged on the published site; nothing where the book has no site."""
    site = manual.settings.site_url
    return f"{site.rstrip('/')}/{CHECK_PAGE}#{own_code}" if site else ""


def unmarked(speaker: Speaker) -> dict[str, Face]:
    """What each card shows, by its id; without those whose size is no face."""
    made = {name: face_of(speaker, card) for name, card in speaker.manual.of(Card).items()}
    return {name: face for name, face in made.items() if face is not None}


def codes(speaker: Speaker) -> Mapping[str, str]:
    """The code of each card of a manual, by the card's id."""
    return {name: str(face["code"]) for name, face in unmarked(speaker).items()}
