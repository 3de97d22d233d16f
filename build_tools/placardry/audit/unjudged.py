"""Where no `editions.json` can be read: told of once, and not of all that it would judge."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from placardry.audit.past import NAME, UNJUDGED
from placardry.audit.register import Register
from placardry.audit.told import FORMER, MALFORMED, PAST, Told, tell
from placardry.finding import Span


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
