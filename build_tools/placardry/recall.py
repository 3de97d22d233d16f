"""Recall: which aircraft carry cards that no longer hold, why, and how urgent it is.

The list of aircraft is private: only serial, machine and codes are read, nothing else is kept or
printed. Pure; the command line reads the list and writes the notices.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from placardry.aircraft_list import BAD_RECALL_ROW, COLUMNS, rows_of
from placardry.book import Book
from placardry.book.machines import Machine, ManualEntry
from placardry.card_list import entry
from placardry.codes import as_listed
from placardry.finding import Family, Finding, Rule, Severity, Span, did_you_mean
from placardry.standing import Issued, Standing, Verdict, as_plain

Fault = tuple[str, str]  # message and mend of a finding

UNKNOWN_CARD_CODE = Rule(
    "unknown-card-code",
    Severity.ERROR,
    Family.EDITIONS,
    """A code in the list of aircraft is mistyped, was never issued, or is another machine's.

    Source: common practice, no source.
    """,
)


@dataclass(frozen=True)
class Aircraft:
    """One aircraft that carries cards which must be replaced, the most urgent first."""

    serial: str
    machine: str
    cards: tuple[Verdict, ...]

    @property
    def urgent(self) -> bool:
        """Whether it must not fly before a card is replaced."""
        return any(card.urgent or card.machine != self.machine for card in self.cards)


@dataclass(frozen=True)
class Recall:
    """What a list of aircraft came to; `checked` counts the aircraft that could be judged."""

    aircraft: tuple[Aircraft, ...]
    findings: tuple[Finding, ...]
    checked: int

    @property
    def faults(self) -> int:
        """For how many faults of the list an aircraft may be missing."""
        return sum(one.rule is BAD_RECALL_ROW for one in self.findings)


def recall(book: Book, path: str, data: bytes) -> Recall:
    """Judge the cards of every aircraft in a list.

    Args:
        book: the book with its ledger
        path: the name of the list, for findings
        data: CSV with the columns serial, machine and cards; codes are parted by spaces, or stand
            in rows of their own
    """
    issued = Issued(book)
    machines = _machines(book, issued)
    findings: list[Finding] = []
    carried: dict[str, _Carried] = {}
    for line, row in rows_of(path, data, findings):
        fault = _fault(line, row, machines, carried)
        if fault is not None:
            findings.append(Finding(BAD_RECALL_ROW, Span(path, line), *fault))
            continue
        (machine,) = machines.called(row["machine"])
        own = carried.setdefault(row["serial"], _Carried(machine, line))
        for one in map(issued.verdict, as_listed(row["cards"])):
            own.cards[one.code] = one
            if one.machine != machine:
                findings.append(_unknown(Span(path, line), one, machine))
    found = []
    for serial, own in carried.items():
        wrong = [one for one in own.cards.values() if _is_wrong(one, own.machine)]
        if wrong:
            wrong.sort(key=lambda one: (not one.urgent, one.code))
            found.append(Aircraft(serial, own.machine, tuple(wrong)))
    found.sort(key=lambda one: (not one.urgent, one.serial))
    return Recall(tuple(found), tuple(findings), len(carried))


@dataclass(frozen=True)
class _Carried:
    """What the rows of one aircraft say, and where the first one stands."""

    machine: str
    line: int
    cards: dict[str, Verdict] = field(default_factory=dict)


@dataclass(frozen=True)
class _Machines:
    """The ids of machines, and which machines a list may mean by a name in small letters."""

    ids: frozenset[str]
    meant: Mapping[str, set[str]]

    def called(self, name: str) -> list[str]:
        """The machine of this id, else each that has it as its id, its name or a manual's id."""
        return [name] if name in self.ids else sorted(self.meant.get(name.casefold(), ()))


def _machines(book: Book, issued: Issued) -> _Machines:
    """What there is in the book, or was in an edition."""
    stood = [pair for state in issued.states.values() for pair in state.items()]
    pairs = [(manual, there["machine"]) for manual, there in stood]
    written = book.of(ManualEntry).items()
    pairs += [(manual, one.machine) for manual, entries in written for one in entries]
    records = book.of(Machine).items()
    ids = frozenset((*dict(records), *(machine for _, machine in pairs)))
    pairs += [(str(one.name), machine) for machine, named in records for one in named]
    pairs += [(machine, machine) for machine in ids]
    meant: dict[str, set[str]] = defaultdict(set)
    for name, machine in pairs:
        meant[" ".join(name.casefold().split())].add(machine)
    return _Machines(ids, meant)


def _fault(
    line: int, row: Mapping[str, str], machines: _Machines, carried: Mapping[str, _Carried]
) -> Fault | None:
    """Why a row cannot be judged."""
    missing = next((name for name in COLUMNS if not row[name]), None)
    if missing is not None:
        return f"line {line} has no {missing}", f"fill in its {missing}"
    if any("@" in row[name] for name in COLUMNS):  # not quoted: it is a person's
        message = f"line {line} has an address where its serial, machine or cards should be"
        return message, "put the columns in order"
    called = machines.called(row["machine"])
    if not called:
        known = sorted(machines.ids)
        hint = did_you_mean(row["machine"], known, f"write one of {', '.join(known)}")
        return f"line {line} names no machine of the book", hint
    if len(called) > 1:
        which = " or ".join(f"`{one}`" for one in called)
        return f"line {line} may name machine {which}", f"write {which} in it"
    machine = called[0]
    first = carried.get(row["serial"])
    if first is not None and first.machine != machine:
        message = f"lines {first.line} and {line} give serial `{row['serial']}` two machines"
        return message, f"write `{first.machine}` or `{machine}` in both"
    return None


def _is_wrong(one: Verdict, machine: str) -> bool:
    return one.standing is not Standing.CURRENT or one.machine != machine


def _unknown(span: Span, one: Verdict, machine: str) -> Finding:
    if one.machine is None:
        verb = "is" if one.standing is Standing.MISTYPED else "was"
        message = f"`{one.code}` {verb} {one.standing}"
        mend = "read the code on the card again, and correct it in the list"
    else:
        message = f"`{one.code}` is a card of `{one.machine}`, not of `{machine}`"
        mend = "correct the machine or the code in the list; if it is so, replace the card"
    return Finding(UNKNOWN_CARD_CODE, span, message, mend)


def as_json(found: Recall, findings: Iterable[Finding]) -> str:
    """The recall as JSON, with what was wrong with the list by line."""
    plain = {
        "checked": found.checked,
        "findings": [
            {
                "rule": one.rule.name,
                "severity": str(one.rule.severity),
                "message": one.message,
                "file": one.span.path,
                "line": one.span.line,
                "mend": one.mend,
            }
            for one in findings
        ],
        "aircraft": [
            {
                "serial": one.serial,
                "machine": one.machine,
                "urgent": one.urgent,
                "cards": [as_plain(card) for card in one.cards],
            }
            for one in found.aircraft
        ],
    }
    return json.dumps(plain, ensure_ascii=False, indent=1) + "\n"


def as_text(found: Recall, width: int = 80) -> str:
    """The recall for a terminal, the most urgent first."""
    blocks = []
    for number, one in enumerate(found.aircraft, start=1):
        when = "before the next flight" if one.urgent else "at leisure"
        head = f"{one.serial} ({one.machine}), {notice_name(number)}: {when}"
        cards = (line for card in one.cards for line in entry(card, width, one.machine))
        blocks.append("\n".join([head, *cards]))
    count = f"{len(found.aircraft)} of {found.checked} aircraft carry cards to replace"
    if found.faults:
        many = "s" * (found.faults != 1)
        count += f"\n{found.faults} fault{many} in the list: an aircraft may be missing"
    return "\n\n".join([*blocks, count]) + "\n"


def notice_name(number: int) -> str:
    """The name of the notice for an aircraft, by its place in the recall: its serial is private."""
    return f"notice-{number:04}"
