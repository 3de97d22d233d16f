"""Figures as they are said: numbers in words, ratios without a unit, the habits of transcripts.

Ground floor, for the auditor alone: `recognise` reads the rest.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from placardry.number_words import in_digits
from placardry.quantity import Quantity
from placardry.recognise import Recognised, bare_numbers, quantities, unit_at
from placardry.transcript import as_written


def spoken_quantities(text: str, language: str = "en") -> Iterator[Recognised]:
    """As `quantities`, and also what is said: `seven point four volts`, `one to fifty`."""
    plain = as_written(text, language)
    digits = in_digits(plain.text, language)
    found = list(quantities(digits.text, language))
    taken = [(one.start, one.end) for one in found]
    found += (one for one in _ratios(digits.text) if not _overlaps(one, taken))
    for one in sorted(found, key=lambda one: one.start):
        start, end = plain.back(*digits.back(one.start, one.end))
        yield Recognised(start, end, text[start:end], one.figure)


def without_unit(text: str, language: str = "en") -> int:
    """How many numbers from 10 on are said without a unit; no years, no ratios."""
    digits = in_digits(as_written(text, language).text, language).text
    taken = [(one.start, one.end) for one in _ratios(digits)]
    return sum(
        one.value >= 10
        and not (len(one.text) == 4 and 1900 <= one.value < 2100)
        and not any(start <= one.start < end for start, end in taken)
        for one in bare_numbers(digits, language)
    )


_RATIO = re.compile(
    r"(?<![\w.,:/-])(?<!from )(?<!between )(?<!von )(?<!zwischen )"
    r"(?:1 (?:to|zu|auf) (?P<under>[1-9][0-9]{1,2}|[1-9][.,][0-9])"
    r"|(?P<over>[1-9][.,][0-9]) (?:to|zu) 1"
    r"|(?P<mixed>[1-9][0-9]{1,2})[ -](?:to|zu|auf)[ -]1)(?![\w%°]|[.,:][0-9])"
)
MIXED = re.compile(
    r"\b(?:oil|fuel|petrol|gas(?:oline)?|(?:pre-?)?mix\w*|(?:\w+)?öls?|kraftstoff\w*|benzins?"
    r"|sprits?|(?:ge|ver)?misch\w*)\b",
    re.IGNORECASE,
)
_NEAR = 80  # letters to each side in which it is said that a mix is meant


def _ratios(text: str) -> Iterator[Recognised]:
    """Ratios as they are said: `1 to 45`, where no unit follows; `45 to 1` of a mix alone."""
    for found in _RATIO.finditer(text):
        near = text[max(found.start() - _NEAR, 0) : found.end() + _NEAR]
        if not unit_at(text, found.end())[0] and (not found["mixed"] or MIXED.search(near)):
            over = found["over"] or found["mixed"]
            sides = f"1:{found['under']}" if found["under"] else f"{over}:1"
            figure = Quantity.parse(sides.replace(",", "."))
            yield Recognised(*found.span(), found[0], figure)


def _overlaps(one: Recognised, taken: Iterable[tuple[int, int]]) -> bool:
    return any(one.start < end and start < one.end for start, end in taken)
