"""Judges what a finished file says of a figure by the register that lies beside it."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction

from placardry.audit.claims import Claim
from placardry.audit.register import Entry, Register
from placardry.audit.told import FOREIGN, UNCONDITIONED, UNIDENTIFIED, UNKNOWN, WRONG, Told, tell
from placardry.finding import Rule, Span
from placardry.interval import Interval
from placardry.notation import read_loosely
from placardry.quantity import Quantity

_REBUILD = "build the manual again; change figures in the book alone"
_NUMERAL = re.compile(r"[-\u2212]?[0-9]+(?:[.,][0-9]+)*")


def judge(
    claim: Claim, register: Register, others: Mapping[str, Register] | None = None
) -> Iterator[Told]:
    """What is wrong with a claim; nothing where it is traced.

    `others` are the registers of the manuals beside this one, by folder: they tell whose figure
    a stray one is.
    """
    if not claim.anchor:
        if not claim.free and not _is_name(claim, register):
            yield _told(
                UNIDENTIFIED,
                claim,
                "leads to no row of the register",
                "refer to the figure by its id in the book, or quote it as a quotation",
            )
        return
    entries = register.of(claim.manual)
    entry = entries.get(claim.anchor)
    whose = _whose(claim, register)
    if whose is not None or (entry is None and (whose := _holder(claim.anchor, others))):
        says = f"is identified by `{claim.anchor}` in the register of `{whose}`"
        yield _told(FOREIGN, claim, says, _REBUILD)
    elif entry is None:
        says = f"is identified by `{claim.anchor}`, which the register does not have"
        yield _told(UNKNOWN, claim, says, _REBUILD)
    else:
        yield from _judged(claim, entry)


def _judged(claim: Claim, entry: Entry) -> Iterator[Told]:
    expected = " or ".join(entry.shown.values()).replace("\xa0", " ")
    if not _agrees(claim, entry):
        says = f"has another value than `{entry.anchor}`, which is {expected}"
        yield _told(WRONG, claim, says, _REBUILD, expected)
    if entry.condition and plain(entry.condition) not in plain(claim.group):
        says = f"stands without the condition of `{entry.anchor}`, “{plain(entry.condition)}”"
        yield _told(
            UNCONDITIONED, claim, says, "let the condition stand in the same sentence or row",
            entry.condition,
        )  # fmt: skip


def _told(rule: Rule, claim: Claim, says: str, mend: str, expected: str = "") -> Told:
    block = claim.block
    where = f" on page {block.page}" if block.page else ""
    shown = " ".join(claim.text.split())
    around = " ".join(claim.group.split())
    near = f" in “{around if len(around) <= 90 else around[:89] + '…'}”" if around != shown else ""
    span = Span(block.file)  # the reader of the file adds the line
    return tell(rule, span, f"`{shown}`{where}{near} {says}", mend, claim.anchor, shown, expected)


def plain(text: str) -> str:
    """A text with one plain space for each white space, in lower case."""
    return " ".join(text.split()).casefold()


def _is_name(claim: Claim, register: Register) -> bool:
    """Whether the figure stands inside of declared names that hold digits, and nowhere else."""
    around = outside = plain(claim.block.text)
    for name in sorted(map(plain, register.names), key=len, reverse=True):
        outside = outside.replace(name, " ")
    return plain(claim.text) in around and plain(claim.text) not in outside


def _whose(claim: Claim, register: Register) -> str | None:
    """The manual whose register a target names, where it is not the one beside the file."""
    address = claim.target.partition("#")[0]
    if "://" in address:
        named = posixpath.basename(posixpath.dirname(address))
        return None if named == claim.manual or named in register.entries else named
    folder = posixpath.dirname(claim.block.file)
    reached = posixpath.dirname(posixpath.normpath(posixpath.join(folder, address)))
    return None if reached == claim.manual else reached or "the whole book"


def _holder(anchor: str, others: Mapping[str, Register] | None) -> str | None:
    return next(
        (folder for folder, one in (others or {}).items() if folder and anchor in one.of(folder)),
        None,
    )


def _agrees(claim: Claim, entry: Entry) -> bool:
    figure = claim.figure
    ends: Mapping[str, Fraction] | None
    if figure is None:
        language = claim.language.partition("-")[0]
        numbers = [read_loosely(one, language)[0] for one in _NUMERAL.findall(claim.text)]
        if not numbers:
            return any(plain(claim.text) == plain(shown) for shown in entry.shown.values())
        ends = entry.published.get("")
        return ends is not None and set(numbers) == set(ends.values())
    if isinstance(figure, Quantity):
        ends = entry.published.get(figure.unit.symbol)
        if ends and entry.kind == "cut":  # prose names a band by the cut point that it begins at
            return figure.value in ends.values()
        return ends is not None and set(ends.values()) == {figure.value}
    if isinstance(figure, Interval):
        ends = entry.published.get(figure.unit.symbol)
        return ends == _said(low=figure.low, high=figure.high)
    ends = entry.published.get(figure.value.unit.symbol)
    return ends == _said(low=figure.low, high=figure.high, value=figure.value)


def _said(**ends: Quantity | None) -> dict[str, Fraction]:
    return {name: one.value for name, one in ends.items() if one is not None}
