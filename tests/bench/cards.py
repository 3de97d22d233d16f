"""Cards as Placardry makes them, over Typst's bare compile of the same template and data."""

from __future__ import annotations

import itertools
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import typst

from placardry import paper
from placardry.book.cards import Card
from placardry.paper.cards import Face, face_of, marked, render
from placardry.prepared import prepare
from placardry.wording.phrases import Speaker
from tests.bench.timing import Ratio

PAPER = Path(paper.__file__).parent
TEMPLATES: Mapping[str, bytes] = {
    name: (PAPER / file).read_bytes()
    for name, file in (("main.typ", "card.typ"), ("ink.typ", "ink.typ"), ("face.typ", "face.typ"))
}
DEMO = Path(__file__).parents[2]
_STATE = "the state of the edition"


class Cards:
    """The cards of one manual, warm in both makers."""

    def __init__(self, root: Path) -> None:
        manual = prepare(root).manuals[0]
        self.speaker = Speaker(manual)
        self.cards = tuple(manual.of(Card).values())
        faces = [self._face(card, _STATE) for card in self.cards]
        self.data = [json.dumps(face, ensure_ascii=False, sort_keys=True) for face in faces]
        dated = manual.settings.dated
        midnight = datetime(dated.year, dated.month, dated.day, tzinfo=UTC)
        self.timestamp = int(midnight.timestamp())
        self.compiler = _compiler()
        self.editions = itertools.count(1)

    def new_state(self) -> str:
        """Words for the foot of the card that no card had before, for Typst remembers the rest."""
        return f"edition {next(self.editions)}"

    def ours(self, state: str) -> list[bytes | None]:
        """Every card, from the records."""
        manual = self.speaker.manual
        return [render(manual, card, self._face(card, state))[0] for card in self.cards]

    def _face(self, card: Card, state: str) -> Face:
        face = face_of(self.speaker, card)
        if face is None:
            raise SystemExit(f"{card.id} is on no face of ours")
        return marked(self.speaker, face, draft=False, state_line=state)

    def bare(self, state: str) -> list[bytes | None]:
        """Every card, from its template and its data as they lie ready."""
        return [self._compiled(data.replace(_STATE, state).encode()) for data in self.data]

    def _compiled(self, data: bytes) -> bytes:
        given: Any = {**TEMPLATES, "data.json": data}
        made: Any = self.compiler.compile(
            input=given, format="pdf", pdf_standards=["ua-1"], timestamp=self.timestamp
        )
        return bytes(made)


def ratio(root: Path) -> Ratio:
    """What making all cards of a manual costs over compiling them."""
    cards = Cards(root)
    return Ratio(
        f"{len(cards.cards)} cards, over Typst's bare compile",
        lambda: cards.ours(cards.new_state()),
        lambda: cards.bare(cards.new_state()),
        1.5,
    )


def _compiler() -> typst.Compiler:
    fonts = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(PAPER.parent / "assets" / "fonts")],
    )
    nothing: Any = {"main.typ": b""}
    return typst.Compiler(input=nothing, root=str(PAPER), font_paths=fonts)


def main() -> None:
    """Makes the demo's cards both ways, and refuses to go on where they differ."""
    cards = Cards(DEMO)
    ours = cards.ours("a state")
    if not ours or None in ours or ours != cards.bare("a state"):
        raise SystemExit("the two do not make the same cards, so their times compare nothing")


if __name__ == "__main__":
    main()
