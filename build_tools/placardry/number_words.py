"""Numbers spelt in words, rewritten in digits: `twelve hundred`, `siebentausendvierhundert`.

Ground floor, for the auditor alone: a book writes its figures in digits, but captions and posts
write what was said. The grammar is common usage, no standard; a lone `a` or `ein` is no number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from placardry.rounding import decimal
from placardry.units import PROSE


@dataclass(frozen=True, slots=True)
class InDigits:
    """A text with its number words in digits, and the way back to the places of the original."""

    text: str
    changed: tuple[tuple[int, int, int, int], ...]

    def back(self, start: int, end: int) -> tuple[int, int]:
        """Where `text[start:end]` stands in the original."""
        return self._back(start, 0), self._back(end, 1)

    def _back(self, at: int, side: int) -> int:
        shift = 0
        for new_start, new_end, start, end in self.changed:
            if new_start + side <= at < new_end + side:
                return end if side else start
            if at >= new_end:
                shift = end - new_end
        return at + shift


def in_digits(text: str, language: str = "en") -> InDigits:
    """The text with every number that it spells in words as a numeral of its language."""
    german = language.partition("-")[0].lower() == "de"
    read = _german if german else _english
    words = list(_WORD.finditer(text))
    out, changed, at, done, length = [], [], 0, 0, 0
    while at < len(words):
        found = read(_Words(text, words, at))
        if found is None:
            at += 1
            continue
        count, value = found
        start, end = words[at].start(), words[at + count - 1].end()
        numeral = str(value) if value.denominator % 3 == 0 else decimal(value)
        numeral = numeral.replace(".", ",") if german else numeral
        out += [text[done:start], numeral]
        length += start - done
        changed.append((length, length + len(numeral), start, end))
        length += len(numeral)
        done, at = end, at + count
    return InDigits("".join([*out, text[done:]]), tuple(changed))


_WORD = re.compile(r"[^\W\d_]+|(?<![\w.,])[0-9]+(?:[.][0-9]+)?(?![\w]|[.,][0-9])")
_JOINED = re.compile(r"[ \t\u00a0\n-]{1,2}")
_MINUS = ("minus", "negative")
_MOST = 24  # words of one number; more are a list
Found = tuple[int, Fraction]


@dataclass(frozen=True, slots=True)
class _Words:
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
    def rest(self) -> _Words:
        """All but the first word."""
        return _Words(self.text, self.words, self.at + 1)


_UNITS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_SMALL = {word: value for value, word in enumerate(_UNITS.split())}
_DECADES = "twenty thirty forty fifty sixty seventy eighty ninety"
_TENS = {word: 10 * value for value, word in enumerate(_DECADES.split(), start=2)}
_SCALES = {"hundred": 100, "thousand": 1000, "million": 10**6, "billion": 10**9}
_MEASURED = {word.lower() for word in PROSE if len(word) > 2 and word.isalpha()}
_HALF, _QUARTER = Fraction(1, 2), Fraction(1, 4)
_PARTS = {
    "third": Fraction(1, 3),
    "quarter": _QUARTER,
    "eighth": Fraction(1, 8),
    "tenth": Fraction(1, 10),
}


def _english(words: _Words) -> Found | None:
    first = words[0]
    if first in _MINUS:
        rest = _english(words.rest) if words[1] and words[1] not in _MINUS else None
        return (rest[0] + 1, -rest[1]) if rest and rest[1] > 0 else None
    if part := _english_part(words):
        return part
    count, value = _english_whole(words)
    if not count:
        return None
    if words[count] in ("point", "decimal") and words[count + 1] in _SMALL:
        count, value = _decimals(words, count + 1, value, _SMALL)
    elif (words[count], words[count + 1]) == ("and", "a") and words[count + 2] == "half":
        count, value = count + 3, value + _HALF
    elif (words[count], words[count + 1]) == ("and", "a") and words[count + 2] == "quarter":
        count, value = count + 3, value + _QUARTER
    return None if first.isascii() and first[0].isdigit() and count == 1 else (count, value)


def _english_part(words: _Words) -> Found | None:
    """`half an` hour, `a quarter of an` hour, `half` turn, `an` hour and a half."""
    if words[0] in ("a", "an") and words[1] in _MEASURED:
        whole = (words[2], words[3], words[4]) == ("and", "a", "half")
        return (1, 1 + _HALF) if whole else None
    start = 1 if words[0] == "a" else 0
    first, second, third = words[start], words[start + 1], words[start + 2]
    if first == "half" and second in ("a", "an") and third in _MEASURED:
        return start + 2, _HALF
    if first == "half" and second in _MEASURED:
        return start + 1, _HALF
    many = _SMALL.get(words[0], 0)
    start = 1 if many or words[0] in ("a", "an") else 0
    part = _PARTS.get(words[start].removesuffix("s"))
    if part is None:
        return None
    of = (words[start + 1], words[start + 2]) in (("of", "a"), ("of", "an"))
    end = start + 3 if of else start + 1
    return (end, (many or 1) * part) if words[end] in _MEASURED and (of or many) else None


def _english_whole(words: _Words) -> Found:
    """How many words make up a whole number, and the number."""
    at, total, current, last = 0, Fraction(0), Fraction(0), ""
    if words[0] in ("a", "an") and words[1] in _SCALES:
        at, current, last = 1, Fraction(1), "digit"
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


def _follows(words: _Words, at: int) -> bool:
    """Whether what is behind `hundred and` still belongs to that number."""
    if words[at] in _TENS and words[at + 1] in _SMALL:
        return words[at + 2] not in _SCALES
    return (words[at] in _TENS or words[at] in _SMALL) and words[at + 1] not in _SCALES


def _decimals(words: _Words, at: int, value: Fraction, digits: dict[str, int]) -> Found:
    """The digits named one by one behind the decimal mark."""
    step = Fraction(1)
    while words[at] in digits:
        named = digits[words[at]]
        step /= 10 if named < 10 else 100
        value += named * step
        at += 1
    return at, value


_DE_UNITS = (
    "null ein zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn "
    "sechzehn siebzehn achtzehn neunzehn"
)
_DE_DECADES = "zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig"
_DE_ONES = {word: value for value, word in enumerate(_DE_UNITS.split())}
_DE_ONES |= {"eins": 1, "eine": 1, "zwo": 2}
_DE_TENS = {word: 10 * value for value, word in enumerate(_DE_DECADES.split(), start=2)}
_DE_PARTS = {
    "anderthalb": Fraction(3, 2),
    "eineinhalb": Fraction(3, 2),
    "dreiviertel": Fraction(3, 4),
}


def _german(words: _Words) -> Found | None:
    first = words[0]
    if first in _MINUS:
        rest = _german(words.rest) if words[1] and words[1] not in _MINUS else None
        return (rest[0] + 1, -rest[1]) if rest and rest[1] > 0 else None
    if re.fullmatch("halbe[nrsm]?", words[1]) and first in ("ein", "eine", "einer", "einen"):
        return 2, _HALF
    if re.fullmatch("halbe[nrsm]?", first):
        return 1, _HALF
    if first in _DE_PARTS:
        return 1, _DE_PARTS[first]
    if first.endswith("einhalb") and first[: -len("einhalb")] in _DE_ONES:
        return 1, _DE_ONES[first[: -len("einhalb")]] + _HALF
    whole = _german_whole(first)
    if whole is None:
        return None
    if words[1] == "komma" and words[2] in _DE_ONES:
        return _decimals(words, 2, Fraction(whole), _DE_ONES)
    count = 1
    if whole < 1000 and words[1] == "tausend":
        whole, count = whole * 1000, 2
    return None if first in ("ein", "eine") and count == 1 else (count, Fraction(whole))


def _german_whole(word: str) -> int | None:
    """The number that one German word is: `siebentausendvierhundert`."""
    if len(word) > 60:  # the longest below a million has 57 letters
        return None
    for name, scale in (("tausend", 1000), ("hundert", 100)):
        before, mark, after = word.partition(name)
        if mark:
            times = _german_whole(before) if before else 1
            rest = _german_whole(after.removeprefix("und")) if after else 0
            return None if times is None or rest is None else times * scale + rest
    if word in _DE_ONES:
        return _DE_ONES[word]
    if word in _DE_TENS:
        return _DE_TENS[word]
    ones, mark, tens = word.partition("und")
    if mark and _DE_ONES.get(ones, 10) < 10 and tens in _DE_TENS:
        return _DE_TENS[tens] + _DE_ONES[ones]
    return None
