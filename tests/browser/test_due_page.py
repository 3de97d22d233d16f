"""The due calculator as an owner uses it: from disk, on a phone, in gloves, offline."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import wcag_contrast_ratio

from placardry.site.due_page import PAGE, due_page
from placardry.wording.phrases import Speaker
from tests.browser.guard import LAPTOP, PHONE, Guard
from tests.manuals import RICH, manual_of, told

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

NOON = datetime(2026, 5, 1, 12)  # noqa: DTZ001 - the clock of the owner's device
FILES = {
    **RICH,
    "procedures/tasks.yaml": """\
document: marl-manual
tasks:
  service: {title: Service, about: All of it., hours: every 25 h, tolerance: 2 h, source: page 3}
  papers: {title: Yearly inspection, about: By the dealer., calendar: every 12 months,
           end-of-month: yes, source: page 3}
  first: {title: First inspection, about: By the dealer., hours: at 10 h, source: page 3}
  knock: {title: Look for cracks, about: All of it., after: [a hard landing], source: page 3}
  daily: {title: Look it over, about: Every part., each: flying-day, source: page 3}
  hose: {title: Fit a new hose, about: With its clips., life: 5 years, source: page 3}
""",
}


def written(speaker: Speaker, folder: Path) -> Path:
    for path, data in due_page(speaker).items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return folder / PAGE


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(Speaker(manual_of(FILES)), tmp_path_factory.mktemp("due"))


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    """An empty page on a phone; what leaves the site, or a script's error, fails the test."""
    context = chromium.new_context(viewport={"width": PHONE.width, "height": PHONE.height})
    guard = Guard(context)
    yield context.new_page()
    context.close()
    assert (guard.foreign, guard.errors) == ([], [])


@pytest.fixture
def due(page: Page, site: Path) -> Page:
    """The page on the first of May 2026."""
    page.clock.set_fixed_time(NOON)
    page.goto(site.as_uri())
    return page


def enter(page: Page, name: str, text: str) -> None:
    """Types into a field and leaves it; opens the work that it belongs to."""
    page.evaluate("name => document.getElementById(name).closest('details')?.toggleAttribute("
                  "'open', true)", name)  # fmt: skip
    field = page.locator(f"[id='{name}']")
    field.fill(text)
    field.blur()


def state(page: Page, task: str) -> str:
    return page.locator(f"#work-{task} .verdict").inner_text()


def row(page: Page, title: str) -> str:
    found = page.locator("#list li", has=page.locator(f"a:text-is('{title}')"))
    text: str = found.evaluate("one => one.innerText || one.textContent")
    return text.replace("\u00a0", " ")


def answers(page: Page) -> None:
    """Everything that is asked of the machine, but for the hours."""
    enter(page, "new-date", "2026-01-10")
    page.locator("[name='severe:plugs'][value=no]").check()
    page.locator("[name=nothing]").check()


def test_it_begins_with_today_and_one_demand(due: Page) -> None:
    assert due.locator("#date").input_value() == "2026-05-01"
    assert due.locator("#summary").inner_text() == "Enter the engine hours now."
    assert due.locator("#list li").count() == 0
    assert not due.locator("#script").is_visible()


def test_what_is_missing_is_asked_for_and_never_taken_for_good(due: Page) -> None:
    enter(due, "hours", "60")
    assert state(due, "service") == "Not known"
    assert "the hours at which it was last done" in row(due, "Service")
    assert "whether one of its events has happened" in row(due, "Look for cracks")
    assert state(due, "daily") == "Every time"
    for task in ("papers", "first", "hose", "plugs"):
        assert state(due, task) == "Not known", task
    enter(due, "hours", "4")
    assert state(due, "service") == "Later"  # a new machine owes no service before 25 h


def test_the_list_says_what_is_due_in_order(due: Page) -> None:
    enter(due, "hours", "52,5")
    answers(due)
    enter(due, "hours:service", "26")
    enter(due, "hours:first", "9.5")
    enter(due, "hours:plugs", "2:00")
    enter(due, "date:plugs", "2025-05-10")
    enter(due, "date:papers", "2025-03-12")
    enter(due, "date:hose", "2026-01-10")
    heads = due.locator("#list h3").all_inner_texts()
    assert [head.partition(":")[0] for head in heads] == [
        "Overdue", "Overrun, within what is allowed", "Every time", "Later",
        "Only after an event", "Done, not due again",
    ]  # fmt: skip
    assert "Overdue by 47.5 h" in row(due, "Change the plug")
    assert "at 5.0 h (first time) or by 10 May 2026, whichever comes first" in row(
        due, "Change the plug"
    )
    assert "Overdue by 31 days" in row(due, "Yearly inspection")  # the end of March
    assert "Overrun by 1.5 h, still allowed" in row(due, "Service")
    assert due.locator("#summary").inner_text() == (
        "Overdue: 2. Overrun, within what is allowed: 1."
    )
    assert due.locator("#list a[href='register.html#service.hours']").inner_text() == "25\u00a0h"


def test_an_event_calls_for_its_work_until_that_is_done(due: Page) -> None:
    enter(due, "hours", "4")
    due.get_by_label("Nothing else has happened up to now").check()
    assert state(due, "knock") == "Only after an event"
    due.get_by_label("After a hard landing").check()
    assert state(due, "knock") == "Due now"
    due.locator("#work-knock summary").click()
    due.locator("#work-knock .finish").click()
    assert state(due, "knock") == "Only after an event"
    due.locator("#work-knock .undo").click()
    assert state(due, "knock") == "Due now"


def test_a_no_holds_for_these_hours_alone(due: Page) -> None:
    enter(due, "hours", "4")
    due.get_by_label("Nothing else has happened up to now").check()
    enter(due, "hours", "5")
    assert state(due, "knock") == "Not known"


def test_done_now_enters_today_and_what_was_overrun(due: Page) -> None:
    enter(due, "hours", "26.5")
    enter(due, "hours:service", "0")
    assert state(due, "service") == "Overrun, within what is allowed"
    due.locator("#work-service .finish").click()
    assert due.locator("[id='hours:service']").input_value() == "26.5"
    assert due.locator("[id='hours-due:service']").input_value() == "25.0"
    assert "at 50.0 h" in row(due, "Service")  # the overrun is taken off
    due.locator("#work-service .undo").click()
    assert due.locator("[id='hours:service']").input_value() == "0"
    assert state(due, "service") == "Overrun, within what is allowed"


def test_done_now_wants_to_know_what_now_is(due: Page) -> None:
    due.locator("#work-service summary").click()
    due.locator("#work-service .finish").click()
    assert due.evaluate("document.activeElement.id") == "hours"
    assert due.locator("#hours-fault").inner_text() == "Enter: the engine hours now."


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("hours", "about 30", "Not a number of hours"),
        ("hours", "-3", "below zero"),
        ("hours", "1,234", "in two ways"),
        ("hours:service", "31", "More than the engine hours now"),
        ("date:papers", "2026-05-02", "After the date of today"),
        ("new-date", "2027-01-01", "After the date of today"),
    ],
)
def test_bad_input_is_answered_in_clear_words(due: Page, field: str, text: str, words: str) -> None:
    enter(due, "hours", "30.5")
    enter(due, "date:papers", "2025-06-12")
    enter(due, "hours:service", "29")
    enter(due, field, text)
    fault = due.locator(f"[id='{field}-fault']")
    assert words in fault.inner_text()
    assert due.locator(f"[id='{field}']").get_attribute("aria-invalid") == "true"
    for task in ("service", "papers"):
        assert state(due, task) in ("Not known", "Later", "Due soon")
    if field in ("hours", "hours:service"):
        assert state(due, "service") == "Not known"
    enter(due, field, "29" if field.startswith("hours") else "2025-05-02")
    assert fault.text_content() == ""


def test_what_lies_ahead_is_refused_also_where_today_is_not_said(due: Page) -> None:
    enter(due, "hours", "30")
    enter(due, "date:papers", "2036-05-01")
    for today in ("2026-05-01", ""):  # without a date, the day of the device
        enter(due, "date", today)
        assert state(due, "papers") == "Not known"
        assert "After the date of today" in due.locator("[id='date:papers-fault']").inner_text()
        assert due.locator("[id='date:papers']").get_attribute("max") == "2026-05-01"
    enter(due, "hours:service", "29")
    enter(due, "hours-due:service", "5000")
    fault = due.locator("[id='hours-due:service-fault']")
    assert "More than the engine hours now" in fault.inner_text()
    assert state(due, "service") == "Not known"


def test_a_kept_day_that_lies_ahead_is_seen_when_the_page_opens(due: Page, site: Path) -> None:
    enter(due, "date:papers", "2026-04-30")
    due.clock.set_fixed_time(datetime(2026, 4, 1, 12))  # noqa: DTZ001 - another clock is set
    due.evaluate("sessionStorage.clear()")
    due.goto(site.as_uri())
    assert due.locator("[id='date:papers-fault']").is_visible()


def test_a_day_that_there_is_not_is_told(due: Page) -> None:
    field = due.locator("[id='date']")
    field.focus()
    field.press("Delete")
    field.press_sequentially("0230")  # month and day; the year of today stands
    field.blur()
    assert "no such day" in due.locator("#date-fault").inner_text()


def test_entries_stay_and_the_hours_are_asked_again(due: Page, site: Path) -> None:
    enter(due, "hours", "12,5")
    enter(due, "hours:service", "3")
    due.get_by_label("After a hard landing").check()
    due.evaluate("sessionStorage.clear()")  # the browser was closed
    due.goto(site.as_uri())
    assert due.locator("#hours").input_value() == ""
    assert due.locator("[id='hours:service']").input_value() == "3"
    assert state(due, "service") == "Not known"
    assert "12,5, on 1" in due.locator("#last").inner_text().replace("\u00a0", " ")
    due.get_by_role("button", name="Still 12,5").click()
    assert state(due, "service") == "Later"
    assert state(due, "knock") == "Due now"
    clear = due.locator("#clear")
    clear.click()
    assert clear.inner_text() == "Tap again to clear all"
    clear.click()
    assert due.evaluate("[localStorage.length, sessionStorage.length]") == [0, 0]
    assert due.locator("#told").inner_text() == "All entries are cleared."
    due.goto(site.as_uri())
    assert due.locator("[id='hours:service']").input_value() == ""


def test_entries_go_into_a_file_and_come_back(due: Page, tmp_path: Path) -> None:
    enter(due, "hours", "12")
    enter(due, "date:papers", "2025-06-12")
    due.locator("[name='never:hose']").evaluate("one => one.click()")
    with due.expect_download() as download:
        due.locator("#save").click()
    kept = tmp_path / "kept.json"
    download.value.save_as(kept)
    enter(due, "date:papers", "2025-07-13")
    due.locator("#load").set_input_files(kept)
    due.locator("#told", has_text="are loaded").wait_for()
    assert due.locator("[id='date:papers']").input_value() == "2025-06-12"
    assert due.locator("[name='never:hose']").is_checked()
    whole = json.loads(kept.read_text())
    for change, words in (({"machine": "gull"}, "another machine"), ({"page": "x"}, "no entries")):
        kept.write_text(json.dumps(whole | change))
        due.locator("#load").set_input_files(kept)
        due.locator("#told", has_text=words).wait_for()
    kept.write_bytes(b"\x00no file of ours")
    due.locator("#load").set_input_files(kept)
    due.locator("#told", has_text="no entries").wait_for()
    whole["last"] = {"hours": "1", "on": 1e300}
    whole["entries"] = {"hours:service": "<img src=x onerror=window.spent=1>", "date": 5, "x": []}
    kept.write_text(json.dumps(whole))
    due.locator("#load").set_input_files(kept)
    due.locator("#told", has_text="are loaded").wait_for()
    assert "Not a number" in (due.locator("[id='hours:service-fault']").text_content() or "")
    assert due.evaluate("window.spent") is None


def test_the_list_is_printed_alone_and_whole(due: Page) -> None:
    enter(due, "hours", "12,5")
    enter(due, "hours:service", "3")
    due.evaluate("window.print = () => { window.printed = true; }")
    due.locator("#print").click()
    assert due.evaluate("window.printed") is True
    due.evaluate("dispatchEvent(new Event('beforeprint'))")
    due.emulate_media(media="print")
    assert due.locator("#stamp").inner_text() == "Tern: 12.5\u00a0h, 1\u00a0May\u00a02026"
    assert due.locator("#list li").filter(visible=True, has_text="15.5\u00a0h left").count() == 1
    assert not due.locator("#now, #questions, #works, #keep").filter(visible=True).count()
    assert due.locator(".caution").first.is_visible()


def test_the_keyboard_alone_will_do(due: Page) -> None:
    due.locator("#hours").focus()
    due.keyboard.type("60")
    due.keyboard.press("Tab")
    link = due.get_by_role("link", name="Service", exact=True)
    link.focus()
    due.keyboard.press("Enter")
    assert due.evaluate("document.activeElement.id") == "work-service"
    due.keyboard.press("Tab")
    while due.evaluate("document.activeElement.id") != "hours:service":
        due.keyboard.press("Tab")
    due.keyboard.type("55")
    assert state(due, "service") == "Later"
    assert due.locator("#summary").get_attribute("role") == "status"


def test_targets_are_large_and_the_page_narrow(due: Page) -> None:
    enter(due, "hours", "60")
    due.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    for width in (LAPTOP.width, PHONE.width, 320):  # WCAG 2.2, 1.4.10 reflow: 320 CSS pixels
        due.set_viewport_size({"width": width, "height": 640})
        assert due.evaluate("document.documentElement.scrollWidth") <= width
    # WCAG 2.2, 2.5.5 target size (enhanced): 44 CSS pixels; a link in a sentence is exempt.
    small = due.evaluate(
        """[...document.querySelectorAll(
            "input:not([type=checkbox], [type=radio], [type=file]), button, summary, .tick, "
            + ".button, #list li > a")].filter(one => one.getClientRects().length)
            .map(one => [one.id || one.textContent, one.getBoundingClientRect().height])
            .filter(([, height]) => height < 44)"""
    )
    assert small == []


def colours(page: Page, selector: str) -> tuple[list[float], list[float]]:
    found: list[list[float]] = page.evaluate(
        """selector => {
            const element = document.querySelector(selector);
            const channels = text => text.match(/[\\d.]+/g).map(Number);
            let behind = element;
            while (channels(getComputedStyle(behind).backgroundColor)[3] === 0) {
                behind = behind.parentElement;
            }
            return [element, behind].map((one, at) => channels(
                getComputedStyle(one)[at ? "backgroundColor" : "color"]).slice(0, 3));
        }""",
        selector,
    )
    fore, back = ([one / 255 for one in three] for three in found)
    return fore, back


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_by_day_and_by_night(due: Page, scheme: str) -> None:
    due.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    enter(due, "hours", "60")
    enter(due, "hours:service", "30")
    due.get_by_label("After a hard landing").check()
    enter(due, "new-hours", "x")
    for selector in (
        "h1", ".caution", ".way a", ".hint", "label", "#hours", ".finish", "#save", "summary",
        ".state.overdue", ".state.due", ".state.unknown", "#list li > a", ".when a",
        "#new-hours-fault", "footer",
    ):  # fmt: skip
        fore, back = colours(due, selector)
        # WCAG 2.2, 1.4.3: at least 4.5 to 1 for text.
        assert wcag_contrast_ratio.rgb(fore, back) >= 4.5, selector


@pytest.fixture
def bare(chromium: Browser) -> Iterator[BrowserContext]:
    """A browser without script."""
    context = chromium.new_context(java_script_enabled=False)
    yield context
    context.close()


def test_without_script_the_works_stand_there(bare: BrowserContext, site: Path) -> None:
    page = bare.new_page()
    page.goto(site.as_uri())
    assert "it needs JavaScript" in page.locator("#script").inner_text()
    assert not page.locator("#now, #answer, #keep, input, button").filter(visible=True).count()
    assert "Every 25\u00a0h" in page.locator("#work-service").inner_text()


def test_a_browser_that_keeps_nothing_says_so(chromium: Browser, site: Path) -> None:
    context = chromium.new_context()
    guard = Guard(context)
    page = context.new_page()
    page.add_init_script(
        "for (const name of ['localStorage', 'sessionStorage']) Object.defineProperty(window, name,"
        " { get() { throw new DOMException('no', 'SecurityError'); } });"
    )
    page.goto(site.as_uri())
    enter(page, "hours", "60")
    assert "keeps nothing" in page.locator("#kept").inner_text()
    assert state(page, "service") == "Not known"
    context.close()
    assert guard.errors == []


def test_nothing_that_an_author_typed_runs(page: Page, tmp_path: Path) -> None:
    hostile = '<img src=x onerror="window.spent = 1"></script><script>window.spent = 1</script>'
    page.goto(written(Speaker(told(manual_of(FILES), hostile)), tmp_path).as_uri())
    enter(page, "hours", "60")
    page.wait_for_timeout(50)
    assert page.evaluate("window.spent") is None
