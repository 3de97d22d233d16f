"""What nothing can judge, for want of `editions.json` or of a row: told of once, where it lacks."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from placardry.audit.past import NAME, UNJUDGED
from placardry.audit.register import Register
from placardry.audit.told import FORMER, MALFORMED, PAST, UNIDENTIFIED, UNKNOWN, Told, tell
from placardry.finding import Span


def with_rows(told: Iterable[Told], of_registers: Iterable[Told]) -> list[Told]:
    """What was found in files, without what only says that a register there has lost a row."""
    lost = {
        (one.finding.span.path.rpartition("/")[0], one.figure)
        for one in of_registers
        if one.finding.span.path.endswith("register.json") and one.figure
    }
    folders = {folder for folder, _ in lost}

    def is_of_lost(one: Told) -> bool:
        path, rule = one.finding.span.path, one.finding.rule
        if rule is UNIDENTIFIED:  # what the page of the register quotes from the book
            folder, _, name = path.rpartition("/")
            return name == "register.html" and folder in folders
        top = path.partition("/")[0]
        return rule is UNKNOWN and bool({(top, one.figure), ("", one.figure)} & lost)

    return [one for one in told if not is_of_lost(one)]


def told_once(
    told: Iterable[Told], registers: Mapping[str, Register], known: Collection[str]
) -> list[Told]:
    """What was found in files, but what is judged by editions once where nothing tells of them.

    Args:
        told: what was found
        registers: by the folder that they lie in
        known: paths of which it is told already that they are missing or cannot be read
    """
    without = {folder for folder, one in registers.items() if not one.history.path}
    kept: list[Told] = []
    folders = set()
    for one in told:
        top = one.finding.span.path.partition("/")[0]
        folder = top if top in registers else ""
        if folder in without and one.finding.rule in (FORMER, PAST):
            folders.add(folder)
        else:
            kept.append(one)
    paths = {f"{folder}/{NAME}" if folder else NAME for folder in sorted(folders)}
    if without == registers.keys() and paths:
        paths = {NAME}
        if any(path.endswith(NAME) for path in known):
            return kept
    return [
        *kept,
        *(
            tell(MALFORMED, Span(path), UNJUDGED, "build the manual again")
            for path in sorted(paths.difference(known))
        ),
    ]
