"""What card codes mean, for a terminal: one entry a code, its lines below each other."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import groupby

from placardry.book.sources import Edition, FigureChange, said_in
from placardry.codes import ALPHABET, LENGTH
from placardry.pages.changes import in_language
from placardry.paper.cards import codes
from placardry.resolve import Manual
from placardry.standing import Issued, Standing, Verdict
from placardry.wording.phrases import Speaker

_LONGEST = 20  # letters of what was typed for a code
_NOW, _LEISURE = "replace it before the next flight", "replace it at leisure"


def listing(found: Iterable[Verdict], latest: Edition | None, width: int) -> str:
    """Codes by manual, and how many there are of each standing as of the latest edition."""
    found = sorted(found, key=lambda one: one.place)
    blocks = [
        "\n".join(filter(None, [manual, *(line for one in own for line in entry(one, width))]))
        for manual, own in groupby(found, lambda one: one.manual or "")
    ]
    counts = Counter(one.standing for one in found)
    said = ", ".join(f"{counts[one]} {one}" for one in reversed(Standing) if counts[one])
    as_of = f"as of edition {latest.number} of {latest.dated}" if latest else "no edition stands"
    return "\n\n".join([*blocks, f"{as_of}: {said}"]) + "\n"


def drafts(manuals: Iterable[Manual], issued: Issued) -> Iterator[Verdict]:
    """The cards of manuals as they stand that were never issued so."""
    for manual in manuals:
        for card, code in codes(Speaker(manual)).items():
            if code not in issued.codes:
                yield Verdict(code, Standing.DRAFT, manual.id, manual.machine.id, card, urgent=True)


def entry(one: Verdict, width: int, machine: str | None = None) -> Iterator[str]:
    """One code: what it is and what to do, in lines; `machine` is the one that carries the card."""
    is_foreign = machine is not None and one.machine not in (None, machine)
    what = "foreign" if is_foreign else str(one.standing)
    said = [f"a card of {one.machine}; {_NOW}"] if is_foreign else list(_says(one))
    code = one.code if len(one.code) <= _LONGEST else f"{one.code[: _LONGEST - 1]}…"
    start = f"  {code:<9}  {what:<12}  "
    rest = " " * len(start)
    for text in said:
        for line in textwrap.wrap(
            text, max(width, 60), initial_indent=start, subsequent_indent=f"{rest}  ",
            break_long_words=False, break_on_hyphens=False,
        ):  # fmt: skip
            yield line.replace("\u00a0", " ")
        start = rest


def _says(one: Verdict) -> Iterator[str]:
    todo = (_NOW if one.urgent else _LEISURE) if one.now else "do not use it"
    if one.standing is Standing.MISTYPED:
        yield f"read it on the card again: a code has {LENGTH} of the signs {ALPHABET}"
    elif one.standing is Standing.NEVER_ISSUED:
        yield "do not fly by this card"
    elif one.standing is Standing.DRAFT:
        yield f"{one.card}: in no issued edition; do not fly by it"
    elif one.standing is Standing.CURRENT:
        yield f"{one.card}: the face of edition {one.since} of {one.since_dated}"
    elif one.standing is Standing.SUPERSEDED:
        yield f"{one.card}: by edition {one.since} of {one.since_dated}; {todo}"
        if one.changes:
            yield f"from edition {one.edition} to edition {one.now_edition}:"
        yield from map(_change, one.changes)
        if one.new_hazards:
            yield "a safety message was added"
        if not one.changes and not one.new_hazards:
            yield "only its words or layout changed"
    elif one.standing is Standing.DROPPED:
        yield f"{one.card}: since edition {one.since} of {one.since_dated}; {todo}"
    else:
        why, _ = said_in(one.because, "")
        yield f"{one.card}: with edition {one.edition} on {one.since_dated}; {todo}"
        yield f"because: {why}"
    if one.now not in (None, one.code):
        yield f"the card that holds now: {one.now}"


def _change(one: FigureChange) -> str:
    """A figure on both sides, each with the condition that makes it true."""
    sides = ((one.before, one.held_before), (one.after, one.held_after))
    was, now = (f"{in_language(v, 'en')} {held}".strip() if v else "nothing" for v, held in sides)
    return f"{one.figure}: {was} → {now}, {one.direction}"
