"""What stays on one line: the words of a page are the same, and nothing but words is touched."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placardry.audit import pages
from placardry.site.unbroken import unbroken

PLAIN = re.compile(r"</?span\b[^>]*>")
PARTS = (
    *("2026-06-01", "K7MX-3ACF", "12026-06-01", "\u20132026-06-01", "-", " ", "of ", "&nbsp;"),
    *("<p>", "</p>", '<a href="x-2026-06-01">', "</a>", "<!-- 2026-06-01 -->"),
)


@pytest.mark.parametrize("word", ["2026-06-01", "K7MX-3ACF"])
def test_a_date_and_a_code_stay_on_one_line(word: str) -> None:
    kept = f'<span style="white-space:nowrap">{word}</span>'
    assert unbroken(f"<p>of {word}, and</p>") == f"<p>of {kept}, and</p>"


@pytest.mark.parametrize(
    "page",
    [
        '<a href="register.html?day=2026-06-01" title="2026-06-01">x</a>',
        "<script>const day = '2026-06-01', less = 1 < 2;</script>",
        '<script type="application/json">{"on": "2026-06-01"}</script>',
        "<title>Edition of 2026-06-01</title>",
        "<svg viewBox='0 0 1 1'><text>2026-06-01</text></svg>",
        "<select><option>2026-06-01</option></select>",
        "<!-- 2026-06-01 -->",
        '<p title="a > 2026-06-01">x</p>',
        "<p title='a > 2026-06-01' class=x>x</p>",
        "<SCRIPT>const day = '2026-06-01';</Script >",
        "<p>TE-2026-06-01, 12026-06-01, 2026-06-011, well-known</p>",
    ],
)
def test_all_else_is_left_as_it_is(page: str) -> None:
    assert unbroken(page) == page


@given(st.lists(st.sampled_from(PARTS)).map("".join))
def test_the_words_of_a_page_stay_as_they_are(page: str) -> None:
    assert PLAIN.sub("", unbroken(page)) == page


def test_the_audit_reads_the_same_words() -> None:
    said = "<li>Edition 3 of 2026-06-01 → K7MX-3ACF, <b>2</b> of 2026-05-01.</li>"
    page = f"<html lang='en'><body><ul>{said}</ul><footer>Edition 3 of 2026-06-01.</footer></body>"
    words, again = (
        ["".join(piece.text for piece in block.pieces) for block in pages.read("x.html", data)[1]]
        for data in (page.encode(), unbroken(page).encode())
    )
    assert len(words) == 2
    assert words == again
