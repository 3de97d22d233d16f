"""The card check page, and the mark of a draft on cards: both come from the ledger alone."""

from __future__ import annotations

import re
from dataclasses import replace

import pypdfium2
import pytest
from selectolax.lexbor import LexborHTMLParser

from placardry.audit.former import card_check as judged
from placardry.audit.past import History
from placardry.editions import issued_cards
from placardry.history import history
from placardry.ledger import read
from placardry.manual_output import IssuedCards, render
from placardry.resolve import resolve
from placardry.site.card_check import PAGE, SCRIPT, card_check
from placardry.standing import Issued
from tests.issued import Files, edited, issue, prepared, start, thrice, twice, withdrawn


def _made(files: Files, language: str = "en") -> bytes:
    book = prepared(files).book
    assert book is not None
    verdicts, settings = Issued(book).verdicts(), replace(book.settings, language=language)
    return card_check(settings, verdicts, resolve(book)[0], book.editions)[PAGE]


def _page(files: Files) -> LexborHTMLParser:
    return LexborHTMLParser(_made(files).decode())


def _bare(page: bytes) -> bytes:
    """A page without what only keeps dates on a line, so that a test can forge it."""
    return re.sub(rb'<span style="[^"]*">([^<]*)</span>', rb"\1", page)


def _told(files: Files, page: bytes) -> list[tuple[str, str]]:
    """What an audit finds wrong with a page for these files: what stands there, what is right."""
    book = prepared(files).book
    assert book is not None
    past = history(book.settings, book.editions, read(book.files))
    found = judged(PAGE, page, History.read("editions.json", past), "")
    return [(one.found, one.expected) for one in found]


def issued_code(files: Files) -> str:
    """The code of the one card that was issued."""
    book = prepared(files).book
    assert book is not None
    return next(Issued(book).verdicts()).code


def _rows(page: LexborHTMLParser) -> dict[str, str]:
    return {
        "urgent" if "data-urgent" in row.attributes else "calm": " ".join(row.text().split())
        for row in page.css("tr[data-code]")
    }


def test_each_code_says_what_it_means() -> None:
    said = _rows(_page(twice()))
    assert "Current as of edition 2 of 2026-03-01." in said["calm"]
    assert "Superseded by edition 2 of 2026-03-01. Replace it before" in said["urgent"]
    assert "Coolant temperature (coolant.red): 90 °C → 89 °C" in said["urgent"]


def test_a_former_figure_is_marked_as_history() -> None:
    former = _page(twice()).css_first("s[data-former='coolant.red']")
    assert former is not None
    assert former.text() == "90\u00a0°C"
    assert (former.attributes["data-manual"], former.attributes["data-edition"]) == ("tern-eu", "1")


def test_withdrawn_cards_are_said_to_be() -> None:
    said = _rows(_page(withdrawn(twice(), 2)))["urgent"]
    now = issued_code(issue(start()))
    assert "Withdrawn on 2026-05-01: do not use it." in said
    assert "Wrong." in said
    assert f"The card that holds now bears the code {now}" in said


TWICE, AGAIN = "2026-03-01", "2026-04-01"


@pytest.mark.parametrize(
    ("files", "day"),
    [
        (twice(), TWICE),
        (withdrawn(twice(), 2), "2026-05-01"),
        (withdrawn(twice(), 1), "2026-05-01"),
    ],
)
@pytest.mark.parametrize(("language", "words"), [("en", "As of {}, when"), ("de", "Stand {}: An")])
def test_the_page_says_as_of_which_day_it_is(
    files: Files, day: str, language: str, words: str
) -> None:
    """A withdrawal makes another page, also where it leaves what is said of every code."""
    page = _made(files, language)
    known = LexborHTMLParser(page.decode()).css_first("p.known")
    assert known is not None
    assert known.text().startswith(words.format(day))
    assert f"2 {'of' if language == 'en' else 'vom'} {TWICE}" in known.text()
    assert _told(files, page) == []


def test_a_forged_or_missing_day_is_found() -> None:
    files = withdrawn(twice(), 2)
    page = _bare(_made(files))
    for found, forged in (
        ("2026-05-11", page.replace(b"As of 2026-05-01", b"As of 2026-05-11")),
        ("", page.replace(b"As of 2026-05-01, when", b"When")),
        ("", page.replace(b'class="known"', b"")),
    ):
        assert forged != page
        assert _told(files, forged) == [(found, "2026-05-01")]
    assert (TWICE, "2026-05-01") in _told(files, _made(twice()))  # a page from before it


def test_changes_name_the_editions_that_they_lie_between() -> None:
    """The first card was replaced by the second edition; what holds now is of the third."""
    first = issued_code(issue(start()))
    page = _made(thrice())
    row = LexborHTMLParser(page.decode()).css_first(f"tr[data-code='{first}']")
    assert row is not None
    said = " ".join(row.text().split())
    assert f"Superseded by edition 2 of {TWICE}." in said
    assert f"Edition 1 of 2026-02-01 → Edition 3 of {AGAIN} Coolant temperature" in said
    assert "(coolant.red): 90 °C → 88 °C" in said
    assert _told(thrice(), page) == []


def test_a_forged_edition_of_a_change_is_found() -> None:
    page = _bare(_made(thrice()))
    right = f"edition 1 of 2026-02-01 to edition 3 of {AGAIN}"
    line = f"Edition 1 of 2026-02-01 → Edition 3 of {AGAIN}"
    for found, forged in (
        (right.replace("edition 3", "edition 2"), line.replace("Edition 3", "Edition 2")),
        (right.replace("02-01", "02-11"), line.replace("02-01", "02-11")),
        ("", "Edition 1 → Edition 3"),
    ):
        changed = page.replace(line.encode(), forged.encode())
        assert changed != page
        assert _told(thrice(), changed) == [(found, right)]


def test_cards_that_are_printed_no_more_are_said_to_be() -> None:
    book = twice()
    del book["procedures/cards/limits.yaml"]
    rows = _page(issue(book, "2026-04-01")).css("tr[data-code]")
    for said in (" ".join(row.text().split()) for row in rows):
        assert said.endswith("Printed no more since edition 3 of 2026-04-01: do not use it.")
    assert len(rows) == 2


def test_the_page_asks_nothing_of_another_site() -> None:
    book = prepared(twice()).book
    assert book is not None
    made = card_check(book.settings, Issued(book).verdicts(), resolve(book)[0], book.editions)
    assert [one.attributes["src"] for one in _page(twice()).css("script")] == [SCRIPT]
    for word in (b"http:", b"https:", b"fetch(", b"XMLHttpRequest", b"innerHTML", b"eval("):
        assert all(word not in data for data in made.values())


def _printed(files: Files) -> str:
    found = prepared(files)
    assert found.book is not None
    cards: IssuedCards = issued_cards(found.book, "tern-eu")
    made, _ = render(found.manuals[0], {}, found.book.editions, None, cards)
    text: str = pypdfium2.PdfDocument(made["cards/limits.pdf"])[0].get_textpage().get_text_bounded()
    return text


@pytest.mark.parametrize("is_card_edited", [False, True])
def test_a_card_is_a_draft_by_its_own_code(is_card_edited: bool) -> None:
    """The manual is a draft in both; the card only where its own face has changed."""
    book = issue(start())
    book["content/welcome.md"] += b"\nFly with care.\n"
    if is_card_edited:
        book = edited(book, "red from 90 degC", "red from 89 degC")
    text = _printed(book)
    assert ("DRAFT" in text) == is_card_edited
    assert ("Edition 1 of 2026-02-01" in text) != is_card_edited
