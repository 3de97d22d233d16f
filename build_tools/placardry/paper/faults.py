"""What Typst refuses, as findings: a card that overflows, a glyph that the font lacks."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import Any

from placardry.book.record import Record
from placardry.finding import Family, Finding, Rule, Severity, Span
from placardry.paper.typesetter import Sheet
from placardry.resolve import Manual
from placardry.walk import leaves

CARD_OVERFLOWS = Rule(
    "card-overflows",
    Severity.ERROR,
    Family.CARDS,
    """A card shows more than its face can hold at the smallest size of type.

    Smaller letters cannot be read in a cockpit, and what is cut off is not read at all. Every
    size of card has a smallest type (`sizes.toml`): 10 pt on cards, 7 pt on labels.

    Source: CAA CAP 676 chapter 7 (body at least 10 pt, a drill on one face).
    """,
)
GLYPH_MISSING = Rule(
    "glyph-missing",
    Severity.ERROR,
    Family.CARDS,
    """A text holds a character that the font of the printed outputs does not have.

    A printer would leave a gap or a box in its place, and nobody would know what stood there.

    Source: ISO 14289-1 (PDF/UA-1), 7.21.8: no reference to a glyph that is missing.
    """,
)
BROKEN_PICTURE = Rule(
    "broken-picture",
    Severity.ERROR,
    Family.PROSE,
    """A page shows a file that cannot be printed as a picture.

    The reader of the printed manual would find nothing where the page promises a picture.
    """,
)
RULES = (BROKEN_PICTURE, CARD_OVERFLOWS, GLYPH_MISSING)

PICTURES = "pictures/"  # where the pictures of the pages lie for the compiler


def faults(made: Sheet, manual: Manual, record: Record | None = None) -> Iterator[Finding]:
    """The findings for what was refused while a manual, or one of its cards, was set."""
    if made.overflow is not None and record is not None:
        # A title of many lines leaves less than no room for the rest.
        needed, room = round(made.overflow.needed), max(0, round(made.overflow.room))
        size = getattr(record, "size", "")
        yield Finding(
            CARD_OVERFLOWS,
            record.places.at("size"),
            f"card `{record.id}` needs {max(needed, room + 1)} mm for what it shows on "
            f"{manual.machine.name}, and `{size}` has {room} mm",
            "choose a larger `size:`, or move a block of `shows:` to a card of its own",
        )
    for path in made.broken:
        # A picture beside a page of prose lies in the book where the page does.
        home = path.removeprefix(PICTURES).replace("guide/", "content/", 1)
        yield Finding(
            BROKEN_PICTURE,
            Span(home),
            f"`{home}` is no picture that can be printed",
            "save it again as PNG, JPEG or SVG",
        )
    for text in made.missing:
        named = ", ".join(
            f"U+{ord(char):04X} {unicodedata.name(char, 'without a name').lower()}"
            for char in text[:3]
        )
        yield Finding(
            GLYPH_MISSING,
            _place(text, manual, record),
            f"the print font has no `{text[:20]}` ({named})",
            "write a word or another character in its place",
        )


def _place(text: str, manual: Manual, record: Record | None) -> Span:
    """The place of the first text that holds the character, the record's own texts first."""
    records: list[Any] = [record] if record is not None else []
    records += [one for by_id in manual.records.values() for one in by_id.values()]
    for one in records:
        for leaf in leaves(one):
            if leaf.refers is None and text in leaf.value:
                return leaf.span
    return (record or manual.machine).places.span
