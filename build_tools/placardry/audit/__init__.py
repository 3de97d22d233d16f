"""Reads published text back as a stranger would, and judges its figures by the book's data.

Knows the ground floor alone, nothing of how figures are printed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from placardry.finding import in_order

if TYPE_CHECKING:
    from placardry.audit.bounds import Bounded
    from placardry.audit.missing import Held
    from placardry.audit.register import Register
    from placardry.audit.told import Told

Registers = Mapping[str, "Register"]
"""The registers by the folder that they lie in: `""` at the top, `teasel-eu` of a manual."""


@dataclass(frozen=True, slots=True)
class Audited:
    """What an audit found, and how much it looked at.

    Attributes:
        told: the findings with figure, found and expected, in order of file and place
        files: how many files were read of each kind: `pages`, `PDFs`, `drawings`, `registers`, …
        quantities: how many figures were read in each kind of file
        bounded: figures with a word before them that says a side
        held: which figures each file holds
    """

    told: tuple[Told, ...] = ()
    files: Mapping[str, int] = field(default_factory=dict)
    quantities: Mapping[str, int] = field(default_factory=dict)
    bounded: tuple[Bounded, ...] = ()
    held: Mapping[str, Held] = field(default_factory=dict)

    def __add__(self, other: Audited) -> Audited:
        return Audited(
            self.told + other.told,
            Counter(self.files) + Counter(other.files),
            Counter(self.quantities) + Counter(other.quantities),
            self.bounded + other.bounded,
            {**self.held, **other.held},
        )

    @property
    def total(self) -> int:
        """How many figures were read in all."""
        return sum(self.quantities.values())


KINDS = {"html": "pages", "svg": "drawings", "pdf": "PDFs"}
"""What files are called that are read figure by figure, by the end of their names."""


def registers_of(files: Mapping[str, bytes]) -> Registers:
    """The registers among the files that can be read, by folder, as their copies agree."""
    from placardry.audit.registers import read

    return read(files).trusted


def audit_file(path: str, data: bytes, registers: Registers) -> Audited:
    """One page, drawing or PDF judged against registers that were read already."""
    from placardry.audit.traced import traced

    return traced(path, data, registers)


def audit(
    files: Mapping[str, bytes],
    pool: Executor | None = None,
    folders: Collection[str] | None = None,
) -> Audited:
    """A whole published folder, or the folder of one manual alone; `files` by path inside it.

    Args:
        files: every file, by its path in the folder
        pool: processes that share the work; without it one does it all
        folders: the manuals to judge, where the others were judged before; else all
    """
    from placardry.audit import (
        bounds,
        card_answers,
        due_marks,
        hosts,
        listing,
        missing,
        registers,
        search,
        unjudged,
    )

    found = registers.read(files)
    left_out = set() if folders is None else set(found.folders) - set(folders) - {""}
    mine = {path: data for path, data in files.items() if path.partition("/")[0] not in left_out}
    read = [(path, mine[path]) for path in sorted(mine) if path.rpartition(".")[2] in _TRACED]
    whole = sum(_each(read, found.trusted, pool), Audited())
    said = {(one.finding.span.path, one.figure) for one in found.told}
    traced = [one for one in whole.told if (one.finding.span.path, one.figure) not in said]
    unread = {one.finding.span.path for one in found.told if not one.figure}
    traced = unjudged.with_rows(traced, found.told)
    traced = unjudged.told_once(traced, found.trusted, unread)
    traced += bounds.crossed(whole.bounded)
    traced += hosts.judged(whole.held)
    counted = whole + Audited((), *registers.counted(mine, found))
    manuals = [
        missing.folder_of(one, found.trusted[one], files.keys(), whole.held)
        for one in found.folders
        if one in found.trusted and one not in left_out
    ]
    known = [*listing.listed(files), *found.told]
    traced += [one for each in manuals for one in missing.by_register(each, [*known, *traced])]
    told = [*known, *traced]
    # A page at fault is told of already; that the index differs from it is the same mistake.
    faulty = frozenset(one.finding.span.path for one in (*found.told, *traced))
    for folder in found.folders:
        start = f"{folder}/" if folder else ""
        own = {path[len(start) :]: data for path, data in mine.items() if path.startswith(start)}
        unsound = frozenset(path[len(start) :] for path in faulty if path.startswith(start))
        differing, in_index = search.judged(start, own, unsound)
        told += [*differing, *due_marks.judged(start, own)]
        counted += Audited((), *in_index)
    told += card_answers.judged(files)
    told += [one for each in manuals for one in missing.by_copies(each, told)]
    kept = {
        one.finding: one for one in told if one.finding.span.path.partition("/")[0] not in left_out
    }
    return Audited(
        tuple(kept[finding] for finding in in_order(kept)), counted.files, counted.quantities
    )


_TRACED = frozenset(KINDS)
_SHARES = 16  # so that no process waits long for the last one
_PDF = 8  # how much longer a byte of a PDF takes than one of a page


def _each(
    read: list[tuple[str, bytes]], registers: Registers, pool: Executor | None
) -> Iterable[Audited]:
    """Every file judged; in parallel, in shares of like size."""
    from placardry.audit.traced import all_traced

    if pool is None or len(read) < _SHARES:
        return [all_traced(read, registers)]
    by_size = sorted(read, key=lambda one: len(one[1]) * (_PDF if one[0].endswith("pdf") else 1))
    shares = [by_size[at::_SHARES] for at in range(_SHARES)]
    return pool.map(all_traced, shares, [registers] * _SHARES)
