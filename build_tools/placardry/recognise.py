"""Figures in running text, found as a stranger would find them.

Ground floor. The prose rules look for figures typed by hand, the auditor reads what is published;
so this shares nothing with the printing of numerals, and reads more than a book may write.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction

from placardry.finding import light
from placardry.interval import Interval, Nominal
from placardry.notation import MINUS, VULGAR, read_loosely
from placardry.quantity import Quantity
from placardry.units import COUNTER, PROSE, RATIO, Dimension

Figure = Quantity | Interval | Nominal


def ends_in(figure: Figure) -> Mapping[str, Quantity]:
    """The quantities that a figure gives, as `value`, `low` and `high`; a lone one is a value."""
    if isinstance(figure, Quantity):
        return {"value": figure}
    value = figure.value if isinstance(figure, Nominal) else None
    named = {"value": value, "low": figure.low, "high": figure.high}
    return {name: end for name, end in named.items() if end is not None}


@light
class Recognised:
    """A figure found in a text, at `text[start:end]` of it."""

    start: int
    end: int
    text: str
    figure: Figure


@light
class BareNumber:
    """A number without a unit, at `text[start:end]`, that is no date, ordinal or name."""

    start: int
    end: int
    text: str
    value: Fraction


def quantities(text: str, language: str = "en") -> Iterator[Recognised]:
    """Every figure with a unit in the text, in order; a range or a tolerance is one figure.

    `language` decides only what a mark before three digits means: `1,500` is 1500 in English
    and 1.5 in German.
    """
    return (found for found in _scan(text, language) if isinstance(found, Recognised))


def bare_numbers(text: str, language: str = "en") -> Iterator[BareNumber]:
    """Every number without a unit that may be a figure all the same, as in `use 4 bolts`.

    Left out are dates, years beside a month, step and page numbers, list numbers, versions,
    names with digits (`M6`, `RON 95`).
    """
    return (found for found in _scan(text, language) if isinstance(found, BareNumber))


_SPACES = str.maketrans(dict.fromkeys("\u00a0\u2009\u202f\n\t", " ") | {"\u22c5": "·"})
_MINUS = f"[-{MINUS}\u2013]"
_NUMBER = (
    r"(?:(?:[0-9]{1,3} )?[0-9]{1,2}[/⁄](?:2|3|4|8|16|32|64)(?![0-9])"
    rf"|(?:[0-9]{{1,3}} ?)?{VULGAR}"
    r"|[0-9]{1,3}(?:[ .,'’][0-9]{3}(?![0-9]))+(?:[.,][0-9]{1,18})?"
    r"|[0-9]{1,18}(?:[.,][0-9]{1,18})?)"
)
_FIRST = re.compile(
    r"(?<![0-9][.,:/'’])(?<![\w+⁄])(?!(?:1[0-9]|20)[0-9]0s)"
    r"(?:(?P<counter>[0-9]{1,6}:[0-5][0-9]:[0-5][0-9])(?![\w:])"
    r"|(?P<ratio>1:[1-9][0-9]{0,5}(?:[.,][0-9]{1,6})?|[1-9][0-9]{0,5}(?:[.,][0-9]{1,6})?:1)"
    r"(?![\w:]|[.,][0-9]| ?(?:[ap]\.?m|h|Uhr)\b)"
    rf"|(?P<number>(?:(?<![\w)]){_MINUS})?(?<![\w)][-{MINUS}\u2013]){_NUMBER}))"
)
_SECOND = re.compile(
    r"(?:(?P<join> ?[-\u2012-\u2015…/] ?|-? (?:to|and|or|bis|und|oder) )"
    rf"(?P<second>{_MINUS}?{_NUMBER})"
    rf"| ?± ?(?P<both>{_NUMBER})| ?\+ ?(?P<plus>{_NUMBER}) ?/ ?{_MINUS} ?(?P<minus>{_NUMBER}))\)?"
)
_ANY_DIGIT = re.compile(f"[0-9]|{VULGAR}")
_ANOTHER_UNIT = re.compile(
    r"\^[0-9]|[²³]|/(?:min|s|h|km|kg|m|L|l|cm|mm)\b|[ ](?:squared|cubed|hours?|force)\b"
)
_SPELT: dict[str, list[str]] = defaultdict(list)  # by its first letter, the longest first
for _spelt in sorted(PROSE, key=len, reverse=True):
    if PROSE[_spelt] not in (RATIO, COUNTER):
        _SPELT[_spelt[0]].append(_spelt)


@light
class _Found:
    """A number in `text`, its unit from `unit_start` on, and what is joined to it.

    `text` is the original with plain spaces in the places of all others.
    """

    original: str
    text: str
    first: re.Match[str]
    unit: str
    unit_start: int
    second: re.Match[str] | None = None
    last: str = ""
    last_start: int = 0

    @property
    def start(self) -> int:
        return self.first.start()

    @property
    def end(self) -> int:
        if self.second:
            return self.last_start + len(self.last)
        return self.unit_start + len(self.unit) if self.unit else self.first.end()

    def part(self, name: str) -> str:
        """The named part of the second half, empty where it has none."""
        return (self.second and self.second[name]) or ""


def _scan(original: str, language: str) -> Iterator[Recognised | BareNumber]:
    if not _ANY_DIGIT.search(original):
        return
    text, at = original.translate(_SPACES), 0
    while digit := _ANY_DIGIT.search(text, at):
        # Only a sign may stand before it; to try every letter costs ten times as much.
        first = _FIRST.search(text, max(at, digit.start() - 1))
        if first is None:
            return
        found = _complete(original, text, first)
        figures = tuple(_figures(found, language))
        if not figures and not found.second and not _is_name(found):
            value, _ = read_loosely(first[0], language)
            yield BareNumber(*first.span(), original[first.start() : first.end()], value)
        for start, end, figure in figures:
            yield Recognised(start, end, original[start:end], figure)
        at = found.end


def _complete(original: str, text: str, first: re.Match[str]) -> _Found:
    """The number with the unit and the second number that follow it."""
    if not first["number"]:
        return _Found(original, text, first, "", first.end())
    unit, unit_start = unit_at(text, first.end())
    second = _SECOND.match(text, unit_start + len(unit) if unit else first.end())
    last, last_start = unit_at(text, second.end()) if second else ("", 0)
    if not last:
        return _Found(original, text, first, unit, unit_start)
    return _Found(original, text, first, unit, unit_start, second, last, last_start)


def unit_at(text: str, at: int) -> tuple[str, int]:
    """The longest unit behind a number that ends at `at`, and where it starts; or an empty one."""
    if text[at : at + 1] in (" ", "-"):
        at += 1
    for spelt in _SPELT.get(text[at : at + 1], ()):
        if text.startswith(spelt, at):
            after = text[at + len(spelt) : at + len(spelt) + 1]
            if spelt[-1].isalnum() and (after.isalnum() or after == "_"):
                continue
            return ("", 0) if _ANOTHER_UNIT.match(text, at + len(spelt)) else (spelt, at)
    return "", at


def _figures(found: _Found, language: str) -> Iterator[tuple[int, int, Figure]]:
    """The figures of one match: one as a rule, two where its two halves stay apart."""
    number, start, end = found.first[0], found.start, found.end
    if not found.first["number"]:
        yield start, end, Quantity.parse(number.replace(",", "."))
        return
    if not (found.unit or found.last):
        return
    first = _quantity(number, found.unit or found.last, language)
    if not found.second:
        if not _is_false_alarm(found, first):
            yield start, end, first
        return
    name = next(name for name in ("second", "both", "plus") if found.part(name))
    second = _quantity(found.part(name), found.last, language)
    if _reads_as_a_word(found.original, found.last, found.last_start, second):
        return
    if first.unit != second.unit or not _is_one_figure(found):
        cut = found.unit_start + len(found.unit) if found.unit else found.first.end()
        yield start, cut, first
        yield found.second.start(name), end, second
    elif name == "second":
        low, high = sorted((first, second), key=lambda end: end.value)
        yield start, end, Interval(low, high, written=found.text[start:end])
    else:
        down = _quantity(found.part("both") or found.part("minus"), found.last, language)
        low = Quantity.of(first.value - down.value, first.unit)
        high = Quantity.of(first.value + second.value, first.unit)
        yield start, end, Nominal(first, low, high, found.text[start:end])


def _quantity(number: str, spelt: str, language: str) -> Quantity:
    value, decimals = read_loosely(number, language)
    return Quantity(value, PROSE[spelt], decimals, f"{number} {spelt}")


def _is_one_figure(found: _Found) -> bool:
    """Whether the second number is the end of a range or a tolerance, not the next in a list."""
    join = found.part("join").strip()
    if join in ("and", "und"):
        return bool(re.search(r"\b(?:between|zwischen)\s$", _before(found), re.IGNORECASE))
    return join not in ("or", "oder", "/")


_SINGULAR = {
    "turn", "revolution", "press", "time", "cycle", "flight", "landing", "start", "drop",
    "Umdrehung", "Tastendruck", "Zyklus", "Flug", "Landung", "Start",
}  # fmt: skip
_ORDINAL_BEFORE = re.compile(
    r"(?:\b(?:steps?|pages?|sections?|fig(?:ure)?s?\.?|tables?|chapters?|items?|paragraphs?"
    r"|rows?|columns?|editions?|versions?|issue|revision|no\.|nos\.|number|amendment|amdt\.?|note"
    r"|schritte?n?|seiten?|abschnitte?|abb\.|abbildung|bild(?:er)?|tabellen?|kapitel|nr\.|nummer"
    r"|zeilen?|spalten?|absatz|ausgabe|punkt|anhang|annex|appendix)|§|\#) ?$",
    re.IGNORECASE,
)


def _is_false_alarm(found: _Found, figure: Quantity) -> bool:
    """Whether what looks like a unit is a word of the sentence, or the number an ordinal."""
    short = len(found.unit) < 3 or figure.unit.dimension is Dimension.COUNT
    ordinal = short and bool(_ORDINAL_BEFORE.search(_before(found)))
    return ordinal or _reads_as_a_word(found.original, found.unit, found.unit_start, figure)


_MEASURED = re.compile(r"\s(?:thick|wide|long|deep|high|tall|apart|across|dia)", re.IGNORECASE)


def _reads_as_a_word(original: str, spelt: str, at: int, figure: Quantity) -> bool:
    """Whether `3 in the`, `2-in-1` or `2 press` is meant rather than a unit."""
    if spelt == "in":  # a space that does not break says that the unit is meant
        gap, after = original[at - 1], original[at + 2 : at + 12]
        if _MEASURED.match(after):
            return False
        return after[:1] == "-" or (gap in " \n" and bool(re.match(r"\s[^\W_]", after)))
    return spelt in _SINGULAR and abs(figure.value) > 1


def _before(found: _Found) -> str:
    return found.text[max(0, found.start - 20) : found.start]


_MONTH = (
    "(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec|Mär|Mai|Okt|Dez)(?:[a-zä]{1,6})?(?![a-z])"
)
_NAME_BEFORE = re.compile(
    rf"(?:\b[A-ZÄÖÜ][A-Z0-9ÄÖÜ]+[ -]|\b{_MONTH}\.?[ ](?:[0-9]{{1,2}},? )?|[\w][-+]"
    r"|[0-9]{1,2}\.[ ]?)$"
)
_NAME_AFTER = re.compile(rf"\w|[-.:,/’'][0-9]|-\w|\.?[ ]{_MONTH}|(?:st|nd|rd|th)\b|\.[ ][0-9]")


def _is_name(found: _Found) -> bool:
    """Whether a number without unit is a date, an ordinal or part of a name."""
    text, end, before = found.text, found.first.end(), _before(found)
    line = found.original[found.start - len(before) : found.start].rpartition("\n")[2]
    return bool(
        _NAME_AFTER.match(text, end)
        or (not line.strip() and text[end : end + 2] in (". ", ") "))
        or _ORDINAL_BEFORE.search(before)
        or _NAME_BEFORE.search(before)
    )
