"""Words with a hyphen in one place and in one piece in another."""

from __future__ import annotations

import pytest

from tests.books import judge_page


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Fit the drip-tray. Empty the driptray.", 1),
        ("Do the warm-up. After the warmup, fly.", 1),
        ("Fit the drip-tray. Empty the tray.", 0),
        ("Re-cover the wing to recover it.", 0),
        ("Fit the drip-tray of the {page/driptray}.", 0),
    ],
)
def test_a_word_is_spelt_in_one_way(text: str, told: int) -> None:
    found = judge_page(f"# Notes\n\n{text}\n").findings
    assert sum(one.rule.name == "two-spellings" for one in found) == told
