"""The page of editions: what each changed, marked as history, on the site and on paper."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from placardry.pages import PageFile, pages, used_in
from placardry.pages.changes import in_language
from placardry.pages.tree import element_tree
from placardry.paper import manual as printed_manual
from placardry.wording.phrases import Speaker
from tests.issued import Files, issue, prepared, start, twice, withdrawn

LIMIT = """\
document: marl-manual
conditions:
  full-power: {short: at full throttle, engine-speed: above 7000 rpm}
limits:
  climb-speed:
    parameter: engine-speed
    maximum: 7300 rpm
    condition: full-power
    source: page 6
    exceeded: Reduce power.
"""


def _page(files: Files) -> PageFile:
    book = prepared(files)
    assert book.book is not None
    written = pages(Speaker(book.manuals[0]), book.book.editions)
    return next(one for one in written if one.path == "editions.md")


def _former(page: PageFile) -> list[tuple[str, ...]]:
    names = ("data-former", "data-manual", "data-edition", "href")
    return [
        ("".join(one.itertext()), *(one.get(name, "") for name in names))
        for one in element_tree(page.markdown).iter("a")
        if one.get("data-former")
    ]


def test_each_edition_lists_what_it_changed_and_marks_it_as_history() -> None:
    assert _former(_page(twice()))[:2] == [
        ("90\u00a0°C", "coolant.red", "tern-eu", "1", "register.md?edition=1#coolant.red"),
        ("89\u00a0°C", "coolant.red", "tern-eu", "2", "register.md?edition=2#coolant.red"),
    ]
    text = "".join(element_tree(_page(twice()).markdown).itertext())
    assert "tighter" in text
    assert "These cards have a new face" in text


def test_history_is_no_use_of_a_figure() -> None:
    page = _page(twice())
    assert used_in([page]) == {}


def test_a_first_edition_lists_no_changes() -> None:
    assert _former(_page(issue(start()))) == []


def test_a_withdrawal_says_when_and_why() -> None:
    assert "2026-05-01 Wrong." in _page(withdrawn(twice(), 2)).markdown


def test_a_figure_that_is_gone_leads_to_its_row() -> None:
    more = issue({**start(), "procedures/climb.yaml": LIMIT.encode()})
    del more["procedures/climb.yaml"]
    gone = issue(more, "2026-03-01", "The climb is free.")
    found = [one for one in _former(_page(gone)) if one[1] == "climb-speed"]
    address = "editions.md?edition=1#edition-2-climb-speed"
    assert found == [("7300\u00a0rpm", "climb-speed", "tern-eu", "1", address)]
    row = next(one for one in _page(gone).markdown.splitlines() if "climb-speed" in one)
    assert "at full throttle" in row  # a condition travels with its limit
    assert "{: #edition-2-climb-speed }" in row


def test_on_paper_the_address_says_the_edition() -> None:
    book = prepared(twice())
    assert book.book is not None
    speaker = Speaker(book.manuals[0])
    pdf, findings = printed_manual.render(
        speaker, pages(speaker, book.book.editions), {}, draft=False, state_line="Edition 2"
    )
    assert findings == ()
    addresses = {
        str(one["/A"]["/URI"])
        for page in PdfReader(io.BytesIO(pdf or b"")).pages
        for one in (link.get_object() for link in page.get("/Annots", ()))
        if "/URI" in one.get("/A", {})
    }
    assert {f"register.html?edition={number}#coolant.red" for number in (1, 2)} <= addresses


@pytest.mark.parametrize(
    ("said", "german"),
    [
        ("63 to 82 degC", "63 bis 82\u00a0°C"),
        ("25 (23 to 27) N·m", "25\u00a0±\u00a02\u00a0N·m"),
        ("12000 rpm", "12\u202f000\u00a0U/min"),
        ("-5 degC", "\u22125\u00a0°C"),
        ("1:50 ratio", "1:50"),
        ("1:48 to 1:52 ratio", "1:48 bis 1:52"),
        ("3", "3"),
        ("1.5 to 2 bar", "1,5 bis 2,0\u00a0bar"),
        ("25:00:00 h:min:s", "25:00:00"),
    ],
)
def test_values_of_the_ledger_are_printed_as_their_language_does(said: str, german: str) -> None:
    # The manner of print is that of `numerals`, which is judged by its own sources.
    assert in_language(said, "de") == german
