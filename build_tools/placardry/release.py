"""Issuing an edition: the next entry of the ledger. Pure; the command line writes it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from datetime import date
from typing import Any

from placardry.book.policy import policy_of, same
from placardry.changes.state import state_of, to_plain
from placardry.deltas import State, difference
from placardry.editions import book_digest, latest_edition, manual_digest
from placardry.errors import PlacardryError
from placardry.figures import Figure
from placardry.finding import has_errors
from placardry.ledger import Ledger, read, states, written
from placardry.paper.cards import anchors, codes, hazards, unmarked
from placardry.prepared import Prepared, judge
from placardry.resolve import Manual
from placardry.standing import Issued, Standing, Verdict, changes
from placardry.stated import figures
from placardry.wording.phrases import Speaker, spoken

Written = tuple[str, bytes]


def release(
    prepared: Prepared, *, by: str, summary: str, on: date, author: str | None = None
) -> Written:
    """The entry that issues the book as it stands: its path and bytes.

    Args:
        prepared: the book
        by: who approves the edition
        summary: what is new, for owners
        on: the day of it
        author: who wrote what changed

    Raises:
        PlacardryError: the book has errors, nobody else approves, or nothing has changed.
    """
    book, ledger = prepared.book, _ledger(prepared)
    if book is None or has_errors(prepared.findings):
        raise PlacardryError("only a book without errors is issued; `placardry check` tells them")
    by, summary = _named(by, "--by"), _named(summary, "--summary")
    if not policy_of(book.settings).author_approves:
        if author is None:
            raise PlacardryError(
                "name who wrote what changed with --author: by the book's policy "
                "(`author-approves` in procedures/book.yaml) somebody else approves it"
            )
        if same(by, author):
            raise PlacardryError(f"{by} wrote it; by the book's policy somebody else approves it")
    _not_before_the_last(ledger, on)
    latest = latest_edition(book.editions)
    if latest is not None and latest.digest == book_digest(book):
        raise PlacardryError(f"nothing has changed since edition {latest.number}")
    before = states(ledger)
    old = before[max(before)] if before else {}
    new = {manual.id: _manual_state(manual) for manual in prepared.manuals}
    _no_code_twice([*before.values(), new])
    said: dict[str, Any] = {
        "edition": len(before) + 1,
        "dated": on.isoformat(),
        "approver": by,
        **({"author": " ".join(author.split())} if author else {}),
        "summary": summary,
        "digest": book_digest(book),
        "changes": _changes(old, new),
        "manuals": difference(old, new),
    }
    path, data = written(ledger, said)
    _unharmed(prepared, path, data, on)
    return path, data


def withdraw(prepared: Prepared, number: int, *, because: str, on: date, by: str = "") -> Written:
    """The entry that withdraws an edition: its path and bytes.

    Whoever sees the danger withdraws; nobody has to approve it, so `by` may be left out.

    Raises:
        PlacardryError: there is no such edition, or it is withdrawn already.
    """
    ledger = _ledger(prepared)
    editions = prepared.book.editions if prepared.book else ()
    found = {one.number: one for one in editions}
    if number not in found:
        known = ", ".join(map(str, found)) or "none"
        raise PlacardryError(f"there is no edition {number} to withdraw; issued are {known}")
    if found[number].withdrawn is not None:
        raise PlacardryError(f"edition {number} was withdrawn on {found[number].withdrawn}")
    _not_before_the_last(ledger, on)
    said = {
        "withdraws": number,
        "dated": on.isoformat(),
        "approver": _named(by, "--by") if by else "",
        "summary": _named(because, "--because"),
    }
    return written(ledger, said)


def drafts(prepared: Prepared, issued: Issued) -> Iterator[Verdict]:
    """The cards of the book as they stand that were never issued so."""
    for manual in prepared.manuals:
        for card, code in codes(Speaker(manual)).items():
            if code not in issued.codes:
                yield Verdict(code, Standing.DRAFT, manual.id, manual.machine.id, card, urgent=True)


def _ledger(prepared: Prepared) -> Ledger:
    ledger = read(prepared.files)
    if ledger.faults:
        fault = ledger.faults[0]
        raise PlacardryError(f"the ledger of editions is broken: {fault.message}; {fault.mend}")
    return ledger


def _unharmed(prepared: Prepared, path: str, data: bytes, on: date) -> None:
    """Refuse an entry that would itself be a finding, such as a figure typed in its summary."""
    found = judge({**prepared.files, path: data}, on).findings
    own = [one for one in found if one.span.path == path]
    if own:
        raise PlacardryError(f"the summary cannot be issued: {own[0].message}; {own[0].mend}")


def _named(text: str, option: str) -> str:
    text = " ".join(text.split())
    if not text.isprintable() or not any(char.isalpha() for char in text):
        raise PlacardryError(f"`{option}` says nothing; write words after it")
    if "{" in text:
        raise PlacardryError(
            f"`{option}` holds a brace; history refers to nothing, so write plain words"
        )
    return text


def _not_before_the_last(ledger: Ledger, on: date) -> None:
    last = ledger.entries[-1] if ledger.entries else None
    if last is not None and on < last.dated:
        raise PlacardryError(f"{on} is before the last entry of the ledger, of {last.dated}")


def _manual_state(manual: Manual) -> dict[str, Any]:
    """A manual as the ledger keeps it."""
    speaker = Speaker(manual)
    kept = {one.anchor: _figure(speaker, one) for one in figures(manual).values()}
    cards = {
        name: {
            "code": face["code"],
            "figures": sorted(anchors(face)),
            "hazards": sorted({_short(one) for one in hazards(face)}),
        }
        for name, face in unmarked(speaker).items()
    }
    # As it is read back, so that the next edition compares like with like.
    state: dict[str, Any] = json.loads(
        json.dumps(
            {
                "digest": manual_digest(manual),
                "machine": manual.machine.id,
                "figures": kept,
                "cards": cards,
            }
        )
    )
    return state


def _figure(speaker: Speaker, figure: Figure) -> dict[str, Any]:
    """A figure as the ledger keeps it; whose it is, is said above it."""
    plain = to_plain(state_of(figure, speaker.manual))
    kept = {key: value for key, value in plain.items() if key not in ("manual", "machine")}
    held = spoken(speaker.held(figure)).strip()
    return {**kept, "held": held} if held else kept


def _short(hazard: Any) -> str:
    text = json.dumps(hazard, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def _changes(old: State, new: State) -> list[dict[str, Any]]:
    """What changed in the figures, for people who read the ledger."""
    return [
        {key: value for key, value in vars(one).items() if value}
        for manual in new
        if manual in old
        for one in changes(
            manual,
            old[manual],
            new[manual],
            frozenset(old[manual]["figures"]) | frozenset(new[manual]["figures"]),
        )
    ]


def _no_code_twice(all_states: list[State]) -> None:
    """Refuse two cards of one code, which nobody could tell apart."""
    owner: dict[str, tuple[str, str]] = {}
    for state in all_states:
        for manual, there in state.items():
            for card, said in there["cards"].items():
                if owner.setdefault(said["code"], (manual, card)) != (manual, card):
                    names = " and ".join(
                        "/".join(one) for one in (owner[said["code"]], (manual, card))
                    )
                    raise PlacardryError(f"the cards {names} have one code; change a title")
