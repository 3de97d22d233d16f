"""What all tests share: the browser and its guard, golden files, Hypothesis' manners."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from tests.browser.guard import LAPTOP, PHONE, Guard, Size

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

GOLDEN = Path(__file__).parent / "golden"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
BROWSER_ARGUMENTS = (
    "--no-sandbox",  # root in a container has no other way
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)

# Mkdocs' theme prints a notice about its future into every build.
os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")

# A deadline fails on a busy machine; in CI the same examples are tried at every run.
settings.register_profile("laptop", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "laptop")


# Folders whose tests look at something that is built once; those of a file share a process.
BUILDING = ("browser",)
# Those of the whole folder do.
BUILDING_TOGETHER = ("audit", "demo")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keeps tests that share a build in one process, so that no other builds it again."""
    for item in items:
        folder = item.path.relative_to(Path(__file__).parent).parts[0]
        if folder in (*BUILDING, *BUILDING_TOGETHER):
            group = folder if folder in BUILDING_TOGETHER else f"{folder}/{item.path.stem}"
            item.add_marker(pytest.mark.xdist_group(group))


def pytest_addoption(parser: pytest.Parser) -> None:
    """Adds the option behind `make golden`."""
    parser.addoption(
        "--renew-golden", action="store_true", help="write tests/golden/ anew from what is made now"
    )


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str | bytes], None]:
    """Compares with a file below tests/golden/: `golden("report/plain.txt", text)`."""

    def compare(name: str, made: str | bytes) -> None:
        path = GOLDEN / name
        data = made.encode() if isinstance(made, str) else made
        if request.config.getoption("--renew-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            return
        assert path.is_file(), f"no tests/golden/{name}: run `make golden` and read the diff"
        kept = path.read_bytes()
        if isinstance(made, str):
            assert made == kept.decode()  # as text, so that a failure shows the lines
        assert data == kept

    return compare


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The system's Chromium; without one the test is skipped, or fails where CI requires it."""
    program = next(filter(None, map(shutil.which, BROWSERS)), None)
    if program is None:
        missing = "no Chromium on the PATH: install the package `chromium`"
        if os.environ.get("PLACARDRY_REQUIRE_BROWSER") == "1":
            pytest.fail(missing)
        pytest.skip(missing)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(BROWSER_ARGUMENTS))
        yield browser
        browser.close()


@pytest.fixture(params=[PHONE, LAPTOP], ids=["phone", "laptop"])
def size(request: pytest.FixtureRequest) -> Size:
    """The window that `page` opens: each test runs on a phone and on a laptop."""
    window: Size = request.param
    return window


@pytest.fixture
def page(chromium: Browser, size: Size) -> Iterator[Page]:
    """An empty page; a request that leaves the site, or a script's error, fails the test."""
    context = chromium.new_context(viewport={"width": size.width, "height": size.height})
    guard = Guard(context)
    try:
        yield context.new_page()
    finally:
        context.close()
    assert guard.foreign == [], "requests left the site"
    assert guard.errors == [], "scripts of the page failed"
