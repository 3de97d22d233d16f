"""What can be measured of WCAG 2.2 AA on every page, in a browser and from disk.

Source: WCAG 2.2, by the criterion that each test names. What no program can see (whether words
say enough, whether an order makes sense) is not here.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import pytest

from placardry.loader import load
from placardry.resolve import resolve
from placardry.site import index
from placardry.site.card_check import card_check
from placardry.site.due_page import due_page
from placardry.standing import Issued
from placardry.wording.phrases import Speaker
from tests.browser.guard import LAPTOP, PHONE, Size
from tests.browser.test_due_page import FILES
from tests.browser.test_site import written
from tests.issued import prepared, twice
from tests.manuals import RICH, manual_of, speaker_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8")
NARROW = Size(320, 640)  # 1280 pixels at a zoom of 400 %
USUAL = Size(1366, 768)  # a laptop as owners have it
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of a manual, the page that leads to it, the card check and the due calculator."""
    folder = written(speaker_of(), tmp_path_factory.mktemp("accessible"))
    book, _ = load({path: text.encode() for path, text in RICH.items()})
    issued = prepared(twice()).book
    assert book is not None
    assert issued is not None
    manuals = resolve(issued)[0]
    verdicts = list(Issued(issued).verdicts())
    beside = {
        "start.html": index(issued, manuals, issued.editions[-1]),
        "draft.html": index(book, resolve(book)[0]),
        **card_check(issued.settings, verdicts, manuals, issued.editions),
        **due_page(Speaker(manual_of(FILES))),
    }
    for path, data in beside.items():
        (folder / path).write_bytes(data)
    return folder


Failing = dict[str, list[str]]


@pytest.fixture(scope="module", params=[PHONE, LAPTOP], ids=["phone", "laptop"])
def failing(request: pytest.FixtureRequest, chromium: Browser, site: Path) -> Failing:
    """What fails on any page in a window, by what is measured; each page is opened once."""
    size: Size = request.param
    page = chromium.new_page(viewport={"width": size.width, "height": size.height})
    found: Failing = {}

    def note(name: str, what: str, key: str = "") -> None:
        told: Any = page.evaluate(f"measure.{what}()")
        if isinstance(told, dict):
            assert told["seen"] > 0, f"nothing was measured on {name}"
            told = told["failing"]
        found.setdefault(key or what, []).extend(f"{name}: {one}" for one in told)

    for path in sorted(site.rglob("*.html")):
        name = path.relative_to(site).as_posix()
        page.goto(path.as_uri())
        page.add_style_tag(content="* { transition: none !important }")
        page.evaluate(MEASURE)
        for what in ("structure", "targets"):
            note(name, what)
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            for what in ("contrast", "strips"):
                note(name, what, f"{what}, {scheme}")
        page.emulate_media(color_scheme="light")
        other = NARROW if size == PHONE else USUAL
        page.set_viewport_size({"width": other.width, "height": other.height})
        page.wait_for_timeout(100)  # until the page has heard of it
        note(name, "sideways")
        found.setdefault("broken", []).extend(page.evaluate("measure.broken().failing"))
        page.set_viewport_size({"width": size.width, "height": size.height})
    page.close()
    return found


def test_words_stand_out_whatever_colours_the_reader_prefers(failing: Failing, site: Path) -> None:
    # 1.4.3, and 1.4.11 for gauge strips
    assert 'class="gauge"' in (site / "limits.html").read_text(encoding="utf-8")
    for scheme in SCHEMES:
        assert failing[f"contrast, {scheme}"] == []
        assert failing[f"strips, {scheme}"] == []


@pytest.mark.parametrize("name", ["index.html", "register.html", "start.html", "check.html"])
def test_pages_are_white_unless_the_device_asks_for_dark_and_on_paper(
    page: Page, site: Path, name: str
) -> None:
    page.goto((site / name).as_uri())
    light, dark = "rgb(255, 255, 255)", "rgb(15, 19, 24)"
    behind = "getComputedStyle(document.body).backgroundColor"
    assert page.evaluate(behind) == light  # of a device that says nothing
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(behind) == dark
    page.emulate_media(color_scheme="dark", media="print")
    assert page.evaluate(behind) in (light, "rgba(0, 0, 0, 0)")
    ink = page.evaluate("getComputedStyle(document.querySelector('main h1')).color")
    assert ink == "rgb(17, 17, 17)"


def test_a_drawing_on_paper_turns_with_the_page(page: Page, site: Path) -> None:
    page.goto((site / "panel.html").as_uri())
    drawn = "getComputedStyle(document.querySelector('img[src$=\"panel.svg\"]')).filter"
    assert page.evaluate(drawn) == "none"
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(drawn) == "invert(1)"


def test_no_line_ends_within_a_date_or_a_code(failing: Failing, page: Page, site: Path) -> None:
    assert failing["broken"] == []
    page.goto((site / "check.html").as_uri())
    page.evaluate(MEASURE)
    for width in range(200, 420, 7):  # whatever the lines are
        page.set_viewport_size({"width": width, "height": 640})
        assert page.evaluate("measure.broken()")["failing"] == [], width
    assert page.evaluate("measure.broken()")["seen"] > 4


def test_pages_have_parts_headings_names_and_a_language(failing: Failing) -> None:
    # 1.1.1, 1.3.1, 2.4.2, 2.4.6, 3.1.1, 3.3.2, 4.1.2
    assert failing["structure"] == []


def test_targets_can_be_hit(failing: Failing) -> None:
    # 2.5.8
    assert failing["targets"] == []


def test_nothing_is_to_be_moved_sideways(failing: Failing) -> None:
    # 1.4.10: at 320 pixels, which is a laptop of 1280 at 400 %; and on a laptop as it is.
    assert failing["sideways"] == []


def is_seen(found: dict[str, Any]) -> bool:
    return bool(found["isSeen"] and found["width"] >= 2 and found["ratio"] >= 3)


def settled(page: Page) -> dict[str, Any] | None:
    """What has the focus, once whatever it opens is open; at most a second later."""
    found: dict[str, Any] | None = None
    for _ in range(10):
        found = page.evaluate("measure.focus()")
        if found is None or is_seen(found):
            break
        page.wait_for_timeout(100)
    return found


def test_the_focus_is_seen_wherever_the_keyboard_leads(page: Page, site: Path) -> None:
    # 2.4.7, 1.4.11, and 2.4.3 in so far as what is hidden takes no focus
    for name in ("index.html", "limits.html", "start.html"):
        page.goto((site / name).as_uri())
        page.add_style_tag(content="* { transition: none !important }")
        page.evaluate(MEASURE)
        met = []
        for _ in range(40):
            page.keyboard.press("Tab")
            found = settled(page)
            if found is None:  # what has just been closed had it
                continue
            met.append(found["what"])
            assert is_seen(found), (name, found)
        assert len(met) > 1, name


def test_words_of_another_language_say_so(page: Page, tmp_path: Path) -> None:
    # 3.1.2: the page of all manuals names each in its own language.
    german = dict(RICH)
    german["procedures/second.yaml"] = (
        "manuals:\n  tern-eu-de: {machine: tern, market: eu, language: de}\n"
    )
    book, _ = load({path: text.encode() for path, text in german.items()})
    assert book is not None
    (tmp_path / "start.html").write_bytes(index(book, resolve(book)[0]))
    page.goto((tmp_path / "start.html").as_uri())
    assert page.locator("html").get_attribute("lang") == "en"
    assert page.locator("a[href='tern-eu-de/index.html']").get_attribute("lang") == "de"


def test_a_table_without_room_is_read_row_by_row_and_stays_a_table(
    page: Page, site: Path, size: Size
) -> None:
    page.goto((site / "register.html").as_uri())
    table = page.locator(".md-typeset table").first
    assert table.get_attribute("data-stacked") is not None  # seven columns have no room anywhere
    tops = (
        table.locator("tbody tr")
        .first.locator("td")
        .evaluate_all(
            "cells => cells.map(one => one.getBoundingClientRect()).filter(one => one.height)"
            ".map(one => one.top)"
        )
    )
    assert (len(set(tops)) <= 3) is (size == LAPTOP)  # its name, and two lines of three cells
    assert page.get_by_role("table").count() > 0
    assert page.get_by_role("columnheader").count() > 6
    cell = table.locator("tbody tr").first.locator("td").nth(2)
    heading = table.locator("thead th").nth(2).text_content()
    shown = cell.evaluate("cell => getComputedStyle(cell, '::before').content")
    assert shown == f'"{heading}"'


def test_a_draft_is_seen(page: Page, site: Path) -> None:
    page.goto((site / "limits.html").as_uri())
    banner = page.locator(".md-banner strong")
    assert banner.is_visible()
    assert banner.evaluate("one => getComputedStyle(one).color") == "rgb(17, 17, 17)"
    behind = page.locator(".md-banner").evaluate("one => getComputedStyle(one).backgroundColor")
    assert behind == "rgb(255, 209, 0)"


def test_the_keyboard_opens_the_menu_of_a_phone(page: Page, site: Path, size: Size) -> None:
    # 2.1.1, 4.1.2
    if size != PHONE:
        pytest.skip("a laptop shows its menu")
    page.goto((site / "index.html").as_uri())
    menu = page.get_by_role("button", name="Navigation")
    link = page.locator(
        ".md-nav--primary a[href='limits.html'], .md-nav--primary label", has_text="Limits"
    )
    assert menu.get_attribute("aria-expanded") == "false"
    assert not link.first.is_visible()
    menu.focus()
    page.keyboard.press("Enter")
    link.first.wait_for(state="visible")
    assert menu.get_attribute("aria-expanded") == "true"
    page.keyboard.press(" ")
    link.first.wait_for(state="hidden")
    assert page.get_by_role("button", name="Search").count() >= 1
