"""The assets do what they are kept for: search and font from disk, without a request outside."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.architecture.source import PACKAGE

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

# JSON is YAML too.
SETTINGS = {
    "site_name": "Small",
    "use_directory_urls": False,
    "theme": {"name": "material", "font": False},
    "plugins": ["search", "offline"],
    "extra": {"polyfills": ["scripts/iframe-worker.js"], "generator": False},
    "extra_css": ["fonts.css"],
}
FONT = """
@font-face {font-family: "Inter"; src: url("fonts/Inter-Regular.woff2") format("woff2")}
:root {--md-text-font: "Inter"}
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("small")
    shutil.copytree(PACKAGE / "assets", root / "docs")
    (root / "docs" / "fonts.css").write_text(FONT)
    (root / "docs" / "README.md").unlink()
    (root / "docs" / "index.md").write_text("# Start\n\nNothing here.\n")
    (root / "docs" / "below").mkdir()
    (root / "docs" / "below" / "limits.md").write_text("# Limits\n\nThe thermostat opens.\n")
    (root / "mkdocs.yml").write_text(json.dumps(SETTINGS))
    command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--strict"]
    subprocess.run(command, cwd=root, check=True)
    return root / "site"


@pytest.mark.parametrize("start", ["index.html", "below/limits.html"])
def test_search_finds(page: Page, site: Path, start: str) -> None:
    page.goto((site / start).as_uri())
    field = page.locator("input.md-search__input")
    if not field.is_visible():  # a phone opens it by a button
        page.locator("label.md-header__button[for=__search]").click()
    field.press_sequentially("thermostat")  # the theme listens to keys
    found = page.locator("a.md-search-result__link").first
    found.wait_for(state="visible")
    assert "below/limits.html" in (found.get_attribute("href") or "")


def test_the_font_is_ours(page: Page, site: Path) -> None:
    page.goto((site / "index.html").as_uri())
    faces = "document.fonts.ready.then(all => [...all].map(one => one.family + ' ' + one.status))"
    assert page.evaluate(faces) == ["Inter loaded"]
