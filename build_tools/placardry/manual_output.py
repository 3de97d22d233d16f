"""Everything that one manual is published as: its site, its printed forms, its data files.

The unit of work: pure but for the writers' temporary folders, so manuals are made in parallel
processes and the folder of one can be handed over alone.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from placardry import data, history, site
from placardry.book.cards import Card
from placardry.book.sources import Edition
from placardry.finding import Finding
from placardry.pages import PageFile, drawings, edition_state, pages, pictures, used_in
from placardry.paper import cards, sheets
from placardry.paper import manual as printed_manual
from placardry.resolve import Manual
from placardry.site.card_check import card_check
from placardry.site.due_page import due_page
from placardry.standing import Verdict
from placardry.wording.phrases import Speaker

Artifacts = dict[str, bytes]
IssuedCards = Mapping[str, tuple[str, Edition]]
NONE_ISSUED: IssuedCards = {}
SHEET, DUE = "cards/sheet-a4.pdf", "due.html"
_FIGURE = re.compile(r'"register\.html#([^"]+)"')


def render(
    manual: Manual,
    files: Mapping[str, bytes],
    editions: tuple[Edition, ...],
    issued: Edition | None,
    cards_issued: IssuedCards = NONE_ISSUED,
    verdicts: tuple[Verdict, ...] = (),
    past: bytes = b"",
) -> tuple[Artifacts, tuple[Finding, ...]]:
    """The files of a manual's folder by their path in it, and what does not fit.

    Args:
        manual: the manual
        files: the book's files, for the pictures under `content/`
        editions: the issued editions of the book
        issued: the edition that this content was issued in; None marks it as a draft
        cards_issued: by card the code in the latest edition, and since which edition
        verdicts: what every code means that was issued for this manual
        past: what stood in the issued editions, as `history` writes it
    """
    speaker = Speaker(manual)
    faces = cards.unmarked(speaker)
    made, findings = _cards(speaker, faces, cards_issued)
    printed = cards.printed(faces)
    written = pages(speaker, editions, issued, printed)
    check = card_check(manual.settings, verdicts, [manual], editions, manual)
    beside = {**check, **due_page(speaker, issued)}
    assets = {**drawings(speaker), **pictures(written, files), **beside}
    made.update(site.render(speaker, written, assets, issued))
    book, faults = printed_manual.render(
        speaker,
        written,
        assets,
        draft=issued is None,
        state_line=edition_state(speaker.words, issued),
        dated=issued.dated if issued else None,
    )
    findings += faults
    if book is not None:
        made["manual.pdf"] = book
    if past:
        made[history.NAME] = past
    made.update(_data(speaker, _places(written, faces, made), issued, made))
    return made, tuple(findings)


def page_files(
    manual: Manual,
    files: Mapping[str, bytes],
    editions: tuple[Edition, ...],
    issued: Edition | None,
    cards_issued: IssuedCards = NONE_ISSUED,
    verdicts: tuple[Verdict, ...] = (),
) -> Mapping[str, bytes]:
    """The pages of a manual as Markdown, in a folder that a plain `mkdocs build` can build."""
    speaker = Speaker(manual)
    faces = cards.unmarked(speaker)
    made, _ = _cards(speaker, faces, cards_issued)
    written = pages(speaker, editions, issued, cards.printed(faces))
    check = card_check(manual.settings, verdicts, [manual], editions, manual)
    beside = {**check, **due_page(speaker, issued), **made}
    assets = {**drawings(speaker), **pictures(written, files), **beside}
    return site.pages_tree(speaker, written, assets, issued)


def unprintable(manual: Manual) -> tuple[Finding, ...]:
    """What keeps the cards of a manual from being printed: a face that is too small for them."""
    speaker = Speaker(manual)
    return tuple(_cards(speaker, cards.unmarked(speaker), NONE_ISSUED)[1])


def _cards(
    speaker: Speaker, faces: Mapping[str, cards.Face], issued: IssuedCards
) -> tuple[Artifacts, list[Finding]]:
    """The cards, and the sheet on which all of them lie.

    A card is a draft by its own code, whatever else in the book has changed.
    """
    made: Artifacts = {}
    findings: list[Finding] = []
    on_sheet = []
    days: list[date | None] = []
    for name, face in faces.items():
        code, since = issued.get(name, ("", None))
        edition = since if face["code"] == code else None
        state_line = edition_state(speaker.words, edition)
        shown = cards.marked(speaker, face, draft=edition is None, state_line=state_line)
        days.append(edition.dated if edition else None)
        card = speaker.manual.get(Card, name)
        pdf, faults = cards.render(speaker.manual, card, shown, days[-1])
        findings += faults
        if pdf is not None:
            made[f"cards/{name}.pdf"] = pdf
            on_sheet.append(shown)
    sheet, faults = sheets.render(
        speaker, on_sheet, None if None in days else max(filter(None, days), default=None)
    )
    findings += faults
    if sheet is not None:
        made[SHEET] = sheet
    return made, findings


def _places(
    written: tuple[PageFile, ...], faces: Mapping[str, cards.Face], made: Artifacts
) -> Mapping[str, list[str]]:
    """The files that print each figure, by its anchor: pages, cards, and what they are bound in."""
    places: defaultdict[str, list[str]] = defaultdict(list)
    for anchor, pages_ in used_in(written).items():
        places[anchor] = [path.removesuffix(".md") + ".html" for path in pages_]
        places[anchor] += ["manual.pdf"] * ("manual.pdf" in made)
    for anchor in dict.fromkeys(_FIGURE.findall(made.get(DUE, b"").decode())):
        places[anchor].append(DUE)
    for name, face in faces.items():
        own = f"cards/{name}.pdf"
        paths = [own, SHEET] if own in made and sheets.fits(face["face"]) else [own]
        for anchor in cards.anchors(face):
            places[anchor] += (path for path in paths if path not in places[anchor])
    return places


def _data(
    speaker: Speaker, places: Mapping[str, list[str]], issued: Edition | None, made: Artifacts
) -> Artifacts:
    """Register and manifest of the manual, so that its folder can be handed over alone."""
    settings = speaker.manual.settings
    entries = data.register(speaker, places)
    found = {
        "register.json": data.register_json(
            settings, issued, entries, data.documents(speaker), speaker.language
        ),
        "register.csv": data.register_csv(entries),
    }
    found["manifest.json"] = data.manifest(settings, issued, {**made, **found})
    return found
