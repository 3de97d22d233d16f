"""Words directly before a figure or a condition that say to which side, or that it does not hold.

Ground floor, as `recognise`: it reads what is published and shares nothing with what writes it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum


class Bound(StrEnum):
    """What a word before a figure makes of it."""

    LEAST = "a least value"
    MOST = "a greatest value"
    ABOVE = "what lies above"
    BELOW = "what lies below"

    @property
    def other(self) -> Bound:
        """The other side."""
        sides = {Bound.LEAST: Bound.MOST, Bound.ABOVE: Bound.BELOW}
        return sides.get(self) or next(here for here, there in sides.items() if there is self)


# Common usage of the two languages, no source. `above` and `below` are apart from the other two:
# "not above 88 °C" and "above 88 °C, land" both speak of a maximum.
_WORDS: Mapping[str, Mapping[Bound, str]] = {
    "en": {
        Bound.LEAST: "at least|no less than|not less than|a minimum of",
        Bound.MOST: "at most|no more than|not more than|a maximum of",
        Bound.ABOVE: "at or above|above|over|more than|from",
        Bound.BELOW: "at or below|below|under|less than",
    },
    "de": {
        Bound.LEAST: "mindestens|wenigstens|nicht weniger als",
        Bound.MOST: "höchstens|maximal|nicht mehr als",
        Bound.ABOVE: "über|oberhalb von|mehr als|ab",
        Bound.BELOW: "unter|unterhalb von|weniger als",
    },
}
_NOT: Mapping[str, str] = {
    "en": "not|never|except|unless|without|other than",
    "de": "nicht|nie|niemals|außer|ausgenommen|ohne|anders als",
}


def bound_before(text: str, language: str) -> tuple[str, Bound] | None:
    """The bound word that ends a text, and what it makes of a figure behind it."""
    found = [
        (match[1], bound)
        for bound, words in _WORDS.get(language, {}).items()
        if (match := re.search(rf"(?<!\w)({words})\W*$", text, re.IGNORECASE))
    ]
    return max(found, key=lambda one: len(one[0]), default=None)


def mirrored(word: str, language: str) -> str:
    """The word that says the other side."""
    for bound, words in _WORDS.get(language, {}).items():
        if word.lower() in (listed := words.split("|")):
            opposite = _WORDS[language][bound.other].split("|")
            return opposite[min(listed.index(word.lower()), len(opposite) - 1)]
    return ""


def negation_before(text: str, language: str) -> str:
    """The word at the end of a text that turns what follows into its opposite; empty if none."""
    words = _NOT.get(language)
    found = words and re.search(rf"(?<!\w)({words})\W*$", text, re.IGNORECASE)
    return found[1] if found else ""
