"""The lengths of sentences that the rule on prose allows, against the writing rules it cites.

Source: ASD-STE100 issue 9 (seen as a second-hand extract): REF190, rule 5.1, at most 20 words in a
procedural sentence; REF191, section 6, at most 25 in a descriptive one. How words are counted is
from memory where the rule's manual says so.
"""

from __future__ import annotations

import pytest

from placardry.rules.prose import sentences
from tests.books import judge_page, judged

STEP = "procedure: look\ntitle: Look\nchapter: operation\nwhen: at dusk\nsteps:\n  - do: {}\n"


def of(count: int) -> str:
    return " ".join(["word"] * count) + "."


@pytest.mark.parametrize(("words", "found"), [(20, []), (21, ["long-sentence"])])
def test_a_step_has_at_most_20_words(words: int, found: list[str]) -> None:
    prepared = judged(look=STEP.format(of(words)))
    assert [one.rule.name for one in prepared.findings] == found


@pytest.mark.parametrize(("words", "found"), [(25, []), (26, ["long-sentence"])])
def test_prose_has_at_most_25_words(words: int, found: list[str]) -> None:
    prepared = judge_page(f"# Notes\n\n{of(words)}\n")
    assert [one.rule.name for one in prepared.findings] == found


def test_a_hyphenated_word_and_a_reference_count_once() -> None:
    text = "Use a two-stroke oil at {oil-mix} and stop."
    assert [count for _, _, count in sentences(text)] == [8]
