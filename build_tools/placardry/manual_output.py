"""Everything that one manual is published as: its site, its printed forms, its data files.

The unit of work: pure but for the writers' temporary folders, so manuals are made in parallel
processes and the folder of one can be handed over alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from placardry import data, site
from placardry.book.cards import Card
from placardry.book.sources import Edition
from placardry.finding import Finding
from placardry.pages import PageFile, drawings, edition_state, pages, pictures, used_in
from placardry.paper import cards, sheets
from placardry.paper import manual as printed_manual
from placardry.resolve import Manual
from placardry.wording.phrases import Speaker

Artifacts = dict[str, bytes]


def render(
    manual: Manual,
    files: Mapping[str, bytes],
    editions: tuple[Edition, ...],
    issued: Edition | None,
) -> tuple[Artifacts, tuple[Finding, ...]]:
    """The files of a manual's folder by their path in it, and what does not fit.

    Args:
        manual: the manual
        files: the book's files, for the pictures under `content/`
        editions: the issued editions of the book
        issued: the edition that this content was issued in; None marks it as a draft
    """
    speaker = Speaker(manual)
    made, findings = _cards(speaker, issued)
    printed = cards.printed(speaker)
    written = pages(speaker, editions, issued, printed)
    assets = {**drawings(speaker), **pictures(written, files)}
    made.update(site.render(speaker, written, assets, issued))
    book, faults = printed_manual.render(
        speaker,
        written,
        assets,
        draft=issued is None,
        state_line=edition_state(speaker.words, issued),
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
) -> Mapping[str, bytes]:
    """The pages of a manual as Markdown, in a folder that a plain `mkdocs build` can build."""
    speaker = Speaker(manual)
    made, _ = _cards(speaker, issued)
    written = pages(speaker, editions, issued, cards.printed(speaker))
    assets = {**drawings(speaker), **pictures(written, files), **made}
    return site.pages_tree(speaker, written, assets, issued)


def _cards(speaker: Speaker, issued: Edition | None) -> tuple[Artifacts, list[Finding]]:
    """The cards, and the sheet on which all of them lie."""
    draft, state_line = issued is None, edition_state(speaker.words, issued)
    made: Artifacts = {}
    findings: list[Finding] = []
    faces = []
    for name, card in speaker.manual.of(Card).items():
        pdf, faults = cards.render(speaker, card, draft=draft, state_line=state_line)
        findings += faults
        face = cards.face_of(speaker, card, draft=draft, state_line=state_line)
        if pdf is not None and face is not None:
            made[f"cards/{name}.pdf"] = pdf
            faces.append(face)
    sheet, faults = sheets.render(speaker, faces)
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
