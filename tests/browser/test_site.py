"""A finished site as an owner opens it: from disk, on a phone, without a network."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import wcag_contrast_ratio

from placardry.pages import drawings, pages
from placardry.site import render
from placardry.wording.phrases import Speaker
from tests.browser.guard import Size
from tests.manuals import RICH, manual_of, speaker_of, told

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

LONG = "Donau" + "dampfschifffahrts" * 8
HOSTILE = (
    f'<img src=x onerror="window.spent = 1"> </script><script>window.spent = 1</script> {LONG}'
)
SIGNALS = ("danger", "warning", "caution", "notice")


def written(speaker: Speaker, folder: Path) -> Path:
    files: Mapping[str, bytes] = render(speaker, pages(speaker), drawings(speaker))
    for path, data in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return folder


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(speaker_of(), tmp_path_factory.mktemp("site"))


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(Speaker(told(manual_of(RICH), HOSTILE)), tmp_path_factory.mktemp("hostile"))


def all_pages(site: Path) -> Iterator[Path]:
    return iter(sorted(site.rglob("*.html")))


def assert_fits(page: Page, size: Size, path: Path) -> None:
    width = page.evaluate("document.documentElement.scrollWidth")
    assert width <= size.width, f"{path.name} is {width} px wide"


def test_every_page_fits_and_is_quiet(page: Page, size: Size, site: Path) -> None:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    for path in all_pages(site):
        page.goto(path.as_uri())
        assert_fits(page, size, path)
    assert said == []


def test_nothing_an_author_typed_runs_or_breaks_out(page: Page, size: Size, hostile: Path) -> None:
    for path in all_pages(hostile):
        page.goto(path.as_uri())
        page.wait_for_timeout(50)
        assert page.evaluate("window.spent") is None, path.name
        assert_fits(page, size, path)
    page.goto((hostile / "index.html").as_uri())
    assert page.title().startswith("‹img src=x")


def search(page: Page, words: str) -> None:
    field = page.locator("input.md-search__input")
    if not field.is_visible():  # a phone opens it by a button
        page.locator("label.md-header__button[for=__search]").click()
    field.press_sequentially(words)
    page.locator("a.md-search-result__link").first.wait_for(state="visible")


def test_search_from_disk_finds_and_runs_nothing(page: Page, site: Path, hostile: Path) -> None:
    page.goto((site / "procedures" / "too-hot.html").as_uri())
    search(page, "boiling")
    found = page.locator("a.md-search-result__link").first
    assert "guide/engine/coolant.html" in (found.get_attribute("href") or "")
    page.goto((hostile / "index.html").as_uri())
    search(page, "onerror")
    assert page.evaluate("window.spent") is None


def test_a_figure_leads_to_its_row_in_the_register(page: Page, site: Path) -> None:
    page.goto((site / "guide" / "engine" / "coolant.html").as_uri())
    page.locator("a[href$='register.html#coolant.green']").first.click()
    page.wait_for_url("**/register.html#coolant.green")
    row = page.locator("tr", has=page.locator("[id='coolant.green']"))
    assert "procedures/coolant.yaml" in row.inner_text()


def colours(page: Page, selector: str) -> tuple[list[float], list[float]]:
    found: list[list[float]] = page.evaluate(
        """selector => {
            const element = document.querySelector(selector);
            let behind = element;
            const channels = text => text.match(/[\\d.]+/g).map(Number);
            while (behind && [undefined, 0].includes(
                channels(getComputedStyle(behind).backgroundColor)[3] ?? 1)) {
                behind = behind.parentElement;
            }
            const back = behind ? getComputedStyle(behind).backgroundColor : "rgb(255,255,255)";
            return [channels(getComputedStyle(element).color), channels(back)];
        }""",
        selector,
    )
    return ([one / 255 for one in found[0][:3]], [one / 255 for one in found[1][:3]])


@pytest.mark.parametrize(
    ("path", "selector"),
    [
        ("index.html", ".md-typeset p"),
        ("index.html", ".md-typeset a"),
        ("index.html", ".md-header__title"),
        ("index.html", ".md-footer .md-copyright"),
        ("limits.html", ".md-typeset th"),
        ("limits.html", ".md-typeset td a"),
        ("procedures/too-hot.html", ".md-typeset .source"),
        ("procedures/too-hot.html", ".warning > .admonition-title"),
        ("procedures/too-hot.html", ".notice > .admonition-title"),
        ("guide/engine/coolant.html", ".danger > .admonition-title"),
    ],
)
def test_words_stand_out(page: Page, site: Path, path: str, selector: str) -> None:
    page.goto((site / path).as_uri())
    fore, back = colours(page, selector)
    # WCAG 2.2, 1.4.3: at least 4.5 to 1 for text.
    assert wcag_contrast_ratio.rgb(fore, back) >= 4.5


def test_signal_words_have_the_colours_of_the_standard(page: Page, site: Path) -> None:
    page.goto((site / "index.html").as_uri())
    shown = {}
    for signal in SIGNALS:
        page.evaluate(
            """signal => {
                const block = document.createElement("div");
                block.className = `admonition ${signal}`;
                block.id = `try-${signal}`;
                block.innerHTML = '<p class="admonition-title">X</p>';
                document.querySelector("article").append(block);
            }""",
            signal,
        )
        selector = f"#try-{signal} > .admonition-title"
        fore, back = colours(page, selector)
        assert wcag_contrast_ratio.rgb(fore, back) >= 4.5, signal
        shown[signal] = back
    # ANSI Z535: danger red, warning orange, caution yellow, notice blue.
    red, orange, yellow, blue = (shown[signal] for signal in SIGNALS)
    assert red[0] > 2 * max(red[1], red[2])
    assert orange[0] > orange[1] > 0.3 > orange[2]
    assert min(yellow[0], yellow[1]) > 0.75 > yellow[2]
    assert blue[2] > 1.5 * max(blue[0], blue[1])
