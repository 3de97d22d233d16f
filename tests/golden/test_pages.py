"""The pages of a small manual, as they stand in the files beside this one."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from placardry.pages import drawings, pages
from tests.manuals import speaker_of

SPEAKER = speaker_of()
PAGES = {page.path: page for page in pages(SPEAKER)}


@pytest.mark.parametrize("path", PAGES)
def test_page(path: str, golden: Callable[[str, str | bytes], None]) -> None:
    golden(f"pages/{path}", PAGES[path].markdown)


def test_drawing(golden: Callable[[str, str | bytes], None]) -> None:
    for path, data in drawings(SPEAKER).items():
        golden(f"pages/{path}", data.decode())
