"""How one number and its unit are written: the strict reading, its refusals, the canonical text.

Ground floor; `quantity` builds its figures on it. What else people write for a number is never
guessed: each habit has a row in `_HABITS` that names it and says what to type instead.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction

from placardry.errors import Malformed
from placardry.finding import light
from placardry.rounding import decimal
from placardry.units import COUNTER, RATIO, SPELLINGS, Unit, unit

RULES = {
    "malformed-figure": "a figure that is no number followed by a unit",
    "number-without-unit": "a number without the unit that it is in",
    "unknown-unit": "a unit that is not on the closed list",
    "units-that-do-not-mix": "two units of which one cannot be converted into the other",
    "mixed-units": "one interval or tolerance in two units",
    "decimal-comma": "a comma where a decimal point belongs",
    "grouped-number": "a number with its thousands set apart",
    "foreign-number": "digits of another script, a fraction sign or a power of ten",
    "reversed-interval": "an interval or tolerance whose low end is above its high end",
}
"""The rules that a `Malformed` of this floor names, and what each says is wrong."""

MINUS = "\u2212"
SPACES = " \u00a0\u2009\u202f"

_DIGITS = 18  # more is a slip; it also keeps int() away from numbers of a million digits
_NUMBER = re.compile(rf"[-{MINUS}]?(?:0|[1-9][0-9]{{0,{_DIGITS}}})(?:\.[0-9]{{1,{_DIGITS}}})?")
_COUNTER = re.compile(r"(0|[0-9]{1,7}):([0-5][0-9]):([0-5][0-9])")
_RATIO = re.compile(r"1:([1-9][0-9]{0,5}(?:\.[0-9]{1,6})?)|([1-9][0-9]{0,5}(?:\.[0-9]{1,6})?):1")


@light
class Numeral:
    """A number as read: exact value, count of decimals, its own text, the unit if one stands."""

    value: Fraction
    decimals: int
    text: str
    unit: Unit | None


def read_numeral(text: str) -> Numeral:
    """The number, and the unit if there is one, that `text` consists of.

    Raises:
        Malformed: of the rule that names what is wrong.
    """
    plain = text.strip()
    if counter := _COUNTER.fullmatch(plain):
        hours, minutes, seconds = map(int, counter.groups())
        return Numeral(Fraction(hours * 3600 + minutes * 60 + seconds, 3600), 0, plain, COUNTER)
    if ratio := _RATIO.fullmatch(plain):
        parts, to_one = ratio.groups()
        value = 1 / Fraction(parts) if parts else Fraction(to_one)
        return Numeral(value, 0, plain, RATIO)
    number = _NUMBER.match(plain)
    rest = plain[number.end() :] if number else ""
    if number is None or _HABIT_AHEAD.match(rest):
        raise refusal(text)
    if not rest:
        return _numeral(number[0], None)
    if not (rest[0] in SPACES or rest[0].isalpha() or rest[0] in "%°℃℉"):
        raise refusal(text)
    spelt = rest.strip(SPACES)
    if _ANOTHER.search(spelt):
        raise refusal(text)
    known = unit(spelt)
    if known in (RATIO, COUNTER):
        raise refusal(text)
    return _numeral(number[0], known)


def _numeral(text: str, known: Unit | None) -> Numeral:
    ascii_text = text.replace(MINUS, "-")
    return Numeral(*_read_plain(ascii_text), ascii_text, known)


def _read_plain(numeral: str) -> tuple[Fraction, int]:
    """The value of a plain decimal and its count of decimals; twice as fast as `Fraction` alone."""
    whole, _, part = numeral.partition(".")
    return Fraction(int(whole + part), 10 ** len(part)), len(part)


def numeral_text(value: Fraction, known: Unit, step: Fraction | None = None) -> str:
    """The canonical numeral of a value in its unit: `88`, `2.50`, `25:00:00`, `1:50`.

    Raises:
        ValueError: where the value has no exact numeral with the decimals of `step`.
    """
    if known == RATIO and value > 0:
        return f"1:{decimal(1 / value)}" if value <= 1 else f"{decimal(value)}:1"
    if known == COUNTER and value >= 0:
        seconds = value * 3600
        if seconds.denominator != 1:
            raise ValueError(f"{value} h is no whole number of seconds")
        minutes, rest = divmod(seconds.numerator, 60)
        return f"{minutes // 60}:{minutes % 60:02}:{rest:02}"
    return decimal(value, step)


def quoted(text: str) -> str:
    """The text on one line and short enough for a message."""
    line = " ".join(text.split())
    return line if len(line) <= 40 else line[:39] + "…"


def _with(replace: Callable[[re.Match[str]], str]) -> Callable[[re.Match[str]], str]:
    """A mend that shows the author's own text with the habit replaced."""

    def mend(found: re.Match[str]) -> str:
        whole = found.string
        better = whole[: found.start()] + replace(found) + whole[found.end() :]
        return f"write `{quoted(better.strip())}`"

    return mend


def _always(mend: str) -> Callable[[re.Match[str]], str]:
    return lambda _: mend


def _point_or_nothing(found: re.Match[str]) -> str:
    point = quoted(found.string.replace(",", "."))
    joined = quoted(found.string.replace(",", ""))
    return f"write `{point}` for a decimal, `{joined}` for thousands"


def _ascii_digits(found: re.Match[str]) -> str:
    text = "".join(str(unicodedata.decimal(sign, sign)) for sign in found.string)
    return f"write `{quoted(text)}`"


_GAP = rf"[{SPACES}_'\u2019.,]"
# Patterns are compiled by the first refusal: most books hold no such figure.
_HABITS: tuple[tuple[str, str, str, Callable[[re.Match[str]], str]], ...] = (
    (r"^$", "malformed-figure", "is empty",
     _always("write a number with its unit, as in `88 degC`")),
    (r"<=|>=|[<>≤≥≦≧]", "malformed-figure", "uses a comparison sign",
     _with(lambda found: "")),
    (r"(?![0-9])\d", "foreign-number", "has digits of another script", _ascii_digits),
    (r"[¼-¾⅐-⅞⁄²³¹⁰-₉]|[0-9]/[0-9]", "foreign-number",
     "holds a fraction or a raised digit", _always("write it as a decimal, as in `2.5 bar`")),
    (r"[0-9][eE][-+]?[0-9]|[0-9] ?[×x*·] ?10|0[xX][0-9]", "foreign-number",
     "uses a power of ten or a programmer's number",
     _always("write the number in full, as in `1500 rpm`")),
    (r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+", "decimal-comma",
     "has a decimal comma and thousands apart",
     _with(lambda found: found[0].replace(".", "").replace(",", "."))),
    (rf"[0-9]{{1,3}}(?:,[0-9]{{3}})+(?=\.[0-9])|"
     rf"[0-9]{{1,3}}(?:{_GAP}[0-9]{{3}}){{2,}}|[0-9]+(?:[{SPACES}_'\u2019][0-9]{{3}})+(?![0-9])",
     "grouped-number", "sets the thousands apart",
     _with(lambda found: re.sub(_GAP, "", found[0]))),
    (r"[0-9]_[0-9]", "grouped-number", "holds an underscore",
     _with(lambda found: found[0].replace("_", ""))),
    (r"[1-9][0-9]{0,2},[0-9]{3}(?![0-9])", "decimal-comma",
     "holds a comma, which may mean a decimal or thousands", _point_or_nothing),
    (r"[0-9],[0-9]", "decimal-comma", "has a decimal comma",
     lambda found: f"write `{quoted(re.sub('(?<=[0-9]),(?=[0-9])', '.', found.string))}`"),
    (rf"^\+ ?(?=[0-9.])|^[-{MINUS}] +(?=[0-9])", "malformed-figure",
     "has a sign that is not part of the number",
     _with(lambda found: "" if found[0][0] == "+" else "-")),
    (rf"^[-{MINUS}]?\.(?=[0-9])", "malformed-figure", "has no digit before the point",
     _with(lambda found: found[0].replace(".", "0."))),
    (r"[0-9]\.(?![0-9])", "malformed-figure", "has no digit after the point",
     _with(lambda found: found[0][0])),
    (rf"^[-{MINUS}]?0+(?=[0-9])", "malformed-figure", "has a leading zero",
     _with(lambda found: found[0].rstrip("0"))),
    (r"[0-9]:[0-9]", "malformed-figure", "is neither a ratio nor a counter",
     _always("write a ratio as `1:50`, a counter with hours, minutes and seconds as "
             "`25:00:00`, another time with its unit as `90 s`")),
    (r"(?<=[0-9]) ?(?:[-\u2012-\u2015]|\.\.+|…) ?(?=[0-9])", "malformed-figure",
     "joins two numbers", _with(lambda found: " to ")),
    (rf"[0-9]{{{_DIGITS},}}", "malformed-figure", "has too many digits",
     _always(f"write at most {_DIGITS} digits before and after the point")),
    (rf"[0-9].*(?:^|[{SPACES}±])[-+{MINUS}]?[0-9]", "malformed-figure",
     "holds two numbers where one is wanted",
     _always("write one number with its unit, as in `88 degC`")),
)  # fmt: skip
_HABIT_AHEAD = re.compile(rf"[,_'\u2019.:/]|[eExX][-+]?[0-9]|[{SPACES}]?[0-9×]")
_ANOTHER = re.compile(rf"(?:^|[{SPACES}±])[-+{MINUS}]?[0-9]")


def refusal(text: str) -> Malformed:
    """The refusal of a text that is no number with a unit, by the habit that it shows."""
    plain = text.strip()[:200]  # the habits search; the rest would only cost time
    for pattern, rule, what, mend in _HABITS:
        if found := re.search(pattern, plain):
            return Malformed(f"`{quoted(plain)}` {what}", mend(found), rule)
    return Malformed(
        f"`{quoted(plain)}` is not a number followed by a unit",
        "write a number with its unit, as in `88 degC`",
        "malformed-figure",
    )


VULGAR = "[¼-¾⅐-⅞]"
_ANY_MINUS = f"-{MINUS}\u2013"
_FRACTION = re.compile(rf"(?:([0-9]{{1,2}})[/⁄]([0-9]+)|({VULGAR}))$")
_GROUPING = re.compile("[ '’]")
_DECIMAL_COMMA = frozenset({"de"})


def read_loosely(text: str, language: str) -> tuple[Fraction, int]:
    """The value of a number in any usual notation, and its count of decimals; for `recognise`.

    `language` decides only whether a mark before three digits is a decimal mark.
    """
    plain = text.lstrip(_ANY_MINUS)
    sign = -1 if plain != text else 1
    if fraction := _FRACTION.search(plain):
        over, under, vulgar = fraction.groups()
        if vulgar:
            over, under = unicodedata.normalize("NFKC", vulgar).split("⁄")
        whole = plain[: fraction.start()].strip() or "0"
        return sign * (int(whole) + Fraction(int(over), int(under))), 0
    plain = _GROUPING.sub("", plain)
    decimal_mark = "," if language.partition("-")[0].lower() in _DECIMAL_COMMA else "."
    marks = [sign for sign in plain if sign in ".,"]
    if marks and (len(marks) > 1 and len(set(marks)) == 1):
        plain = plain.replace(marks[0], "")
    elif marks:
        whole, mark, decimals = plain.rpartition(marks[-1])
        groups = len(decimals) == 3 and len(whole) <= 3 and mark != decimal_mark
        joined = whole.replace(".", "").replace(",", "")
        plain = joined + decimals if groups and whole != "0" else f"{joined}.{decimals}"
    value, places = _read_plain(plain)
    return value if sign > 0 else -value, places


def _escaped(text: str) -> str:
    """The text for a pattern of JSON Schema, whose dialect allows no needless escape."""
    return "".join(f"\\{sign}" if sign in r"\^$.|?*+()[]{}/" else sign for sign in text)


UNIT_PATTERN = "(?:" + "|".join(
    _escaped(text)
    for text in sorted(SPELLINGS, key=lambda text: (-len(text), text))
    if SPELLINGS[text] not in (RATIO, COUNTER)
) + ")"  # fmt: skip
NUMBER_PATTERN = _NUMBER.pattern
FIGURE_PATTERN = (
    rf"(?:{NUMBER_PATTERN} ?{UNIT_PATTERN}|[0-9]+:[0-5][0-9]:[0-5][0-9]"
    r"|1:[1-9][0-9]*(?:\.[0-9]+)?|[1-9][0-9]*(?:\.[0-9]+)?:1)"
)
"""What `read_numeral` accepts with a unit, as a pattern for JSON Schema."""
