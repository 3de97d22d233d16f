"""Where two texts that should be the same part, as a reader would say it: by figures and words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import takewhile

from placardry.recognise import quantities

_BESIDE = 2  # words given on both sides of a changed word


@dataclass(frozen=True, slots=True)
class Differing:
    """What stands in one text and should stand there by the other.

    `start` and `end` are the place in the text found, counted in signs that are no white space.
    """

    found: str
    expected: str
    start: int
    end: int


def differing(found: str, expected: str, language: str) -> Differing:
    """The figure or the words in which two texts differ, from the first to the last difference."""
    mine, theirs = found.split(), expected.split()
    first = _alike(mine, theirs)
    last = _alike(mine[first:][::-1], theirs[first:][::-1])
    sides = [_said(words, first, len(words) - last, language) for words in (mine, theirs)]
    start = len("".join(mine[:first]))
    end = len("".join(mine[: len(mine) - last]))
    return Differing(sides[0], sides[1], start, end)


def _alike(one: list[str], other: list[str]) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def _said(words: list[str], first: int, last: int, language: str) -> str:
    """The figure that holds the words from `first` to `last`, or else they and their neighbours."""
    near = range(max(0, first - 8), min(len(words), last + 8))
    text = " ".join(words[near.start : near.stop])
    start = len(" ".join([*words[near.start : first], ""]))
    end = len(" ".join(words[near.start : last]))
    for one in quantities(text, language):
        outside = text[start : one.start] + text[max(start, one.end) : end]
        # A full stop or a bracket that is set at a figure belongs to the same word.
        if max(start, one.start) < min(end, one.end) and not re.search(r"\w", outside):
            return one.text
    return " ".join(words[max(0, first - _BESIDE) : last + _BESIDE])
