"""Issuing an edition: the next entry of the ledger. Pure; the command line writes it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from placardry.book import Book
from placardry.book.policy import policy_of, same
from placardry.changes.state import state_of, to_plain
from placardry.deltas import State, difference
from placardry.editions import book_digest, latest_edition, manual_digest, says
from placardry.errors import PlacardryError
from placardry.figures import Figure
from placardry.finding import has_errors
from placardry.ledger import FOLDER, Ledger, read, states, written
from placardry.paper.cards import anchors, hazards, unmarked
from placardry.prepared import Prepared, judge
from placardry.reissue import no_code_twice, refuse_withdrawn
from placardry.resolve import Manual
from placardry.standing import changes
from placardry.stated import figures
from placardry.wording.phrases import Speaker, spoken

Written = tuple[str, bytes]


def release(
    prepared: Prepared,
    *,
    by: str,
    summary: str,
    on: date | None = None,
    author: str | None = None,
    summaries: Mapping[str, str] | None = None,
    again: bool = False,
) -> Written:
    """The entry that issues the book as it stands: its path and bytes.

    Args:
        prepared: the book
        by: who approves the edition
        summary: what is new, for owners, in the book's own language
        on: the day of it, by default the book's date
        author: who wrote what changed
        summaries: the summary in other languages, by language
        again: whether cards that only withdrawn editions had are issued again on purpose

    Raises:
        PlacardryError: the book has errors, nobody else approves, nothing has changed, or it
            says what was withdrawn.
    """
    book, ledger = prepared.book, _ledger(prepared)
    if book is None or has_errors(prepared.findings):
        judged = f"placardry check --on {on}" if on else "placardry check"
        raise PlacardryError(f"only a book without errors is issued; `{judged}` tells them")
    people = _approved(book, _named(by, "--by", "who approves it"), author)
    told = _told(book, "summary", summary, summaries, "what is new for owners")
    day = _day(prepared, ledger, on)
    latest, before = latest_edition(book.editions), states(ledger)
    stood = before[latest.number] if latest else {}
    new = {manual.id: _manual_state(manual, day) for manual in prepared.manuals}
    if latest and says(latest.digest, book, latest.dated) and _prints_alike(stood, new):
        raise PlacardryError(f"nothing has changed since edition {latest.number}")
    no_code_twice([*before.values(), new])
    refuse_withdrawn(book, before, new, again=again)
    said: dict[str, Any] = {
        "edition": len(before) + 1,
        "dated": day.isoformat(),
        **people,
        **told,
        "digest": book_digest(book, day),
        "changes": _changes(stood, new),
        "manuals": difference(before[max(before)] if before else {}, new),
    }
    return _unharmed(prepared, written(ledger, said), "--summary", day)


def withdraw(
    prepared: Prepared,
    number: int,
    *,
    because: str,
    on: date | None = None,
    by: str = "",
    becauses: Mapping[str, str] | None = None,
) -> Written:
    """The entry that withdraws an edition: its path and bytes.

    Whoever sees the danger withdraws; nobody has to approve it, so `by` may be left out, and the
    book need not be in order.

    Raises:
        PlacardryError: there is no such edition, or it is withdrawn already.
    """
    ledger = _ledger(prepared)
    found = {one.number: one for one in (prepared.book.editions if prepared.book else ())}
    if number not in found:
        known = ", ".join(map(str, found)) or "none"
        raise PlacardryError(f"there is no edition {number} to withdraw; issued are {known}")
    if found[number].withdrawn is not None:
        raise PlacardryError(f"edition {number} was withdrawn on {found[number].withdrawn}")
    told = _told(prepared.book, "because", because, becauses, "why it is withdrawn")
    day = _day(prepared, ledger, on)
    said = {
        "withdraws": number,
        "dated": day.isoformat(),
        "approver": _named(by, "--by", "who withdraws it") if by else "",
        **told,
    }
    return _unharmed(prepared, written(ledger, said), "--because", day)


def _ledger(prepared: Prepared) -> Ledger:
    ledger = read(prepared.files)
    if ledger.faults:
        fault = ledger.faults[0]
        raise PlacardryError(f"the ledger of editions is broken: {fault.message}; {fault.mend}")
    return ledger


def _approved(book: Book, by: str, author: str | None) -> dict[str, str]:
    """Who approves an edition, and who wrote it: two people, if the policy says so."""
    author = " ".join((author or "").split())
    if not policy_of(book.settings).author_approves:
        if not author:
            raise PlacardryError(
                "name who wrote it with --author: by the book's policy somebody else approves it "
                "(`author-approves` in procedures/book.yaml)"
            )
        if same(by, author):
            raise PlacardryError(f"{by} wrote it; by the book's policy somebody else approves it")
    return {"approver": by, **({"author": author} if author else {})}


def _unharmed(prepared: Prepared, entry: Written, option: str, on: date) -> Written:
    """The entry, unless it would itself be a finding that nobody could mend in it later."""
    path, data = entry
    found = judge({**prepared.files, path: data}, on).findings
    new = [one for one in found if one.span.path.startswith(FOLDER)]
    own = next((one for one in new if one not in prepared.findings), None)
    if own is not None:
        raise PlacardryError(
            f"`{option}` cannot be kept for ever: {own.message}; say it without figures, "
            "for those that changed are listed beside it"
        )
    return entry


def _told(
    book: Book | None, key: str, text: str, others: Mapping[str, str] | None, what: str
) -> dict[str, Any]:
    """What an entry says to owners, in the book's own language and in others."""
    own = (book.settings.language if book else "").partition("-")[0].lower()
    others = others or {}
    if own in others:
        raise PlacardryError(f"the book's own language is `{own}`; write that text after `--{key}`")
    said = {"summary": _named(text, f"--{key}", what)}
    more = {one: _named(others[one], f"--{key}-{one}", what) for one in sorted(others)}
    return {**said, "summaries": more} if more else said


def _named(text: str, option: str, what: str) -> str:
    text = " ".join(text.split())
    if not text.isprintable() or not any(char.isalpha() for char in text):
        raise PlacardryError(f'say {what} with `{option} "…"`')
    if "{" in text:
        raise PlacardryError(
            f"`{option}` holds a brace; history refers to nothing, so write plain words"
        )
    return text


def _day(prepared: Prepared, ledger: Ledger, on: date | None) -> date:
    """The day of the next entry: days never go back, and none is taken twice unasked."""
    last = ledger.entries[-1].dated if ledger.entries else None
    day = on or (prepared.book.settings.dated if prepared.book else None)
    if day is None or (last is not None and (day < last or (on is None and day == last))):
        said = f"the last entry of the ledger is of {last}; name a day from then on with `--on`"
        raise PlacardryError(said if on is None else f"{on} is too early: {said}")
    return day


def _prints_alike(old: State, new: State) -> bool:
    """Whether figures and cards are as they were; a newer release of ours may print them anew."""
    kept = [
        {name: (one["figures"], one["cards"]) for name, one in state.items()}
        for state in (old, new)
    ]
    return kept[0] == kept[1]


def _manual_state(manual: Manual, on: date) -> dict[str, Any]:
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
                "digest": manual_digest(manual, on),
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
        {key: value for key, value in asdict(one).items() if value}
        for manual, now in new.items()
        if (was := old.get(manual)) is not None
        for one in changes(manual, was, now, frozenset({*was["figures"], *now["figures"]}))
    ]
