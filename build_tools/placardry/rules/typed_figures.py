"""The rule that every figure has one home: none is typed into words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice

from placardry.book import Book
from placardry.book.instruments import Setting
from placardry.book.machines import Airframe, Engine, Machine, Option
from placardry.book.procedures import AdjustStep
from placardry.book.record import Record
from placardry.book.sources import Document
from placardry.figures import Exact, Figure
from placardry.finding import MOST_IN_TEXT, Family, Note, Severity
from placardry.quantity import Quantity
from placardry.recognise import Recognised, bare_numbers, ends_in, quantities
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.texts import Written, bared
from placardry.units import Dimension


@rule(Severity.ERROR, Family.PROSE)
def typed_figure(subject: Subject) -> Iterator[Problem]:
    """A figure is typed into words by hand.

    A figure that is typed in nine places is corrected in seven. Each figure is written once, as
    a limit, a fact or the like, and words refer to it; then every place changes with it, in every
    unit, and rounds to its safe side. Free are ordinals, step and page numbers, dates, quotations,
    and names that hold digits: those of machines, engines, options and documents, and those
    listed under `names:` in procedures/book.yaml.

    Source: common practice, no source.

    Bad:
        content/heat.md
            # Heat

            Land if the coolant reaches 90 °C.
    Good:
        content/heat.md
            # Heat

            Land if the coolant reaches {coolant.red}.
    """
    names = _names(subject.book)
    known = {
        figure.anchor: figure for figures in subject.figures.values() for figure in figures.values()
    }
    telling = _telling(subject)
    for text in subject.texts:
        if telling.isdisjoint(text.text.split()) or _is_free(text, subject.book):
            continue
        words = bared(text.text, names)
        for start, end, figure in islice(_typed(words, text.language), MOST_IN_TEXT):
            same = [one for one in known.values() if figure is not None and _same(figure, one)]
            yield Problem(
                text.span(start, end),
                f"`{text.text[start:end]}` is typed by hand",
                _mend(same, bare=figure is None),
                tuple(Note(one.span, f"`{one.anchor}` is written here") for one in same[:3]),
            )


def _names(book: Book) -> tuple[str, ...]:
    """The names that may hold digits, longest first."""
    kinds: tuple[type[Record], ...] = (Machine, Engine, Airframe, Option, Document)
    found = set(book.settings.names)
    for kind in kinds:
        for statements in book.of(kind).values():
            for record in statements:
                found |= {getattr(record, key, None) or "" for key in ("name", "model", "title")}
    return tuple(sorted((one for one in found if _DIGIT.search(one)), key=lambda one: -len(one)))


_DIGIT = re.compile(r"\d")


def _is_free(text: Written, book: Book) -> bool:
    """Whether figures may stand in a text: somebody else's words, or what is set as it stands."""
    if isinstance(text.owner, Document) or getattr(text.leaf.holder, "quotation", False):
        return True
    if isinstance(text.owner, Machine) and text.leaf.path == ("serials",):
        return True
    if isinstance(step := text.leaf.holder, AdjustStep) and text.leaf.path[-1] == "to":
        settings = book.of(Setting).get(step.adjust, ())
        return any(text.text in setting.allowed for setting in settings)
    return False


# Words in front of a number that is the name of a thing and no figure: circuit 2, channel 1.
# Compiled by the first number without a unit: few books hold one.
_LABELLED = (
    r"(?i)\b(?:circuit|cylinder|plug|tank|cell|line|pin|channel|input|screen|position|gear|seat"
    r"|notch|mark|callout|drawing|sheet|part|form|card|category|class|type|grade|group|model"
    r"|mode|stage|phase|key|button|switch|runway|engine|day|picture|photo|example|appendix"
    r"|kreis|zylinder|kerze|kanal|eingang|anzeige|stellung|stufe|taste|knopf|klasse|typ|teil"
    r"|sitz|beispiel)(?:s|e|en|n)?[ \u00a0\n]"
    r"(?:\d+(?:, | and | or | to | und | oder | bis |–|-))*$"
)
_YEAR = re.compile(
    r"(?:\b(?:in|since|until|year|spring|summer|autumn|winter|seit|bis|Jahr)[ \u00a0\n]|©[ ]?)$"
)


def _typed(words: str, language: str) -> Iterator[tuple[int, int, Recognised | None]]:
    """Every figure that is typed, with its stretch; None for a number without a unit."""
    if _DIGIT.search(words) or _VULGAR.search(words):
        for found in quantities(words, language):
            yield found.start, found.end, found
        for bare in bare_numbers(words, language):
            before = words[: bare.start]
            year = re.fullmatch(r"(?:19|20)\d\d", bare.text) and _YEAR.search(before)
            if not year and not re.search(_LABELLED, before):
                yield bare.start, bare.end, None
    yield from _spelt(words, language)


_VULGAR = re.compile("[¼-¾⅐-⅞]")
_SPELT = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
    "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20,
    "thirty": 30, "forty": 40, "forty-five": 45, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90, "ninety-five": 95, "hundred": 100, "half an": 0.5,
    "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "sieben": 7, "acht": 8, "neun": 9,
    "zehn": 10, "elf": 11, "zwölf": 12, "dreizehn": 13, "vierzehn": 14, "fünfzehn": 15,
    "sechzehn": 16, "siebzehn": 17, "achtzehn": 18, "neunzehn": 19, "zwanzig": 20, "dreißig": 30,
    "vierzig": 40, "fünfzig": 50, "sechzig": 60, "siebzig": 70, "achtzig": 80, "neunzig": 90,
    "hundert": 100,
}  # fmt: skip
_SPELT_OUT = re.compile(
    rf"(?<![\w-])({'|'.join(sorted(_SPELT, key=lambda word: -len(word)))})[ \u00a0\n-](?=\w)",
    re.IGNORECASE,
)


_SIGN = re.compile("[0-9¼-¾⅐-⅞]")
_WORD = re.compile(r"\w+")
_FIRST_WORDS = frozenset(_WORD.findall(spelt)[0] for spelt in _SPELT)


def _telling(subject: Subject) -> set[str]:
    """The words of the book that can be, or begin, a figure: few, and most texts hold none."""
    distinct = {word for text in subject.texts for word in text.text.split()}
    return {word for word in distinct if _may_hold(word) and _may_hold(bared(word))}


def _may_hold(word: str) -> bool:
    if _SIGN.search(word):
        return True
    if _FIRST_WORDS.isdisjoint(_WORD.findall(word.lower())):
        return False
    # A number needs a word behind it; `half` is one with `an` between them.
    return _SPELT_OUT.search(f"{word} an hour") is not None


def _spelt(words: str, language: str) -> Iterator[tuple[int, int, Recognised]]:
    """Figures whose number is a word: `thirty seconds`."""
    for first in _WORD.finditer(words):
        if first[0].lower() not in _FIRST_WORDS:
            continue  # to search for every number at every letter takes ten times as long
        match = _SPELT_OUT.match(words, first.start())
        if match is None:
            continue
        number = str(_SPELT[match[1].lower()])
        rest = words[match.end() : match.end() + 40]
        found = next(quantities(f"{number} {rest}", language), None)
        if found is None or found.start or not isinstance(found.figure, Quantity):
            continue
        # "One time", "one day", "the two drops" are manners of speaking.
        unit = found.figure.unit
        is_count = unit.dimension is Dimension.COUNT
        once = number == "1" and (is_count or unit.symbol in ("d", "week"))
        if not once and not (is_count and unit.symbol not in ("turn", "press", "time")):
            yield match.start(), match.end() + found.end - len(number) - 1, found


def _same(found: Recognised, known: Figure) -> bool:
    """Whether a typed figure says what a known one says, as written or as published."""
    given = ends_in(found.figure)
    exact = Exact(given.get("low"), given.get("high"), given.get("value"))
    low, high, value = exact.values
    for unit in dict.fromkeys((exact.unit, exact.unit.difference)):
        said = [known.exact.values_in(unit)] if known.exact.unit.mixes(unit) else []
        if shown := known.shown.get(unit.symbol):
            said.append((shown.low, shown.high, shown.value))
        for one in said:
            ends = [end for end in one[:2] if end is not None]
            single = one[2] if one[2] is not None else ends[0] if len(ends) == 1 else None
            if (low, high, value) == one or (low is None and value == single):
                return True
    return False


def _mend(same: list[Figure], *, bare: bool) -> str:
    if same:
        homes = " or ".join(f"`{{{one.anchor}}}`" for one in same[:3])
        return f"write {homes} if that is the figure meant, else give it a home under `facts:`"
    if bare:
        return (
            "give it a home under `facts:` and refer to it, or list it with its word under "
            "`names:` in procedures/book.yaml if it is a name"
        )
    return "give it a name under `facts:`, such as `NAME: {nominal: …}`, and write `{NAME}` here"
