"""Phrases as the templates read them, and the link by which a figure on paper is known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from placardry.resolve import Manual
from placardry.wording.phrases import Run

Ink = list[dict[str, Any]]

# Kinds whose names are titles: on paper, where no link shows, they stand in quotation marks.
TITLED = ("procedure", "fault", "task", "page", "card", "sequence", "document")


@dataclass(frozen=True, slots=True)
class Register:
    """Where the register of a manual is found: the address that its figures lead to."""

    url: str

    @classmethod
    def of(cls, manual: Manual, up: str = "") -> Register:
        """The published register; without a site, the one beside the file, `up` above it."""
        site = manual.settings.site_url
        start = f"{site.rstrip('/')}/{manual.id}/" if site else up
        return cls(f"{start}register.html")

    def beside(self, page: str) -> str:
        """The address of another page of the manual's site."""
        return self.url.removesuffix("register.html") + page

    def at(self, anchor: str) -> str:
        """The address of one figure."""
        return f"{self.url}#{anchor}"


def inked(phrase: Iterable[Run], register: Register) -> Ink:
    """The runs of a phrase: `t` what is read, `u` where a figure leads, `s` how it looks."""
    result: Ink = []
    for run in phrase:
        ink: dict[str, Any] = {"t": run.text}
        if run.figure is not None:
            ink["u"] = register.at(run.figure.anchor)
        if run.link is not None and run.link.kind in TITLED:
            ink["s"] = "title"
        elif run.style:
            ink["s"] = run.style
        result.append(ink)
    return result
