"""Units and gauge strips as an owner meets them: phone, keyboard, dark, print, no script."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import wcag_contrast_ratio

from placardry.wording.phrases import Speaker
from tests.browser.guard import Size
from tests.browser.test_site import written
from tests.manuals import RICH, speaker_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

pytestmark = pytest.mark.browser

MACHINES = "procedures/machines.yaml"
HARD = """\
document: marl-manual
scales:
  speed:
    parameter: engine-speed
    bands: [green from 1800 rpm, yellow from 7500 rpm, red from 7900 rpm]
    condition: full-power
    source: page 4
    exceeded: Land.
limits:
  vibration: {parameter: engine-speed, name: vibration range, avoid: 3200 to 3900 rpm,
    source: page 4, exceeded: Move the throttle.}
"""


def rich(**replaced: str) -> Speaker:
    return speaker_of({**RICH, "procedures/hard.yaml": HARD, **replaced})


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two manuals of one site: for Europe, and for a market of °F."""
    folder = tmp_path_factory.mktemp("sites")
    written(rich(), folder / "eu")
    written(rich(**{MACHINES: RICH[MACHINES].replace("[degC,", "[degF,")}), folder / "us")
    return folder


def opened(page: Page, sites: Path, manual: str = "eu", path: str = "limits.html") -> Locator:
    page.goto((sites / manual / path).as_uri())
    return page.get_by_role("combobox", name="Units", exact=True)


def cells(page: Page) -> list[str]:
    """The cells that can be read in the row of the green band."""
    row = page.locator("td", has_text="Green: normal").last.locator("xpath=..")
    return [cell.inner_text() for cell in row.locator("td").all() if cell.is_visible()]


BOTH = ["Green: normal", "60 to 80\u00a0°C", "140 to 176\u00a0°F"]


def test_units_switch_at_once(page: Page, sites: Path) -> None:
    choice = opened(page, sites)
    assert cells(page) == BOTH
    choice.select_option("°F")
    assert cells(page) == [BOTH[0], BOTH[2]]
    assert page.get_by_role("status").inner_text() == "Figures are shown in °F."
    choice.select_option("°C")
    assert cells(page) == BOTH[:2]
    choice.select_option("°C · °F")
    assert cells(page) == BOTH


def visible(page: Page, selector: str) -> list[str]:
    """The texts of these elements as they are seen."""
    found: list[str] = page.locator(selector).evaluate_all(
        "all => all.map(one => one.innerText.replace(/\\s+/g, ' ').trim())"
    )
    return found


def test_running_text_follows_and_keeps_its_words(page: Page, sites: Path) -> None:
    choice = opened(page, sites, path="guide/engine/coolant.html")
    assert "The coolant is warm inside 60 to 80 °C. See" in visible(page, "article p")[0]
    choice.select_option("°F")
    assert "The coolant is warm inside 140 to 176 °F. See" in visible(page, "article p")[0]
    assert visible(page, "td:last-child")[0] == "above 194 °F"
    page.emulate_media(media="print")
    assert "The coolant is warm inside 60 to 80 °C. See" in visible(page, "article p")[0]


def test_what_an_instrument_is_set_to_keeps_its_units(page: Page, sites: Path) -> None:
    choice = opened(page, sites, path="alarms.html")
    choice.select_option("°F")
    fires = next(one for one in visible(page, "article li") if one.startswith("Fires"))
    assert "88 °C · 190 °F" in fires


def test_the_register_shows_every_unit(page: Page, sites: Path) -> None:
    choice = opened(page, sites, path="register.html")
    whole = visible(page, "article td")
    choice.select_option("°F")
    assert visible(page, "article td") == whole


def test_no_figure_is_ever_gone(page: Page, sites: Path) -> None:
    """Of every cell, item and paragraph with a figure some figure stays, and all its words."""
    for path in ("limits.html", "facts.html", "procedures/too-hot.html", "instruments/wren.html"):
        choice = opened(page, sites, path=path)
        choice.select_option("°C · °F")
        whole = visible(page, "article :is(p, li, tr)")
        for name, other in (("°C", "°F"), ("°F", "°C")):
            choice.select_option(name)
            for before, now in zip(whole, visible(page, "article :is(p, li, tr)"), strict=True):
                assert len(re.findall(r"[0-9] ", now)) >= len(re.findall(r"[0-9] ", before)) / 2
                words = re.sub(r"[0-9.−·°CF]+|\bto\b", " ", before).split()
                assert set(words) == set(re.sub(r"[0-9.−·°CF]+|\bto\b", " ", now).split())
                if other not in before:
                    assert now == before


def test_the_choice_is_kept_for_every_page_and_manual(page: Page, sites: Path) -> None:
    opened(page, sites).select_option("°F")
    assert opened(page, sites, path="facts.html").input_value() == "other"
    assert page.locator("html").get_attribute("data-units") == "other"
    us = opened(page, sites, "us")
    assert us.input_value() == "own"  # the same units, which are this market's own
    assert cells(page) == [BOTH[0], BOTH[2]]
    page.go_back()
    assert page.locator("html").get_attribute("data-units") == "other"
    page.go_forward()
    us.select_option("°F · °C")
    assert opened(page, sites).input_value() == ""


def test_the_keyboard_chooses(page: Page, sites: Path) -> None:
    choice = opened(page, sites)
    choice.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert cells(page) == [BOTH[0], BOTH[2]]
    assert choice.evaluate("element => element === document.activeElement")
    box = choice.bounding_box()
    assert box is not None
    assert box["height"] >= 44  # WCAG 2.2, 2.5.5 target size (enhanced)


def test_print_shows_every_unit_and_no_control(page: Page, sites: Path) -> None:
    choice = opened(page, sites)
    choice.select_option("°F")
    page.emulate_media(media="print")
    assert cells(page) == BOTH
    assert not choice.is_visible()


def test_a_browser_that_keeps_nothing_switches_all_the_same(page: Page, sites: Path) -> None:
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', {get() { throw new Error('no'); }})"
    )
    opened(page, sites).select_option("°F")
    assert cells(page) == [BOTH[0], BOTH[2]]


def test_without_script_all_units_stand(chromium: Browser, sites: Path) -> None:
    context = chromium.new_context(java_script_enabled=False)
    try:
        page = context.new_page()
        assert opened(page, sites).count() == 0
        assert page.locator("td.unit-own").first.is_visible()
        assert page.locator("td.unit-other").first.is_visible()
    finally:
        context.close()


def test_the_header_holds_the_choice_on_a_narrow_phone(page: Page, sites: Path) -> None:
    page.set_viewport_size({"width": 320, "height": 640})
    choice = opened(page, sites)
    box = choice.bounding_box()
    assert box is not None
    assert box["x"] + box["width"] <= 320
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert page.locator(".md-header__title").bounding_box()["width"] > 40  # type: ignore[index]


def test_no_numeral_covers_another(page: Page, sites: Path, size: Size) -> None:
    opened(page, sites)
    for width in {320, size.width}:
        page.set_viewport_size({"width": width, "height": 800})
        for figure in page.locator("figure.gauge").all():
            around, *boxes = figure.evaluate(
                """figure => [figure, ...figure.querySelectorAll("a text")].map(one => {
                    const {left, right, top, bottom} = one.getBoundingClientRect();
                    return [left, right, top, bottom];
                })"""
            )
            assert len(boxes) >= 3
            for left, right, *_ in boxes:
                assert around[0] - 1 <= left < right <= around[1] + 1
            for one, other in combinations(boxes, 2):
                apart = [one[at] >= other[at + 1] or other[at] >= one[at + 1] for at in (0, 2)]
                assert any(apart), f"{one} and {other} at {width} pixels"


def test_a_strip_is_read_in_words_and_by_its_links(page: Page, sites: Path) -> None:
    opened(page, sites)
    strip = page.get_by_role("group", name="From low to high: green: normal, yellow: caution")
    links = strip.first.get_by_role("link")
    links.first.focus()
    assert links.first.evaluate("element => element === document.activeElement")
    page.keyboard.press("Enter")
    page.wait_for_url("**/register.html#*")


@pytest.mark.parametrize("behind", ["#ffffff", "#1e2129"])
def test_each_mark_stands_out_on_a_light_and_a_dark_page(
    page: Page, sites: Path, behind: str
) -> None:
    opened(page, sites)
    page.evaluate(
        """behind => {
            const dark = behind !== "#ffffff";
            document.body.style.setProperty("--md-default-bg-color", behind);
            if (dark) document.body.style.setProperty("--md-default-fg-color", "#e6e9ee");
        }""",
        behind,
    )
    back = rgb(behind)
    for selector, property_ in (
        (".green", "fill"),
        (".yellow", "stroke"),
        (".avoid", "fill"),
        (".limit", "stroke"),
        (".track", "stroke"),
        ("a text", "fill"),
    ):
        found = page.locator(f".gauge {selector}").first.evaluate(
            "(element, name) => getComputedStyle(element)[name]", property_
        )
        least = 4.5 if selector == "a text" else 3  # WCAG 2.2, 1.4.3 and 1.4.11
        assert wcag_contrast_ratio.rgb(rgb(found), back) >= least, (selector, found)


def rgb(text: str) -> tuple[float, float, float]:
    """`#1e2129` or `rgb(30, 33, 41)` as three shares."""
    if text.startswith("#"):
        parts = [int(text[at : at + 2], 16) for at in (1, 3, 5)]
    else:
        parts = [int(one) for one in text.strip("rgb()").split(",")]
    red, green, blue = (part / 255 for part in parts)
    return red, green, blue
