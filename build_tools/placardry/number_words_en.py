"""English numbers in words. The grammar is common usage, no standard."""

from __future__ import annotations

from fractions import Fraction

from placardry.spelling import MEASURED, MINUS, Found, Words, decimals

_UNITS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_SMALL = {word: value for value, word in enumerate(_UNITS.split())}
_DECADES = "twenty thirty forty fifty sixty seventy eighty ninety"
_TENS = {word: 10 * value for value, word in enumerate(_DECADES.split(), start=2)}
_SCALES = {"hundred": 100, "thousand": 1000, "million": 10**6, "billion": 10**9}
_NOUGHTS = {"oh": 0, "o": 0}  # inside a number only: `one oh five`
_DIGITS = _SMALL | _NOUGHTS
_HALF, _QUARTER = Fraction(1, 2), Fraction(1, 4)
_PARTS = {
    "third": Fraction(1, 3),
    "quarter": _QUARTER,
    "eighth": Fraction(1, 8),
    "tenth": Fraction(1, 10),
}

_STARTS = frozenset((*_SMALL, *_TENS, *_SCALES, *MINUS, "a", "an", "half", "quarter", "point"))


def english(words: Words) -> Found | None:
    """The number that the first words are; None where they are none."""
    first = words[0]
    if first not in _STARTS and not first[0].isdigit():
        return None
    if first in MINUS:
        rest = english(words.rest) if words[1] and words[1] not in MINUS else None
        return (rest[0] + 1, -rest[1]) if rest and rest[1] > 0 else None
    if first == "point" and words[1] in _SMALL:
        count, value = decimals(words, 1, Fraction(0), _DIGITS)
        return (count, value) if words[count] in MEASURED else None
    if part := _part(words):
        return part
    count, value = _whole(words)
    if not count:
        return None
    if words[count] in ("point", "decimal") and words[count + 1] in _DIGITS:
        count, value = decimals(words, count + 1, value, _DIGITS)
    elif (words[count], words[count + 1]) == ("and", "a") and words[count + 2] == "half":
        count, value = count + 3, value + _HALF
    elif (words[count], words[count + 1]) == ("and", "a") and words[count + 2] == "quarter":
        count, value = count + 3, value + _QUARTER
    return None if first.isascii() and first[0].isdigit() and count == 1 else (count, value)


def _part(words: Words) -> Found | None:
    """`half an` hour, `a quarter of an` hour, `half` turn, `a quarter` turn, `an` hour and a half.

    `a third time` is no part.
    """
    if words[0] in ("a", "an") and words[1] in MEASURED:
        whole = (words[2], words[3], words[4]) == ("and", "a", "half")
        return (1, 1 + _HALF) if whole else None
    start = 1 if words[0] == "a" else 0
    first, second, third = words[start], words[start + 1], words[start + 2]
    if first == "half" and second in ("a", "an") and third in MEASURED:
        return start + 2, _HALF
    if first in ("half", "quarter") and second in MEASURED:
        return start + 1, _HALF if first == "half" else _QUARTER
    many = _SMALL.get(words[0], 0)
    start = 1 if many or words[0] in ("a", "an") else 0
    part = _PARTS.get(words[start].removesuffix("s"))
    if part is None:
        return None
    of = (words[start + 1], words[start + 2]) in (("of", "a"), ("of", "an"))
    end = start + 3 if of else start + 1
    return (end, (many or 1) * part) if words[end] in MEASURED and (of or many) else None


def _whole(words: Words) -> Found:
    """How many words make up a whole number, and the number."""
    at, total, current, last = 0, Fraction(0), Fraction(0), ""
    if words[0] in ("a", "an") and words[1] in _SCALES:
        at, current, last = 1, Fraction(1), "digit"
    elif words[0] in _SCALES and words.before in ("every", "each", "per"):
        current, last = Fraction(1), "digit"
    elif words[0][:1].isdigit():
        if words[1] not in _SCALES and (words[1], words[2]) != ("and", "a"):
            return 0, total
        at, current, last = 1, Fraction(words[0]), "numeral"
    while word := words[at]:
        if word in _SCALES and last and not (word == "hundred" and current >= 100):
            if word == "hundred":
                current *= 100
            else:
                total, current = total + (current or 1) * _SCALES[word], Fraction(0)
            last = "scale"
        elif word == "and" and last == "scale" and _follows(words, at + 1):
            pass
        elif word in _NOUGHTS and last == "digit" and words[at + 1] in _DIGITS:
            current *= 10
        elif word in _SMALL or word in _TENS:
            value, kind = _SMALL.get(word, _TENS.get(word, 0)), _kind(word)
            shift = _shift(last, kind, current)
            if not shift:
                break
            current, last = current * shift + value, "ones" if last == "tens" else kind
        else:
            break
        at += 1
    return (at, total + current) if last else (0, total)


def _kind(word: str) -> str:
    return "tens" if word in _TENS else "digit" if _SMALL[word] < 10 else "teen"


def _shift(last: str, kind: str, current: Fraction) -> int:
    """By what the number so far is raised before the next word counts; 0 where it is another.

    `seven four zero zero` spells digits; `twelve fifty` and `six forty` leave out the hundred.
    """
    if last in ("", "scale") or (last == "tens" and kind == "digit"):
        return 1
    if last == "digit" and kind == "digit":
        return 10
    if kind in ("tens", "teen") and 0 < current < 100 and last != "numeral":
        return 100
    return 0


def _follows(words: Words, at: int) -> bool:
    """Whether what is behind `hundred and` still belongs to that number."""
    if words[at] in _TENS and words[at + 1] in _SMALL:
        return words[at + 2] not in _SCALES
    return (words[at] in _TENS or words[at] in _SMALL) and words[at + 1] not in _SCALES
