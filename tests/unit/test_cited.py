"""A cited text with page breaks: the page that the source names must hold the figure."""

from __future__ import annotations

import pytest

from placardry.prepared import judge
from tests.books import files

DOCUMENTS = """
    documents:
      marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1", dated: 2025-01-31}
      leaflet: {title: Leaflet, issuer: Marl Engines, edition: "1", dated: 2025-01-31,
                file: procedures/leaflet.txt}
"""
FACT = """
    document: leaflet
    facts:
      fuse: {{nominal: 15 A, name: fuse, source: "{place}"}}
"""


@pytest.mark.parametrize(
    ("place", "told"),
    [
        ("section 1, page 2", []),
        ("page 1", ["page 1 of `leaflet` does not hold 15"]),
        ("page 9", ["page 9 of `leaflet` does not hold 15"]),
        ("section 4", []),  # names no page, so the whole text may hold it
    ],
)
def test_a_figure_is_sought_on_its_page(place: str, told: list[str]) -> None:
    book = files(documents=DOCUMENTS, more=FACT.format(place=place))
    book["procedures/leaflet.txt"] = b"The first page.\fThe fuse is one of 15 A."
    assert [one.message for one in judge(book).findings] == told
