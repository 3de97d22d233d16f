"""The pages of one manual, in Markdown: the one form from which site and paper are made.

Everything that an owner reads stands here; the writers behind it only decide how it looks. What
does not apply is in none of them; a page that would be empty is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from placardry.book.sources import Edition
from placardry.pages import (
    instruments,
    limits,
    machine,
    maintenance,
    procedures,
    prose,
    reference,
    settings,
)
from placardry.pages.drawing import DRAWING, panel_drawing
from placardry.pages.machine import edition_state, manual_title
from placardry.pages.page import CHAPTERS, PageFile, Writing, figures_on
from placardry.pages.places import Places
from placardry.pages.prose import pictures
from placardry.pages.reference import used_in
from placardry.pages.tree import EXTENSIONS, element_tree
from placardry.wording.phrases import Speaker

# What writes pages, in the order of a manual within each chapter.
WRITERS = (
    limits.limits,
    machine.panel,
    machine.controls,
    prose.pages,
    procedures.pages,
    maintenance.faults,
    settings.alarms,
    instruments.pages,
    settings.settings,
    maintenance.schedule,
    limits.facts,
    reference.cards,
    reference.sources,
    reference.editions,
)


def pages(
    speaker: Speaker,
    editions: Iterable[Edition] = (),
    issued: Edition | None = None,
    printed: Mapping[str, Iterable[str]] | None = None,
) -> tuple[PageFile, ...]:
    """Every page of a manual, in the order in which it is read.

    Args:
        speaker: the manual
        editions: the issued editions of the book
        issued: the edition in which this content was issued; None marks it as a draft
        printed: for the anchor of each figure the cards that print it, as paths in the manual's
            folder
    """
    writing = Writing(
        speaker,
        Places(speaker.manual),
        tuple(editions),
        issued,
        {anchor: tuple(paths) for anchor, paths in (printed or {}).items()},
    )
    found = _chapters(writing)
    return (*found, *reference.register(writing, found))


def chapters(speaker: Speaker) -> Mapping[str, PageFile]:
    """Every page but the register, by its path; without editions, as nobody has issued it."""
    found = _chapters(Writing(speaker, Places(speaker.manual)))
    return {page.path: page for page in found}


def _chapters(writing: Writing) -> list[PageFile]:
    found = [machine.start(writing), *(page for write in WRITERS for page in write(writing))]
    return sorted(found, key=lambda page: CHAPTERS.index(page.chapter))


def drawings(speaker: Speaker) -> Mapping[str, bytes]:
    """The drawings that the pages show, by their path among them."""
    return {DRAWING: panel_drawing(speaker)}


__all__ = [
    "CHAPTERS",
    "EXTENSIONS",
    "PageFile",
    "chapters",
    "drawings",
    "edition_state",
    "element_tree",
    "figures_on",
    "manual_title",
    "pages",
    "pictures",
    "used_in",
]
