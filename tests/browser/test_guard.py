"""The guard itself: it must see what it is there to see."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.guard import FOREIGN, Guard

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    context = chromium.new_context()
    yield context
    context.close()


def visit(context: BrowserContext, tmp_path: Path, body: str) -> Guard:
    guard = Guard(context)
    path = tmp_path / "index.html"
    path.write_text(f"<!doctype html><title>t</title>{body}")
    context.new_page().goto(path.as_uri(), wait_until="load")
    return guard


@pytest.mark.parametrize(
    "url",
    ["https://example.org/", "http://localhost.example.org/", "wss://example.org", "ftp://a/b"],
)
def test_foreign(url: str) -> None:
    assert FOREIGN.match(url)


@pytest.mark.parametrize(
    "url", ["file:///a/b.html", "data:,x", "blob:null/1", "http://localhost:8000/", "http://[::1]/"]
)
def test_of_the_site(url: str) -> None:
    assert not FOREIGN.match(url)


def test_a_foreign_picture_is_noted(context: BrowserContext, tmp_path: Path) -> None:
    guard = visit(context, tmp_path, '<img alt="" src="http://example.invalid/a.png">')
    assert guard.foreign == ["http://example.invalid/a.png"]


def test_a_failing_script_is_noted(context: BrowserContext, tmp_path: Path) -> None:
    guard = visit(context, tmp_path, "<script>throw new Error('spent fuse')</script>")
    assert len(guard.errors) == 1
    assert "spent fuse" in guard.errors[0]


def test_a_page_of_our_own_is_quiet(page: Page, tmp_path: Path) -> None:
    (tmp_path / "a.css").write_text("body {color: black}")
    path = tmp_path / "index.html"
    path.write_text('<!doctype html><title>t</title><link rel="stylesheet" href="a.css"><p>Quiet')
    page.goto(path.as_uri())
    assert page.inner_text("p") == "Quiet"
