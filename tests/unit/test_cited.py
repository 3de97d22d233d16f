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


def _pdf(*pages: str, labels: str = "") -> bytes:
    """A PDF of a line of text on each page, written by hand after ISO 32000-1, section 7.5."""
    kids = " ".join(f"{4 + 2 * at} 0 R" for at in range(len(pages)))
    objects = [
        f"<</Type/Catalog/Pages 2 0 R{labels}>>",
        f"<</Type/Pages/Kids[{kids}]/Count {len(pages)}>>",
        "<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
    ]
    for at, words in enumerate(pages):
        drawn = f"BT /F 12 Tf 20 100 Td ({words}) Tj ET"
        objects.append(
            "<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 200]/Resources<</Font<</F 3 0 R>>>>"
            f"/Contents {5 + 2 * at} 0 R>>"
        )
        objects.append(f"<</Length {len(drawn)}>>\nstream\n{drawn}\nendstream")
    body, offsets = b"%PDF-1.4\n", []
    for number, one in enumerate(objects, 1):
        offsets.append(len(body))
        body += f"{number} 0 obj\n{one}\nendobj\n".encode()
    table = "".join(f"{offset:010d} 00000 n \n" for offset in offsets)
    size = len(objects) + 1
    head = f"xref\n0 {size}\n0000000000 65535 f \n{table}trailer\n<</Size {size}/Root 1 0 R>>\n"
    return body + f"{head}startxref\n{len(body)}\n%%EOF\n".encode()


ROMAN_FIRST = "/PageLabels<</Nums[0<</S/r>>1<</S/D>>]>>"  # ISO 32000-1, section 12.4.2


@pytest.mark.parametrize(
    ("place", "labels", "told"),
    [
        ("page 2", "", []),
        ("page 1", "", ["page 1 of `leaflet` does not hold 15"]),
        ("page 1", ROMAN_FIRST, []),  # the second sheet bears the number 1
        ("page i", ROMAN_FIRST, ["page i of `leaflet` does not hold 15"]),
        ("page 9", "", ["page 9 of `leaflet` does not hold 15"]),
        ("section 4", "", []),
    ],
)
def test_a_figure_is_sought_on_the_page_of_a_pdf(place: str, labels: str, told: list[str]) -> None:
    book = files(documents=DOCUMENTS.replace(".txt", ".pdf"), more=FACT.format(place=place))
    book["procedures/leaflet.pdf"] = _pdf("The first page.", "The fuse is 15 A.", labels=labels)
    assert [one.message for one in judge(book).findings] == told


@pytest.mark.parametrize("data", [b"no pdf at all", _pdf("")])
def test_a_pdf_without_text_is_left_alone(data: bytes) -> None:
    book = files(documents=DOCUMENTS.replace(".txt", ".pdf"), more=FACT.format(place="page 1"))
    book["procedures/leaflet.pdf"] = data
    assert judge(book).findings == ()
