"""The rules that decoder and loader report: what a file may hold, what a name or a figure is.

`MALFORMED` maps the rule names that scalar types raise (see `errors.Malformed`) to their rules.
"""

from __future__ import annotations

from placardry import notation
from placardry.finding import Family, Rule, Severity


def _rule(name: str, manual: str, family: Family = Family.SOURCE_TEXT) -> Rule:
    return Rule(name, Severity.ERROR, family, manual)


UNKNOWN_KEY = _rule(
    "unknown-key",
    """A key stands where no such key is known.

    A misspelt key would be passed over in silence, and with it the limit that it holds.

    Bad:
        procedures/facts.yaml
            facts:
              spare-fuse: {nominol: 15 A, source: page 3}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """,
)
MISSING_KEY = _rule(
    "missing-key",
    """A record lacks a key that it cannot do without, or holds nothing under it.

    Bad:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cruise-speed: {typical: 6500 rpm, source: page 3}
    Good:
        procedures/limits.yaml
            document: marl-manual
            limits:
              cruise-speed:
                parameter: engine-speed
                typical: 6500 rpm
                source: page 3
    """,
)
WRONG_SHAPE = _rule(
    "wrong-shape",
    """A list, keys or a text stand where another of these should.

    Bad:
        procedures/facts.yaml
            facts: [spare-fuse, main-fuse]
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """,
)
BAD_ID = _rule(
    "malformed-id",
    """A name is not made of lower-case words joined by hyphens.

    Names appear in links, file names and references on every system, so they use letters that
    are the same everywhere.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              Spare_Fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """,
)
UNKNOWN_FORMAT = _rule(
    "unknown-format",
    """The book is written in a format that this release does not read.

    A newer format may give old words a new meaning, so nothing is read at all.

    Bad:
        procedures/book.yaml
            format: 99
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
    Good:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
    """,
)
_VALUE = _rule(
    "malformed-value",
    """A value is not what its key wants.

    Bad:
        procedures/lengths.yaml
            parameters:
              length: {name: length, units: {mm: none}}
    Good:
        procedures/lengths.yaml
            parameters:
              length: {name: length, units: {mm: 1}}
    """,
)


def _figure_rule(name: str, why: str, bad: str, good: str) -> Rule:
    """A rule of `notation`, shown on the range of one fact."""
    example = """
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse:
                name: spare fuse
                source: page 3
                range: """
    manual = f"""{notation.RULES[name].capitalize()} stands in a record.

    {why}

    Bad:{example}{bad}
    Good:{example}{good}
    """
    return _rule(name, manual, Family.FIGURES)


# Beside each rule of `notation` that one figure alone can break: why, a bad and a good figure.
_FIGURES = tuple(
    _figure_rule(*row)
    for row in (
        (
            "malformed-figure",
            "What is guessed at may be guessed wrong, so a figure has one strict form.",
            "about 15 A",
            "15 A",
        ),
        (
            "number-without-unit",
            "A bare 30 is degrees to one reader and seconds to the next.",
            "15",
            "15 A",
        ),
        (
            "unknown-unit",
            "Only listed units convert exactly, and some signs mean different units to "
            "different people.",
            "15 amper",
            "15 A",
        ),
        (
            "mixed-units",
            "An interval has one unit, so that its ends can be compared at a glance.",
            "900 mA to 15 A",
            "0.9 to 15 A",
        ),
        (
            "decimal-comma",
            "1,500 is one and a half in one country and fifteen hundred in another.",
            "1,5 A",
            "1.5 A",
        ),
        (
            "grouped-number",
            "Spaces and marks between thousands are read differently from country to country.",
            "12 000 mA",
            "12000 mA",
        ),
        (
            "foreign-number",
            "Other scripts and powers of ten look right on screen and are misread on a card.",
            "1e3 mA",
            "1000 mA",
        ),
        (
            "reversed-interval",
            "An interval that begins high holds no value, or is a slip of one figure.",
            "20 to 10 A",
            "10 to 20 A",
        ),
    )
)

MALFORMED = {rule.name: rule for rule in (_VALUE, BAD_ID, *_FIGURES)}
