"""The card check: what the code on a card means today, from disk and without a request.

One page for the whole book, where the QR codes lead, and one in the folder of each manual, which
can be handed over alone. What is said of a card is said in the language of its manual. Without
script it is a table of every code that was ever issued.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable, Mapping, Sequence

from placardry.book.cards import Card
from placardry.book.settings import BookSettings
from placardry.book.sources import Edition, FigureChange, said_in
from placardry.codes import ALPHABET, LENGTH, READ_AS
from placardry.pages.changes import in_language
from placardry.resolve import Manual
from placardry.site import environment
from placardry.site.unbroken import unbroken
from placardry.standing import Standing, Verdict
from placardry.wording.phrases import Speaker, sentence, spoken, title_of
from placardry.wording.words import Words, words

PAGE, SCRIPT = "check.html", "check.js"


def card_check(
    settings: BookSettings,
    verdicts: Iterable[Verdict],
    manuals: Iterable[Manual],
    editions: Iterable[Edition],
    own: Manual | None = None,
) -> Mapping[str, bytes]:
    """The page and its script, by path in the published folder.

    Args:
        settings: of the book
        verdicts: what is said of every code; of other manuals than these in the page's language
        manuals: those whose cards and figures are named
        editions: all that were issued
        own: the manual in whose folder the page lies, and of whose cards alone it knows
    """
    speakers = {manual.id: Speaker(manual) for manual in manuals}
    language = own.language if own else settings.language
    others = {one.manual.language for one in speakers.values()} - {language}
    editions = tuple(editions)
    table = words(language)
    text = environment().get_template("check.html.j2").render(
        settings=settings,
        language=language,
        words=table,
        known=_known(table, editions),
        rows=sorted(
            (_row(one, speakers.get(one.manual or ""), language) for one in verdicts),
            key=lambda row: str(row["code"]),
        ),
        unknown=[{"language": one, "words": words(one)} for one in (language, *sorted(others))],
        never="foreign" if own else "never",
        alphabet=ALPHABET,
        length=LENGTH,
        read_as=" ".join(map("".join, READ_AS.items())),
    )  # fmt: skip
    script = pkgutil.get_data("placardry.site", SCRIPT) or b""
    return {PAGE: unbroken(text).encode(), SCRIPT: script}


def _row(one: Verdict, speaker: Speaker | None, language: str) -> Mapping[str, object]:
    table = speaker.words if speaker else words(language)
    because, tongue = said_in(one.because, table.language)
    return {
        "code": one.code,
        "card": _card(one, speaker),
        "manual": one.manual,
        "language": table.language,
        "urgent": one.urgent,
        "says": _says(one, table),
        "because": because,
        "tongue": tongue,
        "edition": one.edition,
        "between": _between(one, table),
        "changes": [_change(change, speaker, table) for change in one.changes],
        "hazard": table["verdict.hazard"] if one.new_hazards else "",
        "next": _next(one, table),
    }


def _known(table: Words, editions: Sequence[Edition]) -> str:
    """How fresh the page is: its last edition, and the day of the latest entry in the ledger."""
    if not editions:
        return ""
    last = max(editions, key=lambda one: one.number)
    day = max(day for one in editions for day in (one.dated, one.withdrawn) if day)
    known = _filled(table, "verdict.known", last.number, last.dated.isoformat())
    return f"{_filled(table, 'verdict.as-of', None, day.isoformat())} {known}"


def _next(one: Verdict, table: Words) -> str:
    """Which card holds in the place of one that does not."""
    if one.now in (None, one.code):
        return ""
    return "".join(str(one.now) if slot else text for text, slot in table.pieces("notice.next"))


def _card(one: Verdict, speaker: Speaker | None) -> str:
    """The title of a card and its machine; of a card that is gone, its ids."""
    card = speaker.manual.of(Card).get(one.card or "") if speaker else None
    if speaker is None or card is None:
        return f"{one.manual} / {one.card}"
    return f"{spoken(speaker.text(card.title))} – {speaker.manual.machine.name}"


def _between(one: Verdict, table: Words) -> str:
    """The editions that the changes lie between; another one may have replaced the card first."""
    ends = ((one.edition, one.dated), (one.now_edition, one.now_dated))
    return " → ".join(_filled(table, "edition.issued", *end) for end in ends)


def _change(one: FigureChange, speaker: Speaker | None, table: Words) -> Mapping[str, str]:
    def say(value: str | None) -> str:
        return in_language(value, table.language) if value else table["verdict.nothing"]

    return {
        "figure": one.figure,
        "name": _name(one.figure, speaker),
        "before": say(one.before),
        "after": say(one.after),
        "held_before": one.held_before,
        "held_after": one.held_after,
    }


def _name(anchor: str, speaker: Speaker | None) -> str:
    """What a figure is of, with its anchor; of one that is gone, the anchor alone."""
    id, _, part = anchor.partition(".")
    figure = speaker.figures.get((id, part)) if speaker else None
    if speaker is None or figure is None:
        return anchor
    return f"{spoken(sentence(speaker.text(title_of(figure.record))))} ({anchor})"


def _says(one: Verdict, table: Words) -> str:
    if one.standing is Standing.CURRENT:
        return _filled(table, "verdict.current", one.edition, one.dated)
    said = _filled(table, f"verdict.{one.standing}", one.since, one.since_dated)
    todo = table["verdict.now" if one.urgent else "verdict.leisure"]
    return f"{said} {todo}" if one.now else said


def _filled(table: Words, key: str, number: int | None, day: str | None) -> str:
    slots = {"number": str(number), "date": str(day)}
    return "".join(slots[piece] if slot else piece for piece, slot in table.pieces(key))
