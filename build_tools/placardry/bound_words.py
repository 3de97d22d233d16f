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
        Bound.MOST: "at most|no more than|not more than|a maximum of|not exceed|never exceed",
        Bound.ABOVE: "at or above|above|over|more than|from|faster than|exceed",
        Bound.BELOW: "at or below|below|under|less than|less than|slower than|fall below",
    },
    "de": {
        Bound.LEAST: "mindestens|wenigstens|nicht weniger als",
        Bound.MOST: "höchstens|maximal|nicht mehr als",
        Bound.ABOVE: "über|oberhalb von|mehr als|ab|schneller als",
        Bound.BELOW: "unter|unterhalb von|weniger als|weniger als|langsamer als",
    },
}
_NOT: Mapping[str, str] = {
    "en": "not|never|except|unless|without|other than",
    "de": "nicht|nie|niemals|außer|ausgenommen|ohne|anders als",
}

# What forbids a side, words before: `must never turn faster than`; not `do not start until above`.
_FORBIDDEN: Mapping[str, str] = {
    "en": r"never|(?:do|must|may|should|shall|can) ?not|don[’']t|mustn[’']t",
    "de": r"nie|niemals|nicht|keinesfalls",
}
_UNTIL = r"until|till|unless|before|except|if|when|while|bis|bevor|ehe|außer|wenn|falls|solange"
_FORBIDDEN_BEHIND: Mapping[str, Mapping[Bound, str]] = {
    "de": {Bound.MOST: r"überschr\w+", Bound.LEAST: r"unterschr\w+"},
}


def bound_around(before: str, after: str, language: str) -> tuple[str, Bound] | None:
    """As `bound_before`, and of what is forbidden the side that is allowed."""
    words = _FORBIDDEN.get(language, "")
    if (found := bound_before(before, language)) and found[1] in _ALLOWED:
        said = rf"\b(?:{words})\b(?P<between>[^.,;:()!?]*?)(?<!\w){re.escape(found[0])}\W*$"
        forbidden = words and re.search(said, before, re.IGNORECASE)
        if forbidden and not re.search(rf"\b(?:{_UNTIL})\b", forbidden["between"], re.IGNORECASE):
            return " ".join(forbidden[0].split()), _ALLOWED[found[1]]
    for bound, verbs in _FORBIDDEN_BEHIND.get(language, {}).items():
        if match := re.match(rf"\W*((?:{words}) (?:zu )?{verbs})", after, re.IGNORECASE):
            return match[1], bound
    return found


_ALLOWED = {Bound.ABOVE: Bound.MOST, Bound.BELOW: Bound.LEAST}


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
