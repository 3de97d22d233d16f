"""What a card's code means today: current, superseded and why, withdrawn, never issued, mistyped.

All of it comes from the ledger, so it can be said of cards whose text nobody has any more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from enum import StrEnum
from typing import Any

from placardry.book import Book
from placardry.book.sources import Edition, FigureChange
from placardry.changes.direction import Direction, direction
from placardry.changes.state import FigureState, from_plain
from placardry.codes import as_typed, is_sound
from placardry.deltas import State
from placardry.editions import code_in, face_edition, latest_edition
from placardry.ledger import read, states


class Standing(StrEnum):
    """What a code is, the most urgent first."""

    MISTYPED = "mistyped"
    NEVER_ISSUED = "never issued"
    WITHDRAWN = "withdrawn"
    DROPPED = "dropped"
    SUPERSEDED = "superseded"
    DRAFT = "draft"
    CURRENT = "current"


@dataclass(frozen=True)
class Verdict:
    """What is known of one code; of one that is not known, the unsafe side is taken.

    Attributes:
        edition: the last edition in which the code stood
        dated: the day of that edition
        since: the edition that superseded it or no longer has the card; of a current card, its own
        since_dated: the day of that, or on which the edition was withdrawn
        because: why the edition was withdrawn, by language
        now: the code of the card that holds in its place
        now_edition: the latest standing edition; of a superseded card
        now_dated: the day of that edition
        changes: the figures of the card that in `now_edition` are not as in `edition`, the most
            dangerous first
        new_hazards: whether safety messages have been added
        urgent: whether the card must be replaced before the next flight
    """

    code: str
    standing: Standing
    manual: str | None = None
    machine: str | None = None
    card: str | None = None
    edition: int | None = None
    dated: str | None = None
    since: int | None = None
    since_dated: str | None = None
    because: Mapping[str, str] = field(default_factory=dict)
    now: str | None = None
    now_edition: int | None = None
    now_dated: str | None = None
    changes: tuple[FigureChange, ...] = ()
    new_hazards: bool = False
    urgent: bool = False

    @property
    def place(self) -> tuple[str, str, str]:
        """Where it stands in a list: by manual and card."""
        return self.manual or "", self.card or "", self.code


_ORDER = (Direction.TIGHTENED, Direction.UNDECIDED, Direction.LOOSENED, Direction.NEUTRAL)


def changes(manual: str, old: State, new: State, only: frozenset[str]) -> tuple[FigureChange, ...]:
    """How figures of a manual went from one edition to another, tightened ones first.

    Shape: `old` and `new` are one manual's state in the ledger; `only` holds anchors.
    """
    found = []
    for anchor in sorted(only):
        sides = (old["figures"].get(anchor), new["figures"].get(anchor))
        if sides[0] == sides[1]:
            continue
        was, now = (_state(manual, anchor, one) for one in sides)
        way = direction(was, now)
        if way is not Direction.NEUTRAL or said(was) != said(now):
            held = [str((one or {}).get("held", "")) for one in sides]
            found.append(FigureChange(manual, anchor, said(was), said(now), str(way), *held))
    return tuple(
        sorted(found, key=lambda one: (_ORDER.index(Direction(one.direction)), one.figure))
    )


def _state(manual: str, anchor: str, plain: Mapping[str, Any] | None) -> FigureState | None:
    return None if plain is None else from_plain({**plain, "manual": manual, "machine": ""})


def said(state: FigureState | None) -> str | None:
    """A figure in the unit that its manual prints first: `88 degC`."""
    if state is None:
        return None
    unit, numerals = next(iter(state.shown.items()), ("", state.written))
    return f"{numerals} {unit}".strip()


class Issued:
    """All that was ever issued, to be asked for codes."""

    def __init__(self, book: Book) -> None:
        self.editions: Mapping[int, Edition] = {one.number: one for one in book.editions}
        self.latest = latest_edition(book.editions)
        self.states = states(read(book.files))
        self.codes: dict[str, tuple[str, str]] = {
            said["code"]: (manual, card)
            for state in self.states.values()
            for manual, there in state.items()
            for card, said in there["cards"].items()
        }

    def verdicts(self) -> Iterator[Verdict]:
        """What is known of every code ever issued, by manual and card."""
        for code in sorted(self.codes, key=lambda one: (self.codes[one], one)):
            yield self.verdict(code)

    def verdict(self, typed: str) -> Verdict:
        """What is known of a code, however it was typed."""
        code = as_typed(typed)
        if not is_sound(code):
            return Verdict(code, Standing.MISTYPED, urgent=True)
        if code not in self.codes:
            return Verdict(code, Standing.NEVER_ISSUED, urgent=True)
        manual, card = self.codes[code]
        stood = [n for n in self.states if code_in(self.states, n, manual, card) == code]
        standing = [n for n in stood if self.editions[n].withdrawn is None]
        last = max(standing or stood)
        found = Verdict(
            code,
            Standing.WITHDRAWN,
            manual,
            self.states[last][manual]["machine"],
            card,
            last,
            self.editions[last].dated.isoformat(),
            now=self._now(manual, card),
            urgent=True,
        )
        if found.now == code:
            return self._current(found)
        if not standing:
            return self._withdrawn(found, self.editions[last])
        return self._superseded(found, last)

    def _now(self, manual: str, card: str) -> str | None:
        """The code of a card in the latest standing edition."""
        return code_in(self.states, self.latest.number, manual, card) if self.latest else None

    def _withdrawn(self, found: Verdict, edition: Edition) -> Verdict:
        day = edition.withdrawn
        return replace(
            found, since_dated=day.isoformat() if day else None, because=dict(edition.because)
        )

    def _current(self, found: Verdict) -> Verdict:
        if self.latest is None:
            return found
        whole = tuple(self.editions.values())
        since = face_edition(whole, self.states, found.manual or "", found.card or "")
        return replace(
            found,
            standing=Standing.CURRENT,
            edition=self.latest.number,
            dated=self.latest.dated.isoformat(),
            since=since.number,
            since_dated=since.dated.isoformat(),
            urgent=False,
        )

    def _superseded(self, found: Verdict, last: int) -> Verdict:
        manual, card = found.manual or "", found.card or ""
        later = {
            n: code_in(self.states, n, manual, card)
            for n, one in self.editions.items()
            if n > last and one.withdrawn is None
        }
        after = min(n for n, code in later.items() if found.now or code is None)
        found = replace(found, since=after, since_dated=self.editions[after].dated.isoformat())
        if found.now is None or self.latest is None:
            return replace(found, standing=Standing.DROPPED)
        old, new = self.states[last][manual], self.states[self.latest.number][manual]
        was, now = old["cards"][card], new["cards"][card]
        told = changes(manual, old, new, frozenset(was["figures"]) | frozenset(now["figures"]))
        hazards = not set(now["hazards"]) <= set(was["hazards"])
        binding = {Direction.TIGHTENED, Direction.UNDECIDED}
        return replace(
            found,
            standing=Standing.SUPERSEDED,
            now_edition=self.latest.number,
            now_dated=self.latest.dated.isoformat(),
            changes=told,
            new_hazards=hazards,
            # What cannot be judged counts as if it bound.
            urgent=hazards or any(Direction(one.direction) in binding for one in told),
        )


def as_plain(found: Verdict) -> dict[str, Any]:
    """A verdict as JSON holds it."""
    return asdict(found)
