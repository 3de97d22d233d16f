"""What a transcript does to figures, undone: hesitations, split words, capitals.

Ground floor, for the auditor alone. Everything keeps the way back to the places of the original.
The words are common usage in English and German; no source.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter

from placardry.finding import light
from placardry.units import PROSE

Change = tuple[int, int, int, int]


@light
class Rewritten:
    """A text in other words, and the way back to the places of the original.

    Attributes:
        changed: start and end in `text`, start and end in the original, in order
    """

    text: str
    changed: tuple[Change, ...]

    def back(self, start: int, end: int) -> tuple[int, int]:
        """Where `text[start:end]` stands in the original."""
        return self._back(start, 0), self._back(end, 1)

    def _back(self, at: int, side: int) -> int:
        last = bisect_right(self.changed, at - side, key=lambda change: change[0]) - 1
        if last < 0:
            return at
        new_start, new_end, start, end = self.changed[last]
        if new_start < new_end and at < new_end + side:
            return end if side else start
        return at + end - new_end


def rewritten(text: str, found: list[tuple[int, int, str]]) -> Rewritten:
    """The text with each stretch, given by start and end, in other words."""
    out, changed, done, length = [], [], 0, 0
    for start, end, words in found:
        out += [text[done:start], words]
        length += start - done
        changed.append((length, length + len(words), start, end))
        length += len(words)
        done = end
    return Rewritten("".join([*out, text[done:]]), tuple(changed))


def as_written(text: str, language: str = "en") -> Rewritten:
    """A transcript as somebody would write it who writes figures for readers.

    Without `uh` and `äh`; `kilo watt`, `c c` in one word; units in the capitals that they have.
    """
    german = language.partition("-")[0].lower() == "de"
    return rewritten(
        text,
        [
            (match.start(), match.end(), said)
            for match in _HABITS.finditer(text)
            if (said := _said(match, german)) != match[0]
        ],
    )


_HABITS = re.compile(
    r"(?P<hesitation>(?<![\s,])[,\s]{1,3}(?:u[hm]+|uhm|erm|äh+m?|hmm*)\b,?(?=\s)|,\s*er,(?=\s))"
    r"|(?P<split>\b(?:kilo|milli|centi|mega) (?=(?:watt|volt|amp|met|gram|lit|pascal|hertz|joule)))"
    r"|(?P<cc>(?<=[a-z0-9] )c c\b)"
    r"|(?P<quarter>\b(?:drei)?viertel(?:stunde|umdrehung|drehung)(?:e?n)?\b)"
    r"|(?P<word>[^\W\d_]{3,})",
    re.IGNORECASE,
)


def _said(match: re.Match[str], german: bool) -> str:
    match match.lastgroup:
        case "hesitation":
            return ""
        case "split":
            return match[0].rstrip()
        case "cc":
            return "cc"
        case "quarter":
            return _in_two(match[0].lower())
        case _:
            word = match[0]
            is_symbol = word in PROSE and PROSE[word].symbol == word
            return word if is_symbol else _SPELT[german].get(word.lower(), word)


def _spellings(german: bool) -> dict[str, str]:
    """The words of units by their small letters, in the capitals that the language gives them."""
    spelt = [words for words in PROSE if words.replace(" ", "").isalpha()]
    used = Counter(word for words in spelt for word in words.split() if len(word) > 2)
    kept = [word for word in used if german or not word.istitle() or word in _AFTER_A_PERSON]
    ranked = sorted(kept, key=lambda word: (german and word.istitle(), used[word], word))
    return {word.lower(): word for word in ranked}


_AFTER_A_PERSON = ("Celsius", "Fahrenheit")
_SPELT = {german: _spellings(german) for german in (False, True)}


def _in_two(word: str) -> str:
    """`Viertelstunde` as a number and a unit."""
    part, mark, unit = word.partition("viertel")
    return f"{part}{mark} {'Stunde' if unit.startswith('stunde') else 'Umdrehung'}"
