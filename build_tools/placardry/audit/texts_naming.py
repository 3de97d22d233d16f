"""Which figures the words around a quantity speak of.

A figure goes by several names: its id, what the manual calls it, its parameter. Each word of them
weighs the more, the fewer figures share it. How fully and how near a name is said, with the
colour, the condition and words such as `never above`, is how well a figure is named.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log
from typing import Any

from placardry.audit.texts_context import Context, words_of
from placardry.bound_words import Bound

Entry = Mapping[str, Any]
Said = Mapping[str, float]

# Words that name nothing.
_EMPTY = frozenset(
    words_of(
        "the a an of and or at in for with to is are on it its that this by from as be before after"
        " your you when what see one can most least more try"
        " der die das des dem den ein eine einer einem einen und oder von vom zu zum zur im in am"
        " an bei beim mit für auf aus ist sind vor nach wenn was ihr ihre sie"
        " höchstens mindestens lang min"
    )
)
_ENDINGS = re.compile(r"(?<=[^\W\d_]{3})(?:ings?|ly|ed|ern|em|en|es|er|e|n|s)$")
_WITHOUT = re.compile(r"\b(?:without|ohne) ([^\W\d_]+)")
_PARTICIPLE = re.compile(r"ge([^\W\d_]{4,}?)e?t")
# What work is called by one and by another.
_WORK = {
    "change": "chang replac fit fitt new ersetz ersetzt wechsel austausch einbau eingebaut neu",
    "check": "check inspect inspectio prüf kontrollier",
    "clean": "clea reinig säub",
}
_OF_WORK = 0.4  # the weight of such a word: it tells what is done, not what to
_SAME = {word: work for work, words in _WORK.items() for word in words.split()}
_SHORT = {"prop": "propeller", "props": "propeller", "kopf": "zylinderkopf"}  # said for short
_COMPOUND = 5  # letters at least that a word shares with a longer one that it is part of


@lru_cache(8192)
def stem(word: str) -> str:
    """A word without the endings that English and German put to it; rough, and the same for all."""
    word = _SHORT.get(word, word)
    if word.endswith("ss"):
        return word
    if participle := _PARTICIPLE.fullmatch(word):
        return stem(participle[1])
    short = _ENDINGS.sub("", word)
    return _SAME.get(short, short) if short == word else stem(short)


@lru_cache(4096)
def stems(text: str) -> frozenset[str]:
    """The stems of the words of a text that name something."""
    return frozenset(stem(word) for word in words_of(text) if word not in _EMPTY)


@dataclass(frozen=True, slots=True)
class Named:
    """A figure with what it is called, as stems; `lacks` is what it is said to be without."""

    entry: Entry
    names: tuple[frozenset[str], ...]
    held: frozenset[str]
    colour: str
    lacks: frozenset[str] = frozenset()

    @classmethod
    def of(cls, entry: Entry) -> Named:
        """The names of a register entry; `also` are further ones."""
        part = str(entry["part"] or "")
        colour = next((one for one in ("red", "yellow", "green") if one in part.split("-")), "")
        plain = colour or entry["type"] == "interval" or part in ("within", entry["parameter"])
        own = "" if plain else part
        said = (entry.get("name") or entry["id"], *entry.get("also", ()))
        names = {stems(f"{one} {own}".replace("-", " ")) for one in said if one}
        condition = (entry.get("condition") or {}).get("text") or ""
        lacks = stems(" ".join(_WITHOUT.findall(str(said[0]))))
        names.discard(frozenset())
        return cls(entry, tuple(sorted(names, key=sorted)), stems(condition), colour, lacks)


@dataclass(frozen=True, slots=True)
class Score:
    """How well a figure is named.

    Attributes:
        points: for comparing figures
        is_sure: the words name it, and hardly anything else
        by: the words that count, the most telling first
    """

    points: float
    is_sure: bool
    by: tuple[str, ...]


class Namer:
    """Weighs the names of the figures of one machine."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        self.figures = tuple(map(Named.of, entries))
        used = {(one.entry["id"], word) for one in self.figures
                for word in (*frozenset().union(*one.names), *one.held)}  # fmt: skip
        counts = Counter(word for _, word in used)
        records = len({one.entry["id"] for one in self.figures})
        self.weight = {
            word: (0.5 + log((records + 1) / count)) * (_OF_WORK if word in _WORK else 1)
            for word, count in counts.items()
        }
        self._known: dict[str, tuple[tuple[str, float], ...]] = {}

    def heard(self, context: Context) -> Said:
        """What is said of the words that figures go by, each with how near it is said."""
        found: dict[str, float] = {}
        for word, near in context.said.items():
            if word not in _EMPTY:
                for known, share in self._words(word):
                    found[known] = max(found.get(known, 0.0), near * share)
        return found

    def _words(self, said: str) -> tuple[tuple[str, float], ...]:
        """The known words that a said one is, is a part of, or has as a part."""
        if said not in self._known:
            short, is_long = stem(said), len(said) >= _COMPOUND
            shares = ((known, _share(known, short, is_long)) for known in self.weight)
            self._known[said] = tuple((known, share) for known, share in shares if share)
        return self._known[said]

    def spoken(self, by: Iterable[str], context: Context) -> tuple[str, ...]:
        """The words of the context that stand for those of a score, as they were said."""
        wanted = set(by)
        return tuple(
            word
            for word in sorted(context.said, key=lambda word: -context.said[word])
            if word in wanted or wanted & {known for known, _ in self._words(word)}
        )

    def score(self, figure: Named, heard: Said, context: Context) -> Score:
        """How well a figure is named by what is heard."""
        if figure.colour and context.colour and figure.colour != context.colour:
            return _NOT
        name, points, share = max(
            (self._said(name, heard) for name in figure.names),
            key=lambda one: one[1],
            default=([], 0.0, 0.0),
        )
        held = [word for word in figure.held if word in heard]
        is_kind = _fits(figure.entry, context)
        has_colour = bool(figure.colour) and figure.colour == context.colour
        if not name and not held and not has_colour:
            return Score(_KIND_ALONE if is_kind else 0.0, False, ())
        points += _HELD * sum(self.weight[word] * heard[word] for word in held)
        points += min(_KIND, points) * is_kind + _COLOUR * has_colour
        if context.colour and not figure.colour:
            points *= _NO_COLOUR
        by = tuple(sorted({*name, *held}, key=lambda word: -self.weight[word]))
        if figure.colour and not has_colour:
            return Score(points, False, by)
        telling = len(name) > 1 or any(self.weight[word] > _TELLING for word in name)
        is_near = any(heard[word] > _NEAR for word in name)
        is_sure = share > _HALF and is_near and (is_kind or has_colour or telling)
        return Score(points, is_sure, (context.colour, *by) if has_colour else by)

    def is_with(self, figure: Named, heard: Said) -> bool:
        """Whether what the figure is without is said, and not that it is."""
        return bool(figure.lacks & heard.keys()) and not _LACKING & heard.keys()

    def is_telling(self, by: Iterable[str]) -> bool:
        """Whether one of some words is said of hardly any other figure."""
        return any(self.weight.get(word, 0.0) > _TELLING for word in by)

    def _said(self, name: frozenset[str], heard: Said) -> tuple[list[str], float, float]:
        """The words of a name that are said, how much that says, and which share of it they are."""
        hit = [word for word in name if word in heard]
        mass = sum(self.weight[word] * heard[word] for word in hit)
        whole = sum(self.weight[word] for word in name)
        return hit, mass * (0.3 + 0.7 * mass / whole), self.share(name, heard)

    def share(self, name: frozenset[str], heard: Said) -> float:
        """Which share of some words is said, and not too far away."""
        whole = sum(self.weight[word] for word in name)
        hit = sum(self.weight[word] for word in name if heard.get(word, 0.0) > _FAINT)
        return hit / whole if whole else 0.0


# What else is said adds to the points of a name: its condition, kind, colour.
_HELD, _KIND, _COLOUR, _NO_COLOUR, _KIND_ALONE = 0.4, 1.5, 3.0, 0.7, 1.0
_HALF = 0.5  # of a name must be said, so that it is named
_NEAR, _FAINT = 0.3, 0.2  # how near a word must be said to name a figure, and to count as said
_LACKING = stems("without ohne")
_TELLING = 4.0  # the weight of a word that hardly any other figure has
_NOT = Score(0.0, False, ())


def _share(known: str, said: str, is_long: bool) -> float:
    """How much of a known word is said by another: one may be a part of the other.

    The first part of a German compound tells it from others, the last is what many have in common.
    `is_long`: the word said was long enough before its endings were taken off.
    """
    if known == said:
        return 1.0
    short, long = sorted((known, said), key=len)
    if is_long and short == said and long.endswith(short):
        return 0.3
    if len(short) < _COMPOUND:
        return 0.0
    return 0.8 if long.startswith(short) else 0.3 if long.endswith(short) else 0.0


def _fits(entry: Entry, context: Context) -> bool:
    """Whether the clause speaks of figures of its kind."""
    kind = "interval" if entry["type"] == "interval" else entry["kind"]
    return kind in context.kinds


_OPPOSITE = {"maximum": Bound.LEAST, "minimum": Bound.MOST}


def turned(entry: Entry, context: Context) -> str:
    """The words at the quantity that turn the figure to its other side; empty if none do."""
    word, bound = context.bound or ("", None)
    is_bound = entry["type"] != "interval" and entry["kind"] in _OPPOSITE
    return word if is_bound and bound is _OPPOSITE[entry["kind"]] else ""
