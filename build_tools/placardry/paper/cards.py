"""A card: one printed face, in exactly its size."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from placardry.book.cards import Card
from placardry.finding import Finding
from placardry.paper.blocks import Blocks
from placardry.paper.faults import faults
from placardry.paper.inked import Register
from placardry.paper.sizes import faces
from placardry.paper.typesetter import Overflow, Sheet, typeset
from placardry.wording.phrases import Speaker, spoken

POINT_MM = 25.4 / 72


def render(
    speaker: Speaker, card: Card, *, draft: bool, state_line: str
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """The card as a PDF of one page, or None and why it cannot be printed.

    A size that is no face is reported by the rules; such a card is left out.
    """
    face = face_of(speaker, card, draft=draft, state_line=state_line)
    if face is None:
        return None, ()
    hopeless = _hopeless(face)
    made = (
        Sheet(overflow=hopeless)
        if hopeless
        else typeset("card.typ", face, speaker.manual.settings.dated)
    )
    return made.pdf, tuple(faults(made, speaker.manual, card))


def printed(speaker: Speaker) -> Mapping[str, tuple[str, ...]]:
    """For the anchor of each figure the cards that print it, as paths in the manual's folder."""
    found: dict[str, list[str]] = defaultdict(list)
    for card in speaker.manual.of(Card).values():
        face = face_of(speaker, card, draft=False, state_line="")
        if face is not None:
            for anchor in _anchors(face):
                found[anchor].append(f"cards/{card.id}.pdf")
    return {anchor: tuple(paths) for anchor, paths in sorted(found.items())}


def _anchors(face: Mapping[str, Any]) -> list[str]:
    """The anchors of the figures on a face, each once."""
    addresses = _found([face["title"], face["pieces"]], "u")
    return list(dict.fromkeys(address.partition("#")[2] for address in addresses))


def _found(value: Any, key: str) -> Iterator[str]:
    """Whatever stands under a key anywhere in what a card shows."""
    if isinstance(value, dict):
        if key in value:
            yield value[key]
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from _found(one, key)


def _hopeless(face: Mapping[str, Any]) -> Overflow | None:
    """Spares the compiler a card with more letters than could ever stand on its face."""
    size = face["face"]
    letters = sum(map(len, _found(face["pieces"], "t")))
    # The narrowest letters are a fifth of their size wide, lines are its 1.28-fold apart.
    area_mm2 = letters * 0.2 * 1.28 * (size["body"][1] * POINT_MM) ** 2
    needed = area_mm2 / size["width"]
    return Overflow(needed, size["height"]) if needed > size["height"] else None


def face_of(
    speaker: Speaker, card: Card, *, draft: bool, state_line: str
) -> Mapping[str, Any] | None:
    """What a card shows, as its template reads it; None where its size is no face."""
    face = faces().get(card.size)
    if face is None:
        return None
    manual, words = speaker.manual, speaker.words
    register = Register.of(manual, up="../")
    blocks = Blocks(speaker, register)
    title = speaker.text(card.title)
    foot = [f"{manual.id} / {card.id}", state_line]
    return {
        "face": asdict(face),
        "name": f"{spoken(title)} – {manual.machine.name}",
        "title": blocks.ink(title),
        "machine": str(manual.machine.name),
        "publisher": str(manual.settings.publisher),
        "language": words.language,
        "draft": words["paper.draft"] if draft else "",
        "by-heart": words["step.memory"],
        "pieces": list(blocks.pieces(card)),
        "foot": foot if face.brief else [*foot, words["paper.defer"]],
    }
