"""Change notices: what the owner of one aircraft must know of the cards that it carries.

Written in Markdown, in the language of the machine's manual; the PDF is set from the same text.
Pure; the command line writes the files.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from placardry.book import Book
from placardry.book.cards import Card
from placardry.book.sources import FigureChange
from placardry.finding import Family, Finding, Rule, Severity, Span
from placardry.pages.changes import in_language, in_tongue
from placardry.pages.inline import Markdown, escaped
from placardry.pages.page import cells
from placardry.paper.cards import codes
from placardry.paper.tree import read
from placardry.paper.typesetter import typeset
from placardry.prepared import Prepared
from placardry.recall import Aircraft, Recall, notice_name
from placardry.resolve import Manual
from placardry.standing import Standing, Verdict
from placardry.wording.phrases import Speaker, sentence, spoken, title_of
from placardry.wording.words import Words, words

UNPRINTED_NOTICE = Rule(
    "unprinted-notice",
    Severity.ERROR,
    Family.EDITIONS,
    """A change notice holds a character that the font of the printed outputs does not have.

    The notice is there as Markdown, but nobody can print it and put it into a letter.

    Source: ISO 14289-1 (PDF/UA-1), 7.21.8: no reference to a glyph that is missing.
    """,
)


def notices(found: Recall, prepared: Prepared) -> tuple[dict[str, bytes], tuple[Finding, ...]]:
    """A notice for each aircraft by file name, as Markdown and as PDF, the most urgent first."""
    book = prepared.book
    made: dict[str, bytes] = {}
    findings: list[Finding] = []
    if book is None:
        return made, ()
    writer = _Writer(book, prepared.manuals)
    for number, one in enumerate(found.aircraft, start=1):
        name = notice_name(number)
        text = writer.notice(one)
        made[f"{name}.md"] = text.encode()
        sheet = typeset("notice.typ", writer.data(one, text), writer.dated)
        if sheet.pdf is not None:
            made[f"{name}.pdf"] = sheet.pdf
        else:
            message = f"`{name}.md` cannot be printed: {', '.join(sheet.missing) or 'its text'}"
            mend = "write the serial in the list with the letters on its plate"
            findings.append(Finding(UNPRINTED_NOTICE, Span(f"{name}.md"), message, mend))
    return made, tuple(findings)


class _Writer:
    """Writes the notices of one book."""

    def __init__(self, book: Book, manuals: tuple[Manual, ...]) -> None:
        self.book = book
        self.manuals = {one.id: one for one in manuals}
        self.speakers: dict[str, Speaker] = {}
        self.codes: dict[str, Mapping[str, str]] = {}  # of the cards as the book stands
        days = [day for one in book.editions for day in (one.dated, one.withdrawn) if day]
        self.dated = max(days, default=book.settings.dated)

    def data(self, one: Aircraft, text: str) -> Mapping[str, object]:
        """What the template prints."""
        table = self._words(one)
        return {
            "name": f"{table['notice.title']} {one.serial}",
            "publisher": str(self.book.settings.publisher),
            "language": table.language,
            "dated": self.dated.isoformat(),
            "blocks": read(text),
        }

    def notice(self, one: Aircraft) -> str:
        """The notice of one aircraft."""
        table = self._words(one)
        when = table["notice.urgent" if one.urgent else "notice.leisure"]
        machine = self._machine(one.machine)
        lines = [
            f"# {escaped(table['notice.title'])}",
            _say(table, "notice.aircraft", serial=one.serial, machine=machine),
            f"**{escaped(when)}**",
            *(line for card in one.cards for line in self._card(one, card, table)),
            f"{escaped(table['notice.doubt'])} {escaped(table['paper.defer'])}",
            f"{escaped(str(self.book.settings.publisher))}, {self.dated.isoformat()}",
        ]
        return "\n\n".join(lines) + "\n"

    def _card(self, one: Aircraft, card: Verdict, table: Words) -> Iterator[str]:
        """One card: which it is, why it must be replaced, and by which."""
        yield f"## {escaped(' '.join(filter(None, (self._title(card), card.code))))}"
        if card.machine not in (None, one.machine):
            machine = self._machine(card.machine or "")
            yield _say(table, "notice.foreign", machine=machine)
            return
        what = card.standing.name.lower().replace("_", "-")
        yield _say(table, f"notice.{what}", number=str(card.since), date=str(card.since_dated))
        if card.because:
            yield in_tongue(card.because, table)
        if card.standing is Standing.SUPERSEDED:
            yield from self._changes(card, table)
        if card.now is not None:
            yield _say(table, "notice.next", code=card.now)
            site = self.book.settings.site_url
            # Published are the cards of the book as it stands, which may not be the one that holds.
            if site and self._printed(card) == card.now:
                address = f"{site.rstrip('/')}/{card.manual}/cards/{card.card}.pdf"
                yield _say(table, "notice.where", address=address)

    def _printed(self, card: Verdict) -> str | None:
        """The code that the card has as the book stands, if there is such a card."""
        speaker = self._speaker(card)
        name = card.manual or ""
        if speaker is not None and name not in self.codes:
            self.codes[name] = codes(speaker)
        return self.codes.get(name, {}).get(card.card or "")

    def _changes(self, card: Verdict, table: Words) -> Iterator[str]:
        """What on a card has changed."""
        if card.changes:
            # Of the card and of today, not of the edition between that first replaced the card.
            heads = (
                escaped(table["edition.figure"]),
                _edition(table, card.edition, card.dated),
                _edition(table, card.now_edition, card.now_dated),
                escaped(table["edition.way"]),
            )
            yield "\n".join(
                (
                    cells(heads),
                    "| --- | --- | --- | --- |",
                    *(self._row(card, each, table) for each in card.changes),
                )
            )
        if card.new_hazards:
            yield escaped(table["notice.hazard"])
        if not card.changes and not card.new_hazards:
            yield escaped(table["notice.words"])

    def _row(self, card: Verdict, change: FigureChange, table: Words) -> Markdown:
        speaker = self._speaker(card)
        id, _, part = change.figure.partition(".")
        figure = speaker.figures.get((id, part)) if speaker else None
        name = change.figure
        if speaker is not None and figure is not None:
            title = spoken(sentence(speaker.text(title_of(figure.record))))
            name = f"{title} ({change.figure})"
        sides = ((change.before, change.held_before), (change.after, change.held_after))
        values = [
            f"{in_language(value, table.language)} {held}".strip() if value else ""
            for value, held in sides
        ]
        way = table[f"edition.{change.direction}"]
        return cells(tuple(escaped(one) for one in (name, *values, way)))

    def _title(self, card: Verdict) -> str:
        speaker = self._speaker(card)
        found = speaker.manual.of(Card).get(card.card or "") if speaker else None
        return spoken(speaker.text(found.title)) if speaker and found else card.card or ""

    def _machine(self, id: str) -> str:
        own = [one for one in self.manuals.values() if one.machine.id == id]
        return str(own[0].machine.name) if own else id

    def _speaker(self, card: Verdict) -> Speaker | None:
        name = card.manual
        if name not in self.manuals:
            return None
        return self.speakers.setdefault(name, Speaker(self.manuals[name]))

    def _words(self, one: Aircraft) -> Words:
        """The words of the language in which the aircraft's cards are."""
        own = [self.manuals[card.manual] for card in one.cards if card.manual in self.manuals]
        own += [manual for manual in self.manuals.values() if manual.machine.id == one.machine]
        return words(own[0].language if own else self.book.settings.language)


def _edition(table: Words, number: int | None, day: str | None) -> Markdown:
    return _say(table, "edition.issued", number=str(number), date=str(day))


def _say(table: Words, key: str, **slots: str) -> Markdown:
    """Words of our own with their slots filled."""
    return escaped("".join(slots[text] if slot else text for text, slot in table.pieces(key)))
