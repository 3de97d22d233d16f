"""What lies aslant over a page, as the mark of a draft, is never taken for a link's words."""

from __future__ import annotations

import typst

from placardry.audit.pdf_reading import read

PAGE = b"""
#set page(width: 148mm, height: 210mm, margin: 10mm)
#place(top + left, link("register.html#a", rect(width: 100%, height: 100%)[88 degC]))
#place(center + horizon, rotate(ANGLE, text(size: 60pt)[DRAFT]))
"""


def target_of(word: str, angle: bytes) -> str:
    """Where a word leads that is laid over one link as large as the page."""
    document = read("manual.pdf", typst.compile(PAGE.replace(b"ANGLE", angle)))
    (found,) = (run.target for run in document.pages[0].runs if word in run.text)
    return found


def test_a_mark_across_the_page_leads_nowhere() -> None:
    assert target_of("DRAFT", b"-54.8deg") == ""
    assert target_of("DRAFT", b"-22deg") == ""


def test_words_that_stand_upright_lead_where_their_area_does() -> None:
    assert target_of("88", b"-54.8deg") == "register.html#a"
    assert target_of("DRAFT", b"0deg") == "register.html#a"
    assert target_of("DRAFT", b"-90deg") == "register.html#a"
