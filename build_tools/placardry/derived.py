"""Derived figures: interval arithmetic over other figures, exact, in the units of the book.

A formula holds names, numbers, `+ - * /` and brackets, and nothing else. Every operand is the
span of values that it may have, so the result is a span, and its safe end can be published.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from fractions import Fraction

from placardry.errors import Malformed
from placardry.finding import light
from placardry.references import ID

_TOKEN = re.compile(
    rf"\s*(?:(?P<name>{ID}(?:\.{ID})?)|(?P<number>\d+(?:\.\d+)?)|(?P<sign>[-+*/()]))"
)
MOST_BRACKETS = 20  # each is read inside the one before it, and Python's own stack is not endless

Dimension = tuple[tuple[str, int], ...]


@light
class Reach:
    """The values from `low` to `high`, in base units.

    Shape: `dimension` lists base dimensions with their exponents, sorted, as `units.base` does.
    """

    low: Fraction
    high: Fraction
    dimension: Dimension = ()

    def __add__(self, other: Reach) -> Reach:
        self._match(other)
        return Reach(self.low + other.low, self.high + other.high, self.dimension)

    def __sub__(self, other: Reach) -> Reach:
        self._match(other)
        return Reach(self.low - other.high, self.high - other.low, self.dimension)

    def __mul__(self, other: Reach) -> Reach:
        ends = [a * b for a in (self.low, self.high) for b in (other.low, other.high)]
        return Reach(min(ends), max(ends), _product(self.dimension, other.dimension))

    def __truediv__(self, other: Reach) -> Reach:
        if other.low <= 0 <= other.high:
            raise Malformed(
                "the formula divides by a figure that may be zero",
                "divide by a figure that cannot be zero",
                "malformed-formula",
            )
        inverse = tuple((name, -power) for name, power in other.dimension)
        return self * Reach(1 / other.high, 1 / other.low, inverse)

    def _match(self, other: Reach) -> None:
        if self.dimension != other.dimension:
            raise Malformed(
                "the formula adds figures of different kinds",
                "add and subtract only figures of one kind, such as volumes",
                "malformed-formula",
            )


def _product(one: Dimension, other: Dimension) -> Dimension:
    powers: Counter[str] = Counter()
    for name, power in (*one, *other):
        powers[name] += power
    return tuple(sorted((name, power) for name, power in powers.items() if power))


def names(formula: str) -> Iterator[str]:
    """The names of the figures in a formula.

    Raises:
        Malformed: the formula holds something else than names, numbers, signs and brackets.
    """
    return (text for kind, text in _tokens(formula) if kind == "name")


def _tokens(formula: str) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    at = 0
    while at < len(formula.rstrip()):
        match = _TOKEN.match(formula, at)
        if match is None:
            raise Malformed(
                f"`{formula[at:].strip()[:20]}` cannot stand in a formula",
                "write names of figures, numbers, + - * / and brackets, with spaces around a minus",
                "malformed-formula",
            )
        found.append((match.lastgroup or "", match[match.lastgroup or 0]))
        at = match.end()
    if sum(text == "(" for _, text in found) > MOST_BRACKETS:
        raise Malformed(
            f"the formula holds more than {MOST_BRACKETS} brackets",
            "split it into several derived figures",
            "malformed-formula",
        )
    return found


def compute(formula: str, value_of: Callable[[str], Reach]) -> Reach:
    """The span of values of a formula.

    Raises:
        Malformed: the formula cannot be read, or divides by zero.
    """
    tokens = [*_tokens(formula), ("end", "")]
    at = 0

    def take() -> tuple[str, str]:
        nonlocal at
        at += 1
        return tokens[at - 1]

    def total() -> Reach:
        result = product()
        while tokens[at][1] in ("+", "-"):
            result = result + product() if take()[1] == "+" else result - product()
        return result

    def product() -> Reach:
        result = single()
        while tokens[at][1] in ("*", "/"):
            result = result * single() if take()[1] == "*" else result / single()
        return result

    def single() -> Reach:
        kind, text = take()
        if kind == "name":
            return value_of(text)
        if kind == "number":
            return Reach(Fraction(text), Fraction(text))
        if text == "(":
            inner = total()
            if take()[1] == ")":
                return inner
        raise Malformed(
            f"the formula `{formula}` is not complete",
            "close every bracket and put a figure on both sides of every sign",
            "malformed-formula",
        )

    result = total()
    if tokens[at][0] != "end":
        raise Malformed(
            f"the formula `{formula}` has something left over at `{tokens[at][1]}`",
            "put a sign between two figures",
            "malformed-formula",
        )
    return result
