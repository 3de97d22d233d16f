"""Recall: which aircraft carry cards that no longer hold, why, and how urgent it is.

The list of aircraft is private: only serial, machine and codes are read, nothing else is kept or
printed. Pure; the command line reads the list and writes the notices.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from placardry.book import Book
from placardry.finding import Family, Finding, Rule, Severity, Span
from placardry.standing import Issued, Standing, Verdict, as_plain, sentence

COLUMNS = ("serial", "machine", "cards")
_MOST_BYTES = 16 * 2**20

BAD_RECALL_ROW = Rule(
    "bad-recall-row",
    Severity.ERROR,
    Family.EDITIONS,
    """A row of the list of aircraft cannot be used, so that aircraft would be missed.

    Source: common practice, no source.
    """,
)
UNKNOWN_CARD_CODE = Rule(
    "unknown-card-code",
    Severity.ERROR,
    Family.EDITIONS,
    """A code in the list of aircraft is mistyped, was never issued, or is another machine's.

    Source: common practice, no source.
    """,
)
PRIVATE_COLUMN = Rule(
    "private-column",
    Severity.WARNING,
    Family.EDITIONS,
    """The list of aircraft has columns that are not needed, such as names or addresses.

    They are not read and stand in no output. A list without them cannot leak them.

    Source: Regulation (EU) 2016/679, article 5(1)(c), data minimisation.
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

    def says(self, card: Verdict) -> str:
        """Why one of its cards must be replaced."""
        if card.machine not in (None, self.machine):
            return f"{card.code}: a card of {card.machine}; replace it before the next flight"
        return sentence(card)


@dataclass(frozen=True)
class Recall:
    """What a list of aircraft came to; `checked` counts its usable rows."""

    aircraft: tuple[Aircraft, ...]
    findings: tuple[Finding, ...]
    checked: int


def recall(book: Book, path: str, data: bytes) -> Recall:
    """Judge the cards of every aircraft in a list.

    Args:
        book: the book with its ledger
        path: the name of the list, for findings
        data: CSV with the columns serial, machine and cards; codes are parted by spaces
    """
    issued = Issued(book)
    findings: list[Finding] = []
    found = []
    checked = 0
    serials: dict[str, int] = {}
    for line, row in _rows(path, data, findings):
        serial, machine, codes = (" ".join(row[name].split()) for name in COLUMNS)
        span = Span(path, line)
        if not serial or not machine or not codes:
            missing = next(name for name in COLUMNS if not row[name].strip())
            message = f"line {line} has no {missing}"
            findings.append(Finding(BAD_RECALL_ROW, span, message, f"fill in its {missing}"))
            continue
        if "@" in serial + machine:  # not quoted: it is a person's
            message = f"line {line} has an address where its serial or machine should be"
            findings.append(Finding(BAD_RECALL_ROW, span, message, "put the columns in order"))
            continue
        if serial in serials:
            message = f"serial `{serial}` stands in line {serials[serial]} too"
            findings.append(Finding(BAD_RECALL_ROW, span, message, "keep one of the two rows"))
        serials.setdefault(serial, line)
        checked += 1
        verdicts = [issued.verdict(one) for one in codes.replace(";", " ").split()]
        for one in verdicts:
            if one.machine != machine:
                findings.append(_unknown(span, one, machine))
        wrong = [one for one in verdicts if _is_wrong(one, machine)]
        if wrong:
            cards = sorted(wrong, key=lambda one: (not one.urgent, one.code))
            found.append(Aircraft(serial, machine, tuple(cards)))
    found.sort(key=lambda one: (not one.urgent, one.serial))
    return Recall(tuple(found), tuple(findings), checked)


def _is_wrong(one: Verdict, machine: str) -> bool:
    return one.standing is not Standing.CURRENT or one.machine != machine


def _unknown(span: Span, one: Verdict, machine: str) -> Finding:
    if one.machine is None:
        message = f"`{one.code}` is {one.standing}"
        mend = "read the code on the card again, and correct it in the list"
    else:
        message = f"`{one.code}` is a card of `{one.machine}`, not of `{machine}`"
        mend = "correct the machine or the code in the list; if it is so, replace the card"
    return Finding(UNKNOWN_CARD_CODE, span, message, mend)


def _rows(path: str, data: bytes, findings: list[Finding]) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows with the line each ends in, and only the columns that are needed."""
    if len(data) > _MOST_BYTES:
        message = f"the list has {len(data)} bytes"
        findings.append(Finding(BAD_RECALL_ROW, Span(path), message, "split the list"))
        return
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        message, mend = "the list is not UTF-8", "save the list as CSV in UTF-8"
        findings.append(Finding(BAD_RECALL_ROW, Span(path), message, mend))
        return
    first = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text), delimiter=";" if first.count(";") > 1 else ",")
    head = [one.strip().casefold() for one in next(reader, [])]
    missing = [one for one in COLUMNS if head.count(one) != 1]
    if missing:
        message = f"the list has no column `{missing[0]}`, or two"
        mend = f"write `{','.join(COLUMNS)}` in its first line"
        findings.append(Finding(BAD_RECALL_ROW, Span(path), message, mend))
        return
    if len(head) > len(COLUMNS):
        # The names of such columns are not repeated: what stands there may be a person's.
        message = f"the list has more columns than {', '.join(COLUMNS)}; the others are not read"
        mend = "remove the other columns from the list"
        findings.append(Finding(PRIVATE_COLUMN, Span(path), message, mend))
    at = {name: head.index(name) for name in COLUMNS}
    for row in reader:
        if not any(one.strip() for one in row):
            continue
        if not max(at.values()) < len(row) <= len(head):
            message = f"line {reader.line_num} has {len(row)} fields, the first line {len(head)}"
            mend = "give it as many; codes in one field are parted by spaces"
            findings.append(Finding(BAD_RECALL_ROW, Span(path, reader.line_num), message, mend))
            continue
        yield reader.line_num, {name: row[place] for name, place in at.items()}


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


def as_text(found: Recall) -> str:
    """The recall for a terminal, the most urgent first."""
    lines = []
    for one in found.aircraft:
        lines.append(f"{one.serial} ({one.machine}): {_when(one)}")
        lines += [f"  {one.says(card)}" for card in one.cards]
    lines.append(f"{len(found.aircraft)} of {found.checked} aircraft carry cards to replace")
    return "\n".join(lines) + "\n"


def _when(one: Aircraft) -> str:
    return "before the next flight" if one.urgent else "at leisure"
