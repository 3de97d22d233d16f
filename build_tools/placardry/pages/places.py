"""Where everything stands in a manual's pages: one path, and an anchor on that page."""

from __future__ import annotations

from collections.abc import Mapping

from placardry.book.figures import Limit, Scale
from placardry.book.pages import Page
from placardry.figures import Figure
from placardry.links import Link
from placardry.resolve import Manual

Place = tuple[str, str]  # path of the page, anchor ("" for the whole page)

REGISTER = "register.md"

# Kinds that have a page each, and kinds that share one page, where the id is the anchor.
OWN_PAGE: Mapping[str, str] = {"instrument": "instruments", "procedure": "procedures"}
SHARED_PAGE: Mapping[str, str] = {
    "alarm": "alarms.md",
    "card": "cards.md",
    "control": "controls.md",
    "document": "sources.md",
    "fault": "faults.md",
    "option": "index.md",
    "sequence": "procedures/index.md",
    "setting": "settings.md",
    "task": "schedule.md",
}
WHOLE_PAGE: Mapping[str, str] = {
    "airframe": "index.md",
    "engine": "index.md",
    "machine": "index.md",
    "manual": "index.md",
    "panel": "panel.md",
}


class Places:
    """The places of one manual's records and figures."""

    def __init__(self, manual: Manual) -> None:
        self.manual = manual
        self.limited = {one.parameter for cls in (Limit, Scale) for one in _of(manual, cls)}

    def of(self, link: Link) -> Place | None:
        """Where a record stands; None for one that has no place of its own."""
        if link.id not in self.manual.records.get(link.kind, ()):
            return None
        if link.kind in OWN_PAGE:
            return (f"{OWN_PAGE[link.kind]}/{link.id}.md", "")
        if link.kind in SHARED_PAGE:
            return (SHARED_PAGE[link.kind], link.id)
        if link.kind in WHOLE_PAGE:
            return (WHOLE_PAGE[link.kind], "")
        if link.kind == "page":
            return (guide_path(self.manual.get(Page, link.id)), "")
        parameter = link.id
        if link.kind in ("limit", "scale"):
            parameter = self.manual.records[link.kind][link.id].parameter
        elif link.kind != "parameter":
            return None
        return ("limits.md", parameter) if parameter in self.limited else None

    def register(self, figure: Figure) -> Place:
        """Where the register holds a figure."""
        return (REGISTER, figure.anchor)


def guide_path(page: Page) -> str:
    """Where a page of prose stands: below `guide/`, so that no name meets one of ours."""
    return "guide/" + page.path.removeprefix("content/")


def _of(manual: Manual, cls: type[Limit | Scale]) -> list[Limit | Scale]:
    return list(manual.of(cls).values())
