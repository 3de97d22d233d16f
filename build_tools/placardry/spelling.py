"""The words of a text from one place on, as the readers of spelt numbers take them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from placardry.finding import light
from placardry.units import PROSE

Found = tuple[int, Fraction]
"""How many words make up a number, and the number."""

WORD = re.compile(r"[^\W\d_]+|(?<![\w.,])[0-9]+(?:[.][0-9]+)?(?![\w]|[.,][0-9])")
MEASURED = {word.lower() for word in PROSE if len(word) > 2 and word.isalpha()}
MINUS = ("minus", "negative")
_JOINED = re.compile(r"[ \t\u00a0\n-]{1,2}")
_MOST = 24  # words of one number; more are a list


@light
class Words:
    """The words of a text from one place on, as far as only a space or a hyphen parts them."""

    text: str
    words: list[re.Match[str]]
    at: int

    def __getitem__(self, index: int) -> str:
        """The word in small letters; empty behind a mark or the end."""
        place = self.at + index
        if place >= len(self.words) or index > _MOST:
            return ""
        if index:
            gap = self.text[self.words[place - 1].end() : self.words[place].start()]
            if not self[index - 1] or not _JOINED.fullmatch(gap):
                return ""
        return self.words[place][0].lower()

    @property
    def rest(self) -> Words:
        """All but the first word."""
        return Words(self.text, self.words, self.at + 1)

    @property
    def before(self) -> str:
        """The word before the first."""
        return self.words[self.at - 1][0].lower() if self.at else ""


def decimals(words: Words, at: int, value: Fraction, digits: Mapping[str, int]) -> Found:
    """The number with the digits named one by one behind the decimal mark."""
    step = Fraction(1)
    while words[at] in digits:
        named = digits[words[at]]
        step /= 10 if named < 10 else 100
        value += named * step
        at += 1
    return at, value
