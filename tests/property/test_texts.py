"""Texts published elsewhere: any bytes are read or refused, and what is judged stands there."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from placardry.audit.texts_reading import read
from placardry.errors import Malformed
from placardry.number_words import in_digits
from placardry.spoken import spoken_quantities
from placardry.transcript import as_written
from tests.unit.test_audit_text import judged

SAID = (
    "<table> <tr> <td> </td> <th> </table> <h2> </h2> <p> <v A> &deg; 88 °C red rot coolant the und"
    " and to twelve hundred degrees uh, minus one zwei Grad 1:50 ½ | -- --> 00:01.000 12,5 bar ±"
    " point oh eine halbe viertelstunde every limit . , ; ( )"
)
TEXTS = st.lists(st.sampled_from([*SAID.split(), "\n", "\n\n", " ", "\u00a0", "\u2028"])).map(
    " ".join
)
NAMES = st.sampled_from(["a.vtt", "a.srt", "a.html", "a.md", "a.txt", "a"])
LANGUAGES = st.sampled_from(["en", "de"])


@given(st.binary() | TEXTS.map(str.encode), NAMES, LANGUAGES)
def test_any_bytes_are_judged_or_refused(data: bytes, name: str, language: str) -> None:
    try:
        running = read(name, data)
    except Malformed:
        return
    for one in judged(data, language, name):
        assert one.text in " ".join(running.text.split())


@given(TEXTS, LANGUAGES)
def test_what_was_said_is_found_where_it_was_said(text: str, language: str) -> None:
    ends = 0
    for one in spoken_quantities(text, language):
        assert one.text == text[one.start : one.end]
        assert one.text == one.text.strip()
        assert one.start >= ends
        ends = one.end


@given(TEXTS, LANGUAGES)
def test_what_is_not_rewritten_stays_in_its_place(text: str, language: str) -> None:
    for new in (as_written(text, language), in_digits(text, language)):
        assert new.back(0, len(new.text)) == (0, len(text)) or new.changed
        for at, sign in enumerate(new.text):
            inside = any(start <= at < end for start, end, *_ in new.changed)
            assert inside or text[slice(*new.back(at, at + 1))] == sign
