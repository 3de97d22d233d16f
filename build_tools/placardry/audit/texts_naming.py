"""Which figures the words around a quantity speak of.

A figure is *named* by the words of its id, or by its parameter with what tells its figures apart:
a colour, a condition, a word such as `never above`. It is *touched* where one of its telling words
stands near. The words are common usage in English and German; no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

Entry = Mapping[str, Any]

_COLOURS = {
    "red": {"red", "redline", "rot", "rote", "roten", "roter"},
    "yellow": {"yellow", "amber", "gelb", "gelbe", "gelben", "gelber"},
    "green": {"green", "grün", "grüne", "grünen", "grüner"},
}
_LIMITING = re.compile(
    r"\b(?P<maximum>max(?:imum|imal|imale)?|limit|not? more than|exceed|at most|up to|höchstens"
    r"|bis zu)\b"
    r"|\b(?P<minimum>min(?:imum)?|at least|no less than|mindestens)\b"
    r"|\b(?P<either>above|over|below|under|über|unter)\b"
    r"|\b(?P<interval>every|each|alle|jede[nrs]?|service|interval)\b"
    r"|\b(?P<range>between|from|zwischen|von)\b"
    r"|\b(?P<nominal>torque|tighten|holds|capacity|set|anziehen|fasst)\b",
    re.IGNORECASE,
)
# Words that many figures share, so that they alone name none.
_GENERIC = (
    "temperature speed pressure voltage quantity size time wait maximum minimum limit typical"
    " engine hours life calendar temperatur drehzahl druck spannung motor the of and a at in for"
    " with to is on it during while der die das im bei mit am"
)
_WORD = re.compile(r"[^\W\d_]+")


@lru_cache(4096)
def words_of(text: str) -> frozenset[str]:
    """The words of a text in small letters, an English plural as its singular."""
    return frozenset(_singular(word.lower()) for word in _WORD.findall(text))


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


_TELLING_NOT = frozenset(_singular(word) for word in _GENERIC.split())


@dataclass(frozen=True, slots=True)
class Context:
    """The words around a quantity: of its sentence, and of the clause that it stands in."""

    sentence: frozenset[str]
    clause: frozenset[str]
    kinds: frozenset[str]

    @classmethod
    def of(cls, sentence: str, clause: str) -> Context:
        """The context that the two texts give."""
        kinds = {name for found in _LIMITING.finditer(clause) for name, hit in
                 found.groupdict().items() if hit}  # fmt: skip
        if "either" in kinds:  # `never above` and `wait until it is above` differ in their verbs
            kinds |= {"maximum", "minimum"}
        return cls(words_of(sentence), words_of(clause), frozenset(kinds))

    @property
    def colours(self) -> frozenset[str]:
        """The colours of scales that the clause names."""
        return frozenset(name for name, said in _COLOURS.items() if said & self.clause)


def touch(entry: Entry, context: Context) -> bool:
    """Whether a telling word of the figure stands near."""
    own = words_of(f"{entry['id']} {entry.get('parameter') or ''} {entry.get('name') or ''}")
    return bool((own - _TELLING_NOT) & context.sentence)


@dataclass(frozen=True, slots=True)
class Naming:
    """The figures that a context names most fully; `sure` where it can mean no other."""

    entries: tuple[Entry, ...]
    sure: bool


def named(entries: Iterable[Entry], context: Context) -> Naming:
    """The figures that the context names most fully; none where it is too vague."""
    scores = [(*_score(entry, context), entry) for entry in entries]
    best = max((score for score, _, _ in scores), default=0)
    found = [(sure, entry) for score, sure, entry in scores if score == best > 0]
    return Naming(tuple(entry for _, entry in found), any(sure for sure, _ in found))


def _score(entry: Entry, context: Context) -> tuple[int, bool]:
    """How fully a figure is named, 0 where it is not; and whether by what no other has."""
    part = str(entry.get("part") or "")
    colour = next((name for name in _COLOURS if name in part.split("-")), "")
    if (context.colours or colour) and colour not in context.colours:
        return 0, False
    if not colour and part and entry["type"] != "interval":
        return 0, False
    kind = _kind_fits(entry, context)
    own = words_of(entry["id"])
    full = own <= context.sentence and bool(own - _TELLING_NOT)
    by_id = 2 * len(own) if full and (len(own) > 1 or colour or kind) else 0
    score = max(by_id, _by_parameter(entry, context) if colour or kind else 0)
    if not score:
        return 0, False
    held = len(_held(entry) & context.sentence)
    return score + held + 2 * bool(colour) + kind, bool(held or colour)


def _by_parameter(entry: Entry, context: Context) -> int:
    """How many words of a limit's parameter are said, twice; 0 where one of the telling is not."""
    if entry["type"] != "limit":
        return 0
    names = filter(None, (entry.get("parameter"), entry.get("name"), entry.get("short")))
    telling = [words_of(name) - _TELLING_NOT for name in names]
    return max((2 * len(one) for one in telling if one and one <= context.sentence), default=0)


def _kind_fits(entry: Entry, context: Context) -> bool:
    if entry["type"] == "interval":
        return "interval" in context.kinds
    return entry["kind"] in context.kinds


def _held(entry: Entry) -> frozenset[str]:
    """The telling words of the condition under which a figure holds."""
    return _telling((entry.get("condition") or {}).get("text") or "")


@cache
def _telling(text: str) -> frozenset[str]:
    return words_of(text) - _TELLING_NOT
