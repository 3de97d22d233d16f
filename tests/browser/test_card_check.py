"""The card check in a browser, from disk: typed, by the address, mistyped, and without script."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from placardry.resolve import resolve
from placardry.site.card_check import PAGE, card_check
from placardry.standing import Issued, Standing
from tests.issued import prepared, twice

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser


@pytest.fixture
def codes(tmp_path: Path) -> dict[Standing, str]:
    """The codes of the two editions; the page lies in the test's folder."""
    book = prepared(twice()).book
    assert book is not None
    for path, data in card_check(
        book.settings, Issued(book).verdicts(), resolve(book)[0], book.editions
    ).items():
        (tmp_path / path).write_bytes(data)
    return {one.standing: one.code for one in Issued(book).verdicts()}


def test_a_code_in_the_address_is_checked_at_once(
    page: Page, tmp_path: Path, codes: dict[Standing, str]
) -> None:
    page.goto(f"{(tmp_path / PAGE).as_uri()}#{codes[Standing.SUPERSEDED]}")
    said = page.locator("#answer").inner_text()
    assert said.startswith("Limits – Tern")
    assert f"holds now bears the code {codes[Standing.CURRENT]}" in said
    assert "before the next flight" in said
    assert "90\u00a0°C" in said
    assert page.locator("#answer").get_attribute("class") == "urgent"
    assert page.evaluate("scrollY") == 0  # the answer stands above the table


def test_a_code_is_checked_as_it_is_typed(
    page: Page, tmp_path: Path, codes: dict[Standing, str]
) -> None:
    page.goto((tmp_path / PAGE).as_uri())
    field = page.locator("#code")
    box = field.bounding_box()
    assert box is not None
    assert box["height"] >= 44  # WCAG 2.2, 2.5.5 target size (enhanced): 44 CSS pixels
    typed = {
        codes[Standing.CURRENT].lower().replace("-", " "): "Current as of edition 2",
        "2222-2222": "Never issued",
        "zzzz 222z": "Never issued",  # what is read as 2
        "2222-2223": "Mistyped",
    }
    for code, answer in typed.items():
        field.fill(code)
        assert answer in page.locator("#answer").inner_text()


def test_without_script_the_table_says_it(
    chromium: Browser, tmp_path: Path, codes: dict[Standing, str]
) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_viewport_size({"width": 390, "height": 200})
    page.goto(f"{(tmp_path / PAGE).as_uri()}#{codes[Standing.SUPERSEDED]}")
    assert not page.locator("form").is_visible()
    shown = page.locator("tr:target").bounding_box()
    assert shown is not None
    assert -1 < shown["y"] < 200  # the address leads to its row
    assert codes[Standing.SUPERSEDED] in page.locator("table").inner_text()
    context.close()
