"""One finding for one place, however many machines share the mistake."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from placardry.resolve import Manual
from placardry.rules.registry import Problem


def on_machines(found: Iterable[tuple[Manual, Problem]]) -> Iterator[Problem]:
    """Each problem once, its message ending with the machines on which it was found."""
    groups: dict[Problem, set[str]] = {}
    for manual, problem in found:
        groups.setdefault(problem, set()).add(manual.machine.name)
    for problem, names in groups.items():
        yield replace(problem, message=f"{problem.message} on {' and '.join(sorted(names))}")
