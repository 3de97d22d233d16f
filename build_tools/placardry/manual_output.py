"""Everything that one manual is published as: its site, its printed forms, its data files.

The unit of work: pure but for the writers' temporary folders, so manuals are made in parallel
processes and the folder of one can be handed over alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from placardry import data, site
from placardry.book.cards import Card
from placardry.book.sources import Edition
from placardry.finding import Finding
from placardry.pages import PageFile, drawings, edition_state, pages, pictures, used_in
from placardry.paper import cards, sheets
from placardry.paper import manual as printed_manual
from placardry.resolve import Manual
from placardry.site.card_check import card_check
from placardry.standing import Verdict
from placardry.wording.phrases import Speaker

Artifacts = dict[str, bytes]
IssuedCards = Mapping[str, tuple[str, Edition]]
NONE_ISSUED: IssuedCards = {}


def render(
    manual: Manual,
    files: Mapping[str, bytes],
    editions: tuple[Edition, ...],
    issued: Edition | None,
    cards_issued: IssuedCards = NONE_ISSUED,
    verdicts: tuple[Verdict, ...] = (),
) -> tuple[Artifacts, tuple[Finding, ...]]:
    """The files of a manual's folder by their path in it, and what does not fit.

    Args:
        manual: the manual
        files: the book's files, for the pictures under `content/`
        editions: the issued editions of the book
        issued: the edition that this content was issued in; None marks it as a draft
        cards_issued: by card the code in the latest edition, and since which edition
        verdicts: what every code means that was issued for this manual
    """
    speaker = Speaker(manual)
    made, findings = _cards(speaker, cards_issued)
    printed = cards.printed(speaker)
    written = pages(speaker, editions, issued, printed)
    check = card_check(manual.settings, verdicts, [manual], manual.language)
    assets = {**drawings(speaker), **pictures(written, files), **check}
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
    made.update(_data(speaker, written, printed, issued, made))
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
    made, _ = _cards(speaker, cards_issued)
    written = pages(speaker, editions, issued, cards.printed(speaker))
    check = card_check(manual.settings, verdicts, [manual], manual.language)
    assets = {**drawings(speaker), **pictures(written, files), **check, **made}
    return site.pages_tree(speaker, written, assets, issued)


def _cards(speaker: Speaker, issued: IssuedCards) -> tuple[Artifacts, list[Finding]]:
    """The cards, and the sheet on which all of them lie.

    A card is a draft by its own code, whatever else in the book has changed.
    """
    own = cards.codes(speaker)
    made: Artifacts = {}
    findings: list[Finding] = []
    faces = []
    days: list[date | None] = []
    for name, card in speaker.manual.of(Card).items():
        code, since = issued.get(name, ("", None))
        edition = since if own.get(name) == code else None
        draft, state_line = edition is None, edition_state(speaker.words, edition)
        dated = edition.dated if edition else None
        days.append(dated)
        pdf, faults = cards.render(speaker, card, draft=draft, state_line=state_line, dated=dated)
        findings += faults
        face = cards.face_of(speaker, card, draft=draft, state_line=state_line)
        if pdf is not None and face is not None:
            made[f"cards/{name}.pdf"] = pdf
            faces.append(face)
    sheet, faults = sheets.render(
        speaker, faces, None if None in days else max(filter(None, days), default=None)
    )
    findings += faults
    if sheet is not None:
        made["cards/sheet-a4.pdf"] = sheet
    return made, findings


def _data(
    speaker: Speaker,
    written: tuple[PageFile, ...],
    printed: Mapping[str, tuple[str, ...]],
    issued: Edition | None,
    made: Artifacts,
) -> Artifacts:
    """Register and manifest of the manual, so that its folder can be handed over alone."""
    settings = speaker.manual.settings
    places: defaultdict[str, list[str]] = defaultdict(list)
    for where in (used_in(written), printed):
        for anchor, paths in where.items():
            places[anchor] += [path.removesuffix(".md") + ".html" if path.endswith(".md") else path
                               for path in paths]  # fmt: skip
    entries = data.register(speaker, places)
    found = {
        "register.json": data.register_json(settings, issued, entries),
        "register.csv": data.register_csv(entries),
    }
    found["manifest.json"] = data.manifest(settings, issued, {**made, **found})
    return found
