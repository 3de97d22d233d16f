"""Judges what a finished file says of a figure by the register that lies beside it."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction

from placardry.audit import bounds, former
from placardry.audit.claims import Claim, plain
from placardry.audit.register import Ends, Entry, Register
from placardry.audit.rounded import beginnings
from placardry.audit.told import (
    FOREIGN,
    NEGATED,
    UNCONDITIONED,
    UNIDENTIFIED,
    UNKNOWN,
    WRONG,
    Told,
    told_of,
)
from placardry.bound_words import negation_before
from placardry.quantity import Quantity
from placardry.recognise import ends_in

_REBUILD = "build the manual again; change figures in the book alone"
_WORD = re.compile(r"\w")


def judge(
    claim: Claim, register: Register, others: Mapping[str, Register] | None = None
) -> Iterator[Told]:
    """What is wrong with a claim; nothing where it is traced.

    `others` are the registers of the manuals beside this one, by folder: they tell whose figure
    a stray one is.
    """
    if claim.free == "former":
        yield from former.judged(claim, register)
        return
    if not claim.anchor:
        if not claim.free and not _is_name(claim, register):
            yield told_of(
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
        yield told_of(FOREIGN, claim, says, _REBUILD)
    elif entry is None:
        says = f"is identified by `{claim.anchor}`, which the register does not have"
        yield told_of(UNKNOWN, claim, says, _REBUILD)
    else:
        yield from _judged(claim, entry, entries)


def _judged(claim: Claim, entry: Entry, entries: Mapping[str, Entry]) -> Iterator[Told]:
    if not _agrees(claim, entry, entries):
        expected = " or ".join(entry.shown.values()).replace("\xa0", " ")
        says = f"has another value than `{entry.anchor}`, which is {expected}"
        yield told_of(WRONG, claim, says, _REBUILD, expected)
        return  # of another figure the condition would be another one too
    yield from bounds.judged(claim, entry, entries)
    if not entry.condition:
        return
    group = " ".join(claim.group.split())
    behind = _behind(claim)
    others = {one.condition for one in entries.values()} - {""}
    # One may begin as another does: `at full throttle`, `at full throttle for at most 3 min`.
    if other := max((one for one in others if _stands(one, behind, entry)), key=len, default=""):
        says = f"stands with “{other}”; it holds {entry.condition}"
        yield told_of(UNCONDITIONED, claim, says, _REBUILD, entry.condition, found=other)
    elif plain(entry.condition) not in plain(group):
        says = f"stands without the condition of `{entry.anchor}`, “{plain(entry.condition)}”"
        mend = "let the condition stand in the same sentence or row"
        yield told_of(UNCONDITIONED, claim, says, mend, entry.condition, found=group)
    elif word := _negation(claim, entry.condition, group):
        says = f"stands with “{word} {entry.condition}”; it holds {entry.condition}"
        mend = "state a condition of its own in the book for what holds otherwise"
        found = f"{word} {entry.condition}"
        yield told_of(NEGATED, claim, says, mend, entry.condition, found=found)


def _behind(claim: Claim) -> str:
    """The words behind a figure; where it stands in two units, those behind the second."""
    text = claim.block.text
    start = first = len(claim.before) + len(claim.text)
    at = 0
    for piece in claim.block.pieces:
        if at >= first and piece.target == claim.target and not _WORD.search(text[start:at]):
            start = at + len(piece.text)
        at += len(piece.text)
    return plain(text[start:])


def _stands(other: str, behind: str, entry: Entry) -> bool:
    """Whether the condition of another figure follows directly, and not that of this one."""
    own, words = plain(entry.condition), plain(other)
    return behind.startswith(words) and not behind.startswith(own) and not own.startswith(words)


def _negation(claim: Claim, condition: str, group: str) -> str:
    """The word that negates a condition where it stands next to the figure; empty if none does."""
    # Not `plain`, which makes `ss` of `ß` and so moves what stands behind it.
    said, words, printed = (" ".join(one.split()).lower() for one in (group, condition, claim.text))
    figure = max(said.find(printed), 0)
    at = said.find(words, figure)
    at = said.rfind(words) if at < 0 else at
    if at < 0:  # it is there in other letters: `STRASSE` for `Straße`
        return ""
    return negation_before(group[:at], claim.language.partition("-")[0])


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


def _agrees(claim: Claim, entry: Entry, entries: Mapping[str, Entry]) -> bool:
    figure = claim.figure
    if figure is None:
        _, numbers = former.numbers_of(claim)
        if not numbers:
            words = plain(claim.text)  # `every month` is every 1 month
            return any(plain(shown) in (words, f"1 {words}") for shown in entry.shown.values())
        published = entry.published.get("")
        return published is not None and numbers == set(published.values())
    given = ends_in(figure)
    published = entry.published.get(next(iter(given.values())).unit.symbol)
    if not isinstance(figure, Quantity):
        return published == {name: one.value for name, one in given.items()}
    if published and entry.kind == "cut":  # prose names a band by the cut point it begins at
        drawn = _outermost(entry, published, entries) if claim.block.is_drawn else set()
        return figure.value in drawn | beginnings(entry, published, entries)
    return published is not None and set(published.values()) == {figure.value}


def _outermost(entry: Entry, published: Ends, entries: Mapping[str, Entry]) -> set[Fraction]:
    """The ends of a band that it shares with no other; a gauge strip names them by this band."""
    others = [one for one in entries.values() if one.id == entry.id and one is not entry]
    shared = {end for one in others for end in one.exact.values()}
    return {value for name, value in published.items() if entry.exact.get(name) not in shared}
