"""German numbers in words. The grammar is common usage, no standard."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from placardry.spelling import MINUS, Found, Words, decimals

_UNITS = (
    "null ein zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn "
    "sechzehn siebzehn achtzehn neunzehn"
)
_DECADES = "zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig"
_ONES = {word: value for value, word in enumerate(_UNITS.split())}
_ONES |= {"eins": 1, "eine": 1, "zwo": 2}
_TENS = {word: 10 * value for value, word in enumerate(_DECADES.split(), start=2)}
_TENS["dreissig"] = 30
_SCALES = ("tausend", "hundert")
_MILLIONS = ("million", "millionen")
_HALF, _QUARTER = Fraction(1, 2), Fraction(1, 4)
_PARTS = {
    "anderthalb": Fraction(3, 2),
    "eineinhalb": Fraction(3, 2),
    "dreiviertel": Fraction(3, 4),
    "viertel": _QUARTER,
}
_HALVES = re.compile("halbe[nrsm]?|halb")
_ARTICLES = ("ein", "eine", "einer", "einen", "einem")
_SPLIT = 9  # words of one number at most: `neun hundert neun und neunzig tausend …`


def german(words: Words) -> Found | None:
    """The number that the first words are; None where they are none."""
    first = words[0]
    if first in MINUS:
        rest = german(words.rest) if words[1] and words[1] not in MINUS else None
        return (rest[0] + 1, -rest[1]) if rest and rest[1] > 0 else None
    if part := _part(words):
        return part
    count, whole = _whole(words)
    if not count:
        return None
    value = Fraction(whole)
    if words[count] == "komma" and words[count + 1] in _ONES:
        count, value = decimals(words, count + 1, value, _ONES)
    if words[count] in _MILLIONS:
        return count + 1, value * 10**6
    return None if first in _ARTICLES and count == 1 else (count, value)


def _part(words: Words) -> Found | None:
    """`eine halbe` Stunde, `anderthalb` Liter, `zweieinhalb`, `ein ein halb`, `ein Viertel`."""
    first = words[0]
    at = 1 if first in _ARTICLES else 0
    if at and words[1] in _ARTICLES and words[2] == "halb":
        return 3, 1 + _HALF
    if _HALVES.fullmatch(words[at]) and (words[at] != "halb" or at):
        return at + 1, _HALF
    if words[at] in _PARTS and words[at + 1]:
        return at + 1, _PARTS[words[at]]
    if first.endswith("einhalb") and first[: -len("einhalb")] in _ONES:
        return 1, _ONES[first[: -len("einhalb")]] + _HALF
    return None


def _whole(words: Words) -> tuple[int, int]:
    """The most words that are one number, be they apart or in one: `zwei hundert zwölf`."""
    parts: list[str] = []
    while len(parts) < _SPLIT and _is_piece(words[len(parts)]):
        parts.append(words[len(parts)])
    for count in range(len(parts), 0, -1):
        value = _value("".join(parts[:count]))
        if value is not None and words[count] not in _SCALES:
            return count, value
    return 0, 0


def _is_piece(word: str) -> bool:
    return word == "und" or _value(word) is not None


@lru_cache(4096)
def _value(word: str) -> int | None:
    """The number that one German word is: `siebentausendvierhundert`."""
    if len(word) > 60:  # the longest below a million has 57 letters
        return None
    for name, scale in (("tausend", 1000), ("hundert", 100)):
        before, mark, after = word.partition(name)
        if mark:
            times = _value(before) if before else 1
            rest = _value(after.removeprefix("und")) if after else 0
            if not times or times >= 1000 or rest is None or rest >= scale:
                return None
            return times * scale + rest
    if word in _ONES:
        return _ONES[word]
    if word in _TENS:
        return _TENS[word]
    ones, mark, tens = word.partition("und")
    if mark and _ONES.get(ones, 10) < 10 and tens in _TENS:
        return _TENS[tens] + _ONES[ones]
    return None
