"""The copies of `editions.json` against each other and against what else speaks of the editions.

Beside the copies of the folder and of all there are the register, which holds what the latest
edition says, and the pages that print former values. What most of them say is taken for true.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from placardry.audit import card_codes, former, past_editions
from placardry.audit.claims import claims, plain
from placardry.audit.past import NAME, History, Issue, State
from placardry.audit.past_editions import odd
from placardry.audit.register import Entry, Register
from placardry.audit.told import MALFORMED, Told, tell
from placardry.errors import PlacardryError
from placardry.finding import Span

Files = Mapping[str, bytes]
Said = tuple[str, int]  # the anchor of a figure, and an edition


@dataclass(frozen=True, slots=True)
class _Witnesses:
    """What speaks of the editions of one manual beside `editions.json`.

    Attributes:
        register: that of the manual
        editions: as they are agreed on
        values: of each page the former values that it prints, as unit and numbers
        codes: the codes that the card check tells of
        replaced: since which edition another code holds, of those codes
    """

    register: Register
    editions: Mapping[int, Issue]
    values: tuple[Mapping[Said, tuple[str, frozenset[Fraction]]], ...]
    codes: frozenset[str]
    replaced: Mapping[str, int]

    @property
    def latest(self) -> Issue | None:
        """The latest standing edition."""
        return History(editions=self.editions).latest

    @property
    def is_issued(self) -> bool:
        """Whether the register is of the latest standing edition, and no draft."""
        return self.latest is not None and self.latest.mark == self.register.mark


def read(
    files: Files, registers: Mapping[str, Register]
) -> tuple[Mapping[str, History], tuple[Told, ...]]:
    """The histories by the folder that they lie in, as far as they hold, and what is wrong."""
    told: list[Told] = []
    known: dict[str, History] = {}
    for folder in registers:
        path = f"{folder}/{NAME}" if folder else NAME
        try:
            if path in files:
                known[folder] = History.read(path, files[path])
        except PlacardryError as fault:
            told.append(tell(MALFORMED, Span(path), str(fault), "build the manual again"))
    merged = known.get("") if len(registers) > 1 else None
    editions, of_editions = past_editions.agreed(files, tuple(known.values()), registers)
    told += of_editions
    for folder, register in registers.items():
        if folder or len(registers) == 1:
            copies = [one for one in (known.get(folder), merged if folder else None) if one]
            if not copies:
                continue
            witnesses = _witnesses(files, folder, register, editions)
            sound, found = _judged(files, register.manual_in(folder), copies, witnesses)
            known[folder] = sound
            told += found
            if merged is not None and folder:
                merged = _joined(merged, sound)
    if merged is not None:
        known[""] = replace(merged, editions=editions)
    return known, tuple(told)


def _joined(merged: History, own: History) -> History:
    """The history of all with what was found to hold of one manual."""
    return replace(
        merged,
        figures={**merged.figures, **own.figures},
        cards={**merged.cards, **own.cards},
    )


def _judged(
    files: Files, manual: str, copies: list[History], witnesses: _Witnesses
) -> tuple[History, list[Told]]:
    told: list[Told] = []
    figures: dict[str, dict[int, State]] = {}
    for anchor in sorted({key[1] for one in copies for key in one.figures if key[0] == manual}):
        states = [dict(one.figures.get((manual, anchor), {})) for one in copies]
        numbers = {number for one in states for number in one}
        if witnesses.is_issued and witnesses.latest:
            numbers.add(witnesses.latest.number)
        figures[anchor] = {}
        wrong: dict[str, tuple[int, State | None, State | None]] = {}
        for number in sorted(numbers, reverse=True):
            order = sorted(copies, key=lambda one: one.path in wrong)
            later = next(iter(wrong.values()), None)
            right, strays = _state((anchor, number), order, manual, witnesses, later)
            if right is not None:
                figures[anchor][number] = right
            for path, found in strays:
                wrong.setdefault(path, (number, found, right))
        for path, (number, found, right) in wrong.items():
            said, expected = differing(found, right)
            what = f"`{anchor}` ({manual}) as {said or 'nothing'} in edition {number}"
            told.append(odd(files, path, what, said, expected, anchor))
    cards, of_cards = card_codes.agreed(files, copies, manual, witnesses.codes, witnesses.replaced)
    sound = History(
        copies[0].path,
        witnesses.editions,
        {(manual, anchor): states for anchor, states in figures.items()},
        {(manual, card): codes for card, codes in cards.items()},
    )
    return sound, [*told, *of_cards]


def _witnesses(
    files: Files, folder: str, register: Register, editions: Mapping[int, Issue]
) -> _Witnesses:
    from placardry.audit import pages

    start = f"{folder}/" if folder else ""
    manual = register.manual_in(folder)
    values = []
    codes = ""
    for path in dict.fromkeys((f"{start}editions.html", f"{start}check.html", "check.html")):
        if path not in files:
            continue
        language, blocks = pages.read(path, files[path])
        said: dict[Said, tuple[str, frozenset[Fraction]]] = {}
        for claim in claims(blocks, language or register.language or "en", folder):
            one = claim.former
            if claim.free == "former" and one and one.edition and one.manual in ("", manual):
                said[one.anchor, one.edition] = former.numbers_of(claim)
        values.append(said)
        if path.endswith("check.html"):
            codes += files[path].decode("utf-8", "replace")
    held = frozenset(former.CODE.findall(codes))
    replaced = dict(card_codes.replaced_in(codes))
    return _Witnesses(register, editions, tuple(values), held, replaced)


def _state(
    said: Said,
    copies: list[History],
    manual: str,
    witnesses: _Witnesses,
    later: tuple[int, State | None, State | None] | None = None,
) -> tuple[State | None, list[tuple[str, State | None]]]:
    """How a figure stood in an edition by most of what speaks of it, and which copies differ."""
    anchor, number = said
    given = [
        (one.path, one.figures.get((manual, anchor), {}).get(number))
        for one in copies
        if number in one.editions  # an older copy, of which it was told, says nothing of it
    ]
    if not given:
        return None, []
    candidates = [state for _, state in given]
    printed = [values[said] for values in witnesses.values if said in values]
    is_latest = witnesses.latest is not None and number == witnesses.latest.number
    # One row may tell of several editions: what was wrong of a later one is so of this one too.
    mended = later[2] if later and candidates[0] == later[1] else None
    if (
        not mended
        and not printed
        and not is_latest
        and all(one == candidates[0] for one in candidates)
    ):
        return candidates[0], []  # nothing else speaks of it
    entry = witnesses.register.of(manual).get(anchor) if is_latest else None
    # Of a draft the register need not say what the edition does, but is right of two copies.
    if entry and witnesses.is_issued:
        candidates.append(_of_entry(entry, candidates))
    if candidates[0] is not None and len(set(printed)) == 1:
        unit, numbers = printed[0]
        if candidates[0].numbers(unit) != numbers and len(printed) > len(given):
            shown = {**candidates[0].shown, unit: " to ".join(map(str, sorted(numbers)))}
            candidates.append(replace(candidates[0], shown=shown))

    if mended:
        candidates.insert(0, mended)

    def support(one: State | None) -> int:
        own = (one is not None and one == mended) + sum(_alike(one, state) for _, state in given)
        pages = sum(one is not None and one.numbers(unit) == numbers for unit, numbers in printed)
        if entry and _alike(one, _of_entry(entry, [one])):
            own += 1 + witnesses.is_issued
        return own + pages

    right = max(candidates, key=support)
    return right, [(path, state) for path, state in given if not _alike(state, right)]


def _of_entry(entry: Entry, like: Iterable[State | None]) -> State:
    """What the register says of a figure, in the units that a state has."""
    units = next((list(one.shown) for one in like if one is not None), list(entry.published))
    shown = {
        unit: " to ".join(map(_numeral, entry.published.get(unit, {}).values())) for unit in units
    }
    return State(shown, entry.condition)


def _numeral(value: Fraction) -> str:
    return f"{float(value):.9g}"


def _alike(one: State | None, other: State | None) -> bool:
    if one is None or other is None:
        return one is other
    if one == other:
        return True
    units = one.shown.keys()
    same = units == other.shown.keys() and plain(one.condition) == plain(other.condition)
    return same and all(_near(one.numbers(unit), other.numbers(unit)) for unit in units)


def differing(one: State | None, other: State | None) -> tuple[str, str]:
    """Two states of a figure in words, without the units in which both have the same numbers."""
    if one is None or other is None:
        return one.said if one else "", other.said if other else ""
    units = [unit for unit in one.shown if not _near(one.numbers(unit), other.numbers(unit))]
    if one.shown.keys() != other.shown.keys() or not units:
        return one.said, other.said
    cut = (
        replace(state, shown={unit: state.shown[unit] for unit in units}) for state in (one, other)
    )
    said, expected = (state.said for state in cut)
    return said, expected


def _near(one: frozenset[Fraction] | None, other: frozenset[Fraction] | None) -> bool:
    """Whether numbers are the same; a ratio has no decimal numeral, so nearly is enough."""
    pairs = zip(sorted(one or ()), sorted(other or ()), strict=False)
    return len(one or ()) == len(other or ()) and all(
        abs(a - b) <= abs(a) / 1_000_000 for a, b in pairs
    )
