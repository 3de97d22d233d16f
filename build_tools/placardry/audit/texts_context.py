"""What is said around a quantity in a text published elsewhere, and how near.

The nearer a word stands, the more it weighs; marks between them, and other quantities, keep them
apart. What heads a table's column and row counts as said beside the quantity; a heading, less. The
words are common usage in English and German; no source.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

from placardry.audit.texts_reading import Running
from placardry.bound_words import Bound, bound_around

_COLOURS = {
    "red": "red redline rot rote roten roter rotes",
    "yellow": "yellow amber gelb gelbe gelben gelber gelbes",
    "green": "green grün grüne grünen grüner grünes",
}
COLOUR_OF = {word: colour for colour, words in _COLOURS.items() for word in words.split()}
_LIMITING = re.compile(
    r"\b(?P<maximum>max(?:imum|imal|imale)?|limit|not? (?:more|longer|higher|faster) than|exceed"
    r"|at (?:the very )?most|up to|höchstens|maximal|nicht (?:über|mehr als|länger als)|bis zu"
    r"|überschr\w+)\b"
    r"|\b(?P<minimum>min(?:imum)?|at (?:the very )?least|no less than|mindestens)\b"
    r"|\b(?P<either>above|over|below|under|über|unter|(?:fast|slow)er than"
    r"|(?:schnell|langsam)er als)\b"
    r"|\b(?P<interval>every|each|alle|jede[nrs]?|service|interval|after|nach|spätestens)\b"
    r"|\b(?P<range>between|from|zwischen|von)\b"
    r"|\b(?P<nominal>torque|tighten|holds|capacity|set|anziehen|angezogen|fasst)\b",
    re.IGNORECASE,
)
_REPORTED = re.compile(
    r"\b(?:went|was|were|had|saw|got|reached|showed|flew|needed|war|waren|hatten?|sah|stieg"
    r"|zeigte|ging|lief|kam|brauchte)\b",
    re.IGNORECASE,
)
_TOKEN = re.compile(
    r"(?P<paragraph>\n\s*\n|\n\s*(?=[*•>·–-] |\d{1,2}[.)] )|[•|])"
    r"|(?P<sentence>[.!?]+(?=\s))"
    r"|(?P<clause>[;–—()]|,(?=\s)|\b(?:but|then|while|whereas|aber|dann|während)\b)"
    r"|(?P<word>[^\W\d_]+)",
    re.IGNORECASE,
)
_LISTING = frozenset({",", "and", "und"})
_REACH = 40  # tokens to each side; captions may do without full stops
_NEAR = 70  # letters to each side in which a clause that has no marks may end
_BOUND = 40  # letters that hold the longest words for a bound
_FADES, _AFTER, _CLAUSE, _SENTENCE, _QUANTITY, _HEADING = 0.97, 0.9, 0.75, 0.45, 0.6, 0.5


@dataclass(frozen=True, slots=True)
class Context:
    """The words around one quantity.

    Attributes:
        said: each word, in small letters, with how near it is, from 0 to 1
        colour: the colour of a scale that is said nearest
        kinds: the kinds of figures that its clause speaks of
        is_report: it tells of a reading that somebody had
        machine: of the words that name machines the one that counts here
        bound: the words directly before it that say to which side it is, and what they make of it
        follows: where the quantity before it in its sentence starts; -1 if it is the first
        sentence: to be shown
    """

    said: Mapping[str, float]
    colour: str
    kinds: frozenset[str]
    is_report: bool
    machine: str
    bound: tuple[str, Bound] | None
    follows: int
    sentence: str


@dataclass(frozen=True, slots=True)
class _Heard:
    """A word near a quantity; `apart` is 0 in its clause, 1 in its sentence, 2 before that."""

    word: str
    weight: float
    start: int
    end: int
    apart: int


class Surroundings:
    """The words of a text in order, to look around in from each of its quantities."""

    def __init__(
        self, running: Running, quantities: Sequence[tuple[int, int]], language: str
    ) -> None:
        self.running = running
        self.language = language
        self.tokens = [(start, end, "quantity") for start, end in quantities]
        self.tokens += _outside(running.text, quantities)
        self.tokens.sort()
        self.at = {start: at for at, (start, _, kind) in enumerate(self.tokens)
                   if kind == "quantity"}  # fmt: skip

    def of(self, start: int, end: int, machines: frozenset[str]) -> Context:
        """The context of the quantity that stands there; `machines` are words that name some."""
        text, place = self.running.text, self.running.place(start)
        before, after = list(self._walk(start, -1)), list(self._walk(start, 1))
        head, topic = words_of(place.head), words_of(place.topic)
        near = [(one.weight, one.word) for one in (*before, *after)]
        near += [(1.0, word) for word in head] + [(_HEADING, word) for word in topic]
        said: dict[str, float] = {}
        for weight, word in near:
            said[word] = max(weight, said.get(word, 0.0))
        beside = [(one.weight, one.word) for one in (*before, *after) if one.apart < 2]
        beside += [(1.0, word) for word in head]
        colours = [(weight, COLOUR_OF[word]) for weight, word in beside if word in COLOUR_OF]
        low, high = _reach(before, after, start, end, 0)
        clause = f"{place.head} {text[max(low, start - _NEAR) : min(high, end + _NEAR)]}"
        low, high = _reach(before, after, start, end, 1)
        ranked = (head, [one.word for one in before if one.apart < 2],
                  [one.word for one in after if one.apart < 1], topic)  # fmt: skip
        return Context(
            said,
            max(colours, default=(0.0, ""))[1],
            _kinds(clause),
            bool(_REPORTED.search(clause)),
            next((word for words in ranked for word in words if word in machines), ""),
            bound_around(
                text[max(start - _BOUND, 0) : start], text[end : end + _BOUND], self.language
            ),
            self._before(start),
            " ".join(text[low:high].split()),
        )

    def _walk(self, quantity: int, step: int) -> Iterator[_Heard]:
        """The words to one side, the nearest first, each weighed by what parts it.

        What follows behind a clause mark and before another quantity is said of that one alone.
        """
        at = self.at[quantity] + step
        weight, apart = (1.0, 0) if step < 0 else (_AFTER, 0)
        others = self._of_another(at) if step > 0 else range(0)
        for passed, (start, end, kind) in enumerate(islice(self._side(at, step), _REACH)):
            if kind == "word" and passed in others:
                continue
            if kind == "word":
                weight *= _FADES
                word = self.running.text[start:end].lower()
                yield _Heard(word, weight, start, end, apart)
            elif kind == "quantity":
                weight *= _QUANTITY
            elif kind == "clause":
                weight, apart = weight * _CLAUSE, max(apart, 1)
            elif kind == "sentence" and step < 0 and apart < 2:
                weight, apart = weight * _SENTENCE, 2
            else:
                return

    def _of_another(self, first: int) -> range:
        """Which tokens from one on stand behind a clause mark and lead to another quantity."""
        mark = None
        for at, (start, end, kind) in enumerate(islice(self._side(first, 1), _REACH)):
            if kind == "quantity":
                return range(at if mark is None else mark, at)
            if kind in ("sentence", "paragraph"):
                break
            said = self.running.text[start:end].lower()
            if (mark is None and said in _LISTING) or (kind == "clause" and said != ","):
                mark = at  # the first of a list, or what parts more than that
        return range(0)

    def _before(self, quantity: int) -> int:
        for start, _, kind in islice(self._side(self.at[quantity] - 1, -1), _REACH):
            if kind == "quantity":
                return start
            if kind in ("sentence", "paragraph"):
                break
        return -1

    def _side(self, at: int, step: int) -> Iterator[tuple[int, int, str]]:
        while 0 <= at < len(self.tokens):
            yield self.tokens[at]
            at += step


def _outside(text: str, taken: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int, str]]:
    """The words and marks of a text outside of its quantities."""
    for found in _TOKEN.finditer(text):
        at = bisect_right(taken, (found.start(), len(text)))
        if not at or taken[at - 1][1] <= found.start():
            yield *found.span(), found.lastgroup or ""


def _reach(
    before: Iterable[_Heard], after: Iterable[_Heard], start: int, end: int, apart: int
) -> tuple[int, int]:
    """From where to where the words stand that are at most so far apart."""
    low = min((one.start for one in before if one.apart <= apart), default=start)
    return min(low, start), max((one.end for one in after if one.apart <= apart), default=end)


def _kinds(clause: str) -> frozenset[str]:
    kinds = {name for found in _LIMITING.finditer(clause) for name, hit in
             found.groupdict().items() if hit}  # fmt: skip
    if "either" in kinds:  # `never above` and `wait until it is above` differ in their verbs
        kinds |= {"maximum", "minimum"}
    return frozenset(kinds)


@lru_cache(4096)
def words_of(text: str) -> tuple[str, ...]:
    """The words of a text in small letters."""
    return tuple(word.lower() for word in _WORD.findall(text))


_WORD = re.compile(r"[^\W\d_]+")
