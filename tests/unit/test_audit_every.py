"""An interval of one month or year is said without its number, and traced all the same."""

from __future__ import annotations

import pytest

from placardry.audit import audit_file
from tests.unit.test_audit_claims import register, row


@pytest.mark.parametrize(
    ("number", "word", "expected"),
    [
        ("1", "month", []),
        ("1", "1 month", []),
        ("1", "year", ["figure-with-wrong-value"]),
        ("2", "month", ["figure-with-wrong-value"]),
        ("21", "month", ["figure-with-wrong-value"]),
    ],
)
def test_a_word_for_one_is_the_figure_of_one(number: str, word: str, expected: list[str]) -> None:
    shown = "1 month" if number == "1" else f"{number} months"
    interval = row(
        id="tyres", part="calendar", type="interval", parameter=None, condition=None,
        exact={"high": f"{number}/1", "unit": "month"}, published={"month": {"high": number}},
        shown={"month": shown}, margin={"month": "0"},
    )  # fmt: skip
    page = f'<p>Every <a href="register.html#tyres.calendar">{word}</a>.</p>'
    data = f'<html lang="en"><body>{page}</body></html>'.encode()
    found = audit_file("schedule.html", data, {"": register(interval)})
    assert [one.finding.rule.name for one in found.told] == expected
