"""The ledger of editions: one file an entry, each bound to the one before, none ever edited.

An entry issues an edition or withdraws one. It holds what has changed since the edition before;
what stood in an edition is replayed from the first on. Entries are JSON: people read them, only
`placardry release` writes them.

Shape of an entry: `entry`, `after` (digest of the entry before), `dated`, `approver`, `summary`
and, in other languages, `summaries`; one that issues has `edition`, `digest`, `changes` (from the
edition that stood until then), and `manuals` (from the edition before): by id null where it is
gone, or `{digest, machine, figures, cards}` as in `deltas`; one that withdraws has `withdraws`. A
figure is a state of `changes.state`, with `held`, its condition in words; a card is `{code,
figures, hazards}`. `seal` is the digest of all lines before it.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import lru_cache, partial
from typing import Any

from placardry.book.record import Text
from placardry.book.sources import Edition, FigureChange
from placardry.deltas import State, patched
from placardry.files import text_of
from placardry.finding import Span, light
from placardry.nodes import Mapping as Node

FOLDER = "procedures/editions/"
_NAME = re.compile(r"(\d{4,})\.json")
_SEAL = re.compile(r' "seal": "([0-9a-f]{64})"\n}\n\Z')


@light
class Entry:
    """One entry, as it was read.

    Attributes:
        number: its place in the ledger, by the name of its file
        digest: of its text, to which the next entry is bound
        said: what it says, as in the module's shape
    """

    number: int
    path: str
    digest: str
    said: Mapping[str, Any]

    @property
    def edition(self) -> int | None:
        """The number of the edition that it issues."""
        return self.said.get("edition")

    @property
    def dated(self) -> date:
        """The day of it."""
        return date.fromisoformat(self.said["dated"])


@light
class Fault:
    """What is wrong with an entry: the text of a finding."""

    path: str
    message: str
    mend: str


@light
class Ledger:
    """The entries in order, as far as they hold, and why no further ones do."""

    entries: tuple[Entry, ...] = ()
    faults: tuple[Fault, ...] = ()


_RESTORE = "restore the file from git: nothing in the ledger is ever edited"
_CONFLICT = "\n<<<<<<< "
_line = partial(json.dumps, ensure_ascii=False)


def read(files: Mapping[str, bytes]) -> Ledger:
    """The ledger of a book; it ends before the first entry that cannot be trusted."""
    return _ledger(tuple((path, files[path]) for path in sorted(files) if path.startswith(FOLDER)))


@lru_cache(maxsize=2)  # asked by the loader, the rules and the writers
def _ledger(files: tuple[tuple[str, bytes], ...]) -> Ledger:
    entries: list[Entry] = []
    for path, data in files:
        entry = _read(path, text_of(data))
        if isinstance(entry, Entry):
            fault = _unfit(entry, entries)
            if fault is None:
                entries.append(entry)
                continue
            entry = fault
        return Ledger(tuple(entries), (entry,))
    return _replayable(Ledger(tuple(entries)))


def _replayable(ledger: Ledger) -> Ledger:
    """The ledger, if all of it can be told; an entry that somebody sealed by hand may not."""
    try:
        states(ledger), editions(ledger)
    except (KeyError, TypeError, AttributeError, ValueError):
        path = ledger.entries[-1].path
        return Ledger((), (Fault(path, "the ledger cannot be replayed", _RESTORE),))
    return ledger


def _read(path: str, text: str) -> Entry | Fault:
    name = _NAME.fullmatch(path.removeprefix(FOLDER))
    if name is None:
        return Fault(path, f"`{path}` is not the name of an entry", "remove the file")
    if _CONFLICT in f"\n{text}":
        message = f"`{path}` holds the editions of two branches"
        mend = f"keep one with `git checkout --ours {path}`, then issue the other again"
        return Fault(path, message, mend)
    seal = _SEAL.search(text)
    if seal is None or _digest(text[: seal.start()]) != seal[1]:
        return Fault(path, f"`{path}` is not as `placardry release` wrote it", _RESTORE)
    try:
        said = json.loads(text)
        entry = Entry(int(name[1]), path, _digest(text), said)
        _ = entry.dated, said["approver"], said["after"], said["entry"], _spoken(said, "")
        if "withdraws" not in said:
            _ = said["edition"], said["digest"], said["manuals"], said["changes"]
    except (ValueError, KeyError, TypeError):
        return Fault(path, f"`{path}` lacks what every entry says", _RESTORE)
    return entry


def _unfit(entry: Entry, before: list[Entry]) -> Fault | None:
    """Why an entry does not follow those before it."""
    last = before[-1] if before else None
    path, said = entry.path, entry.said
    double = next((one for one in before if one.digest == entry.digest), None)
    if double is not None:
        return Fault(path, f"`{path}` is `{double.path}` once more", "remove the second file")
    if entry.number != len(before) + 1 or said["entry"] != entry.number:
        message = f"entry {len(before) + 1} of the ledger is missing before `{path}`"
        return Fault(path, message, "restore the missing file from git")
    if said["after"] != (last.digest if last else ""):
        message = f"`{path}` does not follow the entry before it as that stands"
        mend = "restore both from git; of two branches' editions, issue the later one again"
        return Fault(path, message, mend)
    if last and entry.dated < last.dated:
        message = f"`{path}` is of {entry.dated}, the entry before of {last.dated}"
        return Fault(path, message, "remove the entry and issue it with a later `--on DATE`")
    issued = [one.edition for one in before if one.edition is not None]
    if entry.edition is not None and entry.edition != len(issued) + 1:
        message = f"edition {entry.edition} follows edition {len(issued)}"
        return Fault(path, message, "remove the entry and issue it again")
    if "withdraws" in said and said["withdraws"] not in issued:
        message = f"`{path}` withdraws edition {said['withdraws']}, which was not issued"
        return Fault(path, message, "remove the entry")
    return None


def editions(ledger: Ledger, language: str = "") -> tuple[Edition, ...]:
    """The editions that the ledger issues, oldest first; `language` is the book's own."""
    gone = {one.said["withdraws"]: one for one in ledger.entries if one.edition is None}
    stood = states(ledger)
    found = []
    standing: set[int] = set()
    for one in ledger.entries:
        number, said = one.edition, one.said
        if number is None:
            standing.discard(said["withdraws"])
            continue
        after, end = max(standing, default=None), gone.get(number)
        standing.add(number)
        found.append(
            Edition(
                number=number,
                dated=one.dated,
                approver=said["approver"],
                summary=_spoken(said, language),
                digest=said["digest"],
                after=after,
                changes=tuple(
                    FigureChange(**{"before": None, "after": None, **each})
                    for each in said["changes"]
                ),
                cards=tuple(_new_faces(stood[number], stood[after] if after else {})),
                withdrawn=end.dated if end else None,
                because=_spoken(end.said, language) if end else {},
                places=Node((), Span(one.path)),
            )
        )
    return tuple(found)


def _spoken(said: Mapping[str, Any], language: str) -> dict[str, Text]:
    """The summary of an entry by language, the book's own first."""
    whole = {language: said["summary"], **said.get("summaries", {})}
    return {name: Text(text) for name, text in whole.items()}


def _new_faces(new: State, old: State) -> Iterator[tuple[str, str]]:
    """Manual and card of each face that is not as it was."""
    for manual, there in new.items():
        before = old.get(manual, {}).get("cards", {})
        for card, said in there["cards"].items():
            if said["code"] != before.get(card, {}).get("code"):
                yield manual, card


def states(ledger: Ledger) -> Mapping[int, State]:
    """What stood in each edition, replayed: by its number the manuals by id."""
    found: dict[int, State] = {}
    now: dict[str, Any] = {}
    for entry in ledger.entries:
        if entry.edition is not None:
            now = patched(now, entry.said["manuals"])
            found[entry.edition] = now
    return found


def written(ledger: Ledger, said: Mapping[str, Any]) -> tuple[str, bytes]:
    """Path and bytes of the next entry, bound to those before it."""
    number = len(ledger.entries) + 1
    after = ledger.entries[-1].digest if ledger.entries else ""
    lines = _lines({"entry": number, "after": after, **said}, 4)
    text = "{\n" + ",\n".join(lines) + ",\n"
    return f"{FOLDER}{number:04}.json", f'{text} "seal": "{_digest(text)}"\n}}\n'.encode()


def _lines(whole: Mapping[str, Any], depth: int, indent: int = 1) -> list[str]:
    """A mapping as JSON whose figures and cards stand on one line each."""
    lines = []
    for key, value in whole.items():
        head = f"{' ' * indent}{json.dumps(key)}: "
        if isinstance(value, dict) and value and depth > 1:
            below = ",\n".join(_lines(value, depth - 1, indent + 1))
            lines.append(f"{head}{{\n{below}\n{' ' * indent}}}")
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            rows = ",\n".join(f"{' ' * (indent + 1)}{_line(one)}" for one in value)
            lines.append(f"{head}[\n{rows}\n{' ' * indent}]")
        else:
            lines.append(head + _line(value))
    return lines


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
