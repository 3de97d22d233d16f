"""The figures of one page, drawing or PDF, each traced to its row in the register."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from placardry.audit import KINDS, Audited, bounds, former, gauges, missing, unseen
from placardry.audit.claims import Block, Claim, claims, plain
from placardry.audit.judge import judge
from placardry.audit.register import Register
from placardry.audit.told import (
    BOUND,
    MALFORMED,
    NEGATED,
    UNCONDITIONED,
    UNIDENTIFIED,
    WRONG,
    Told,
    on_line,
    tell,
)
from placardry.errors import PlacardryError
from placardry.finding import Span


def all_traced(files: Iterable[tuple[str, bytes]], registers: Mapping[str, Register]) -> Audited:
    """Several files, one after the other."""
    return sum((traced(path, data, registers) for path, data in files), Audited())


def traced(path: str, data: bytes, registers: Mapping[str, Register]) -> Audited:
    """Every figure of one file judged."""
    from placardry.audit import page_data, pages, pdf

    end = path.rpartition(".")[2]
    folder = next((one for one in registers if one and path.startswith(f"{one}/")), "")
    register = registers.get(folder)
    counted = {KINDS[end]: 1}
    if register is None:  # told once, where it is missing or cannot be read
        return Audited((), counted)
    try:
        language, blocks = (pdf if end == "pdf" else pages).read(path, data)
    except PlacardryError as fault:
        message = f"the file cannot be read: {fault}"
        return Audited((tell(MALFORMED, Span(path), message, "build again"),), counted)
    bounded: list[bounds.Bounded] = []
    told = list(_of_editions(path, data, blocks, register, folder))
    held, of_data = page_data.judged(path, data, register, folder) if end == "html" else (0, [])
    told += of_data
    seen: Counter[str] = Counter()
    for claim in claims(blocks, language or register.language or "en", folder):
        seen[" ".join(claim.text.split())] += 1
        if path.endswith("register.html") and not claim.anchor and _is_as_written(claim, register):
            continue
        judged = list(judge(claim, register, registers))
        for one in judged:
            line = claim.block.line or (1 if claim.block.page else _line(data, claim, seen))
            span = on_line(path, line)
            told.append(replace(one, finding=replace(one.finding, span=span)))
        if not judged and (said := bounds.bounded(claim, Span(path))):
            bounded.append(said)
    told += unseen.judged(path, data, blocks, tuple(told))
    entries = register.of(folder)
    conditions = {plain(one.condition) for one in entries.values()}
    if end == "html" and not told:  # drawn by wrong figures it would be wrong all over
        told += gauges.judged(path, data, entries, language or register.language)
    return Audited(
        tuple(_once(told, conditions)),
        counted,
        {KINDS[end]: seen.total() + held},
        tuple(bounded),
        {path: missing.held(blocks)},
    )


def _once(told: Iterable[Told], conditions: Collection[str]) -> Iterator[Told]:
    """What was found, but a condition that is wrong for both units of a figure once.

    Nor is it told that a condition is not there where its own time allowed is said wrongly, or
    that a figure has no identity which stands in the words of a wrong condition.
    """
    said = set()
    known = list(told)
    wrong = {one.figure for one in known if one.finding.rule in (WRONG, BOUND)}
    misplaced = [
        (one.finding.span, words)
        for one in known
        if one.finding.rule == UNCONDITIONED
        for words in conditions
        if words and words in plain(one.found)
    ]
    for one in known:
        if one.finding.rule == UNIDENTIFIED and any(
            span == one.finding.span and plain(one.found) in words for span, words in misplaced
        ):
            continue
        if one.finding.rule in (UNCONDITIONED, NEGATED):
            key = (one.finding.rule, one.figure, one.found)
            if key in said or f"{one.figure.partition('.')[0]}.within" in wrong:
                continue
            said.add(key)
        yield one


def _of_editions(
    path: str, data: bytes, blocks: Iterable[Block], register: Register, folder: str
) -> Iterator[Told]:
    """What a file says of editions and codes, and should not."""
    name, history = path.rpartition("/")[2], register.history
    if name == "editions.html":
        yield from former.page_of_editions(path, data, history)
    elif name == "check.html":
        yield from former.card_check(path, data, history, register.manual_in(folder))
    elif path.endswith(".pdf"):
        for block in blocks:
            yield from former.printed(Span(path), block.text, register, folder)


def _is_as_written(claim: Claim, register: Register) -> bool:
    """Whether a figure of the register's page stands in the cell that quotes the source file."""
    anchor = claim.group.split(maxsplit=1)[0] if claim.group else ""
    entry = register.of(claim.manual).get(anchor)
    return entry is not None and plain(claim.block.text).endswith(plain(f", {entry.written}"))


_NO_TEXT = re.compile(r"<(script|style)\b.*?</\1>|<!--.*?-->", re.S | re.I)


def _line(data: bytes, claim: Claim, seen: Counter[str]) -> int:
    """The line of a page on which a figure stands, counted by how often it stood before."""
    text = data.decode("utf-8", "replace")
    text = _NO_TEXT.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), text)
    text = "\n".join(html.unescape(line).replace("\r", " ") for line in text.split("\n"))
    words = claim.text.split()
    places = [found.start() for found in re.finditer(r"\s+".join(map(re.escape, words)), text)]
    if not places:
        return 1
    return text.count("\n", 0, places[min(seen[" ".join(words)], len(places)) - 1]) + 1
