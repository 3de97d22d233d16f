"""What is in no standing edition says so: each card by its own code, site and manual as a whole."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import pytest
from pypdf import PdfReader
from selectolax.lexbor import LexborHTMLParser

from placardry import editions
from placardry.editions import current_edition, current_for, issued_cards, says
from placardry.errors import PlacardryError
from placardry.manual_output import render
from tests.issued import Files, edited, issue, prepared, start, twice, withdrawn


@pytest.mark.parametrize(("address", "times"), [("", 1), ("site-url: https://m.example/\n", 2)])
def test_a_draft_without_an_address_is_reckoned_once(
    monkeypatch: pytest.MonkeyPatch, address: str, times: int
) -> None:
    book, path = start(), "procedures/book.yaml"
    book[path] += address.encode()
    (manual,) = prepared(book).manuals
    asked: list[object] = []

    def digest(one: object) -> str:
        asked.append(one)
        return ""

    monkeypatch.setattr(editions, "digest", digest)
    assert not says("another", manual, manual.settings.dated)
    assert len(asked) == times


CARD, MANUAL = "cards/limits.pdf", "manual.pdf"


def _made(files: Files) -> Mapping[str, bytes]:
    """The published folder of the one manual of a book."""
    return _rendered(tuple(files.items()))


@cache
def _rendered(files: tuple[tuple[str, bytes], ...]) -> Mapping[str, bytes]:
    found = prepared(dict(files))
    assert found.book is not None
    (manual,) = found.manuals
    issued = current_for(found.book, manual)
    cards = issued_cards(found.book, manual.id)
    made, findings = render(manual, {}, found.book.editions, issued, cards)
    assert findings == ()
    return made


def _text(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def _is_draft(pdf: bytes) -> bool:
    """Whether DRAFT lies across a page; the page of cards speaks of it in a sentence."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return any(
        line.strip() == "DRAFT" for page in pages for line in page.extract_text().splitlines()
    )


def _day(pdf: bytes) -> str:
    """The day that a PDF says it is of."""
    made = PdfReader(io.BytesIO(pdf)).metadata
    assert made is not None
    assert made.creation_date is not None
    return made.creation_date.date().isoformat()


def _banners(made: Mapping[str, bytes]) -> dict[str, bool]:
    """For each page of the manual whether its banner says that it is a draft."""
    found = {}
    for path, data in made.items():
        if path.endswith(".html") and path != "check.html":
            banner = LexborHTMLParser(data).css_first("aside.md-banner, p.draft")
            found[path] = banner is not None and "DRAFT" in banner.text()
    assert len(found) > 5
    return found


def _worded(files: Files) -> Files:
    path = "content/welcome.md"
    return {**files, path: files[path] + b"\nFly with care.\n"}


def test_what_was_never_issued_is_a_draft() -> None:
    made = _made(start())
    assert _is_draft(made[CARD])
    assert _is_draft(made["cards/sheet-a4.pdf"])
    assert _is_draft(made[MANUAL])
    assert all(_banners(made).values())


def test_what_is_issued_names_its_edition_and_bears_its_date() -> None:
    made = _made(issue(start()))
    for path in (CARD, MANUAL):
        assert not _is_draft(made[path])
        assert "Edition 1 of 2026-02-01" in " ".join(_text(made[path]).split())
        assert _day(made[path]) == "2026-02-01"
    assert not any(_banners(made).values())
    assert b"2026-02-01" in made["index.html"]
    assert b"2026-01-31" not in made["index.html"]  # the book's own date


def test_a_card_stays_issued_while_other_words_are_drafted() -> None:
    before, after = _made(issue(start())), _made(_worded(issue(start())))
    assert after[CARD] == before[CARD]
    assert _is_draft(after[MANUAL])
    assert all(_banners(after).values())


def test_a_card_that_an_edition_did_not_change_is_the_same_file() -> None:
    again = _made(issue(_worded(issue(start())), "2026-03-01", "More words."))
    assert again[CARD] == _made(issue(start()))[CARD]
    assert _day(again[MANUAL]) == "2026-03-01"


def test_a_changed_figure_makes_its_card_a_draft() -> None:
    changed = edited(issue(start()), "red from 90 degC", "red from 89 degC")
    assert _is_draft(_made(changed)[CARD])


def _addressed(files: Files, line: bytes = b"site-url: https://example.org/manuals\n") -> Files:
    path = "procedures/book.yaml"
    return {**files, path: files[path] + line}


def test_the_address_of_the_site_makes_no_draft_of_cards_nor_of_manuals() -> None:
    """Neither says anything else than it did; only what the square leads to is another place."""
    made = _made(_addressed(issue(start())))
    assert not _is_draft(made[CARD])
    assert not _is_draft(made[MANUAL])
    assert not any(_banners(made).values())
    assert made[CARD] != _made(issue(start()))[CARD]
    with pytest.raises(PlacardryError, match="nothing has changed since edition 1"):
        issue(_addressed(issue(start())), "2026-03-01", "Another address.")


def test_entries_that_hold_the_address_too_still_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    """As earlier releases wrote them; with another address they cannot be told from drafts."""
    own = editions._read
    with monkeypatch.context() as earlier:
        earlier.setattr(
            editions, "_read", lambda said, on: replace(own(said, on), site_url=said.site_url)
        )
        old = issue(_addressed(start()))
    found = prepared(old)
    assert found.book is not None
    assert current_edition(found.book) is not None
    assert current_for(found.book, found.manuals[0]) is not None
    path = "procedures/book.yaml"
    moved = prepared({**old, path: old[path].replace(b"example.org", b"example.net")})
    assert moved.book is not None
    assert current_edition(moved.book) is None


def test_a_withdrawn_edition_leaves_drafts() -> None:
    made = _made(withdrawn(twice(), 2))
    assert _is_draft(made[CARD])
    assert _is_draft(made[MANUAL])
    assert all(_banners(made).values())


def test_the_earlier_book_is_issued_again_when_the_later_edition_is_withdrawn() -> None:
    back = edited(withdrawn(twice(), 2), "red from 89 degC", "red from 90 degC")
    assert not _is_draft(_made(back)[CARD])
    assert not _is_draft(_made(back)[MANUAL])


def test_a_card_never_names_an_edition_that_was_withdrawn() -> None:
    worded = _worded(withdrawn(twice(), 2, "2026-03-02"))
    third = issue(worded, "2026-04-01", "More words.", again=True)
    text = " ".join(_text(_made(third)[CARD]).split())
    assert "Edition 3 of 2026-04-01" in text  # its face came with edition 2
