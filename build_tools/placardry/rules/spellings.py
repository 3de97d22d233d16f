"""Rules on terms that are spelt in two ways."""

from __future__ import annotations

import pkgutil
import re
import tomllib
from collections.abc import Iterator
from functools import cache

from placardry.finding import Family, Note, Severity, Span
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.texts import Written, bared

Place = tuple[Written, int, int]

# The first part is a word, or nearly: `re-cover` is not `recover`.
_SPLIT = re.compile(r"[^\W\d_]{3,}-[^\W\d_]{2,}")


@rule(Severity.ADVICE, Family.PROSE)
def two_spellings(subject: Subject) -> Iterator[Problem]:
    """A term of the trade is spelt in two ways.

    A reader who meets two words looks for two things, and a search finds only one of them. Known
    are pairs such as tyre and tire, and any word with a hyphen here and in one piece there.

    Source: ASD-STE100 issue 9 (one word for one thing; from memory).

    Bad:
        content/welcome.md
            # Welcome

            Keep the coolant inside {coolant.green}. Change the spark plug in spring.

            A wet sparking plug does not fire. Dry the spark plug.
    Good:
        content/welcome.md
            # Welcome

            Keep the coolant inside {coolant.green}. Change the spark plug in spring.

            A wet spark plug does not fire. Dry the spark plug.
    """
    texts = [(one, one.text.lower()) for one in subject.texts if not one.is_translation]
    # One search through everything: hardly a book has both spellings of even one pair.
    all_words = "\n".join(lowered for _, lowered in texts)
    known = _pairs(subject.book.settings.language)
    for pair in dict.fromkeys((*known, *_hyphened(all_words))):
        if all(term in all_words for term in pair):
            found = [(term, _places(texts, term, subject.book.settings.names)) for term in pair]
            rare, usual = sorted(found, key=lambda item: len(item[1]))
            if rare[1]:
                yield _both(rare, usual)


def _hyphened(all_words: str) -> list[tuple[str, str]]:
    """What may be words with a hyphen in one place and in one piece in another.

    Names inside references are among them; those are taken out where the places are sought.
    """
    distinct = " ".join(set(all_words.split()))
    split = set(_SPLIT.findall(distinct)) if "-" in distinct else set()
    whole = set(re.findall(r"\w+", distinct)) if split else set()
    joined = ((one, one.replace("-", "")) for one in sorted(split))
    return [pair for pair in joined if pair[1] in whole]


def _places(texts: list[tuple[Written, str]], term: str, names: tuple[str, ...]) -> list[Place]:
    """Where a term stands as a word of its own, in the singular or the plural."""
    pattern = re.compile(rf"(?<![\w-]){re.escape(term)}(?:s|ed)?(?![\w-])", re.IGNORECASE)
    return [
        (one, *match.span())
        for one, lowered in texts
        if term in lowered
        for match in pattern.finditer(bared(one.text, names))
    ]


def _both(rare: tuple[str, list[Place]], usual: tuple[str, list[Place]]) -> Problem:
    (word, (first, *_)), (other, others) = rare, usual
    places = "one other place" if len(others) == 1 else f"{len(others)} other places"
    message = f"`{word}` stands here, and `{other}` in {places}"
    note = Note(_span(others[0]), f"`{other}`")
    return Problem(_span(first), message, f"write `{other}`, or `{word}` everywhere", (note,))


def _span(place: Place) -> Span:
    text, start, end = place
    return text.span(start, end)


@cache
def _pairs(language: str) -> tuple[tuple[str, str], ...]:
    """The pairs of a language: two spellings of one term each."""
    data = pkgutil.get_data("placardry.rules", "spellings.toml") or b""
    return tuple((one, other) for one, other in tomllib.loads(data.decode()).get(language, ()))
