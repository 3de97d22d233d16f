"""The published demo, read as its owners read it: in a browser, and on paper by other readers."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pypdf
import pytest

from placardry.book.cards import Card
from placardry.prepared import Prepared
from tests.browser.guard import Size
from tests.printed import catalog, lines, title

if TYPE_CHECKING:
    from playwright.sync_api import Page

MANUALS = ("sandling-2-tourer-eu", "sandling-2-us", "teasel-de", "teasel-eu")


def register(folder: Path) -> list[dict[str, Any]]:
    figures: list[dict[str, Any]] = json.loads((folder / "register.json").read_text("utf-8"))[
        "figures"
    ]
    return figures


@pytest.mark.browser
@pytest.mark.parametrize("manual", MANUALS)
def test_an_owner_finds_the_way_to_a_limit(
    page: Page, size: Size, published: Path, manual: str
) -> None:
    page.goto((published / "index.html").as_uri())
    page.locator(f"a[href='{manual}/index.html']").first.click()
    page.wait_for_url(f"**/{manual}/index.html")
    page.goto((published / manual / "limits.html").as_uri())
    assert page.locator("a[href^='register.html#']").count() > 20
    assert page.evaluate("document.documentElement.scrollWidth") <= size.width
    page.locator("a[href^='register.html#']").first.click()
    page.wait_for_url("**/register.html#*")


@pytest.mark.parametrize("manual", MANUALS)
def test_every_link_to_the_register_arrives(published: Path, manual: str) -> None:
    anchors = set(re.findall(r'id="([^"]+)"', _html(published / manual / "register.html")))
    known = {
        f"{one['id']}.{one['part']}" if one["part"] else one["id"]
        for one in register(published / manual)
    }
    assert known <= anchors
    for path in sorted((published / manual).rglob("*.html")):
        for anchor in re.findall(r'href="[^"]*register\.html#([^"]+)"', _html(path)):
            assert anchor in known, f"{path.name}: {anchor}"


def _html(path: Path) -> str:
    return path.read_text("utf-8")


@pytest.mark.parametrize("manual", MANUALS)
def test_every_figure_says_where_it_is_printed_and_is_printed_there(
    published: Path, manual: str
) -> None:
    for one in register(published / manual):
        glyphs = next(iter(one["shown"].values()))
        anchor = f"{one['id']}.{one['part']}" if one["part"] else one["id"]
        for place in one["used_in"]:
            if place.endswith(".html"):
                assert f"register.html#{anchor}" in _html(published / manual / place), (
                    f"{glyphs} in {place}"
                )


def test_the_cards_are_read_back_with_their_figures(published: Path, demo: Prepared) -> None:
    for manual in demo.manuals:
        folder = published / manual.id
        for card in manual.of(Card):
            read = " ".join(" ".join(lines((folder / f"cards/{card}.pdf").read_bytes())).split())
            for one in register(folder):
                if f"cards/{card}.pdf" not in one["used_in"]:
                    continue
                shown = [" ".join(glyphs.split()) for glyphs in one["shown"].values()]
                numbers = [glyphs.rsplit(" ", 1)[0] for glyphs in shown]
                assert any(number in read for number in numbers), f"{card}: {shown} in {read}"


@pytest.mark.parametrize("manual", MANUALS)
def test_the_printed_manual_is_a_tagged_document_with_a_title(published: Path, manual: str) -> None:
    pdf = (published / manual / "manual.pdf").read_bytes()
    root = catalog(pdf)
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].split("-")[0] == ("de" if manual.endswith("-de") else "en")
    assert title(pdf)
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) > 40


def test_an_owner_sees_only_their_machine(published: Path) -> None:
    """Words that belong to the other engine stand in no file of a manual."""
    foreign = {"teasel": ("Marl 230", "Kestrel", "coolant", "Kühlmittel"), "sandling": ("Tarn 80",)}
    for manual in MANUALS:
        words = foreign[manual.split("-")[0]]
        for path in sorted((published / manual).rglob("*")):
            if path.suffix in (".html", ".json", ".csv", ".js") and "assets" not in path.parts:
                read = _html(path)
                assert not [word for word in words if word in read], f"{manual} {path.name}"
