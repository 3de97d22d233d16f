"""Whether a register agrees with itself: what is shown, published, exact and written."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from placardry.audit.register import Ends, Entry, Register, ends_of
from placardry.audit.rounded import unsafe
from placardry.audit.told import DISAGREE, UNSAFE
from placardry.errors import Malformed
from placardry.finding import Rule
from placardry.interval import Interval, Nominal
from placardry.notation import read_loosely
from placardry.recognise import ends_in, quantities
from placardry.rounding import exact
from placardry.units import UNITS

Fault = tuple[Rule, str, str, str]  # rule, what is, found, expected


def faults(entry: Entry, entries: Mapping[str, Entry], language: str) -> Iterator[Fault]:
    """What an entry says against itself; `entries` are those of its manual."""
    for unit in sorted(entry.published.keys() ^ entry.shown.keys()):
        yield DISAGREE, f"is published or shown in `{unit}`, and not both", unit, ""
    for unit, shown in entry.shown.items():
        published = entry.published.get(unit)
        said = said_by(shown, unit, language)
        if published is not None and said is not None and said != set(published.values()):
            numbers = _numbers(published)
            yield DISAGREE, f"shows `{_plain(shown)}` and publishes {numbers}", numbers, shown
    if (written := _written(entry)) is not None and written != set(entry.exact.values()):
        numbers = _numbers(entry.exact)
        yield DISAGREE, f"was written `{entry.written}` and is {numbers}", numbers, entry.written
    yield from _strays(entry, entries)
    for _, found, expected in unsafe(entry, entries):
        yield UNSAFE, f"publishes {found}; right is {expected}", found, expected


def _strays(entry: Entry, entries: Mapping[str, Entry]) -> Iterator[Fault]:
    """What the rest of the register gives otherwise: the condition of an entry, what it guards."""
    if entry.guards and entry.guards not in entries:
        yield DISAGREE, f"guards `{entry.guards}`, which is no figure here", entry.guards, ""
    for name, span in entry.spans.items():
        home = entries.get(f"{entry.condition_id}.{name}")
        for end in ("low", "high"):
            right = home.exact.get(end) if home else None
            if (
                home
                and right is not None
                and home.unit == span["unit"]
                and span[end] != exact(right)
            ):
                found, expected = f"{span[end]} {home.unit}", f"{exact(right)} {home.unit}"
                yield (
                    DISAGREE,
                    f"holds from or to {found}; `{home.anchor}` is {expected}",
                    found,
                    expected,
                )
    if not entry.condition_id:
        return
    alike = [one.spans for one in entries.values() if one.condition_id == entry.condition_id]
    usual = max(alike, key=alike.count)
    if entry.spans != usual and alike.count(usual) > 1:
        found, expected = (json.dumps(one, sort_keys=True) for one in (entry.spans, usual))
        yield (
            DISAGREE,
            f"has other spans than the rest under `{entry.condition_id}`",
            found,
            expected,
        )


def said_by(shown: str, unit: str, language: str) -> set[Fraction] | None:
    """The numbers of a figure as shown, None where it holds no figure in that unit."""
    short = language.partition("-")[0]
    if not unit:
        try:
            return {read_loosely(shown.strip(), short)[0]}
        except (Malformed, ValueError, IndexError):
            return None
    found = [one.figure for one in quantities(shown, short)]
    if len(found) != 1:
        return None
    given = ends_in(found[0]).values()
    return {end.value for end in given} if next(iter(given)).unit.symbol == unit else None


def _written(entry: Entry) -> set[Fraction] | None:
    """The numbers that an author wrote, in the unit of `exact`; None for what is computed."""
    for form in (Nominal, Interval):
        try:
            given = ends_in(form.parse(entry.written)).values()
        except Malformed:
            continue
        unit = UNITS.get(entry.unit)
        if unit is None or any(end.unit != unit for end in given):
            return None
        return {end.value for end in given}
    return None


def trusted(register: Register, agreed: Mapping[tuple[str, str], Mapping[str, str]]) -> Register:
    """The register with what the copies beside it agree on, and with values as they are shown."""
    entries = {
        manual: {
            anchor: _trusted(entry, agreed.get((manual, anchor), {}), register.language)
            for anchor, entry in own.items()
        }
        for manual, own in register.entries.items()
    }
    return replace(register, entries=entries)


def _trusted(entry: Entry, agreed: Mapping[str, str], language: str) -> Entry:
    if "condition" in agreed:
        entry = replace(entry, condition=agreed["condition"])
    if "written" in agreed:
        entry = replace(entry, written=agreed["written"])
    if "published" in agreed:
        entry = replace(entry, published=ends_of(json.loads(agreed["published"]), "the register"))
    if "used_in" in agreed:
        entry = replace(entry, used_in=tuple(agreed["used_in"].split()))
    shown = agreed.get("shown", "").split("; ")
    if "shown" in agreed and len(shown) == len(entry.shown):
        entry = replace(entry, shown=dict(zip(entry.shown, shown, strict=True)))
    return replace(
        entry,
        published={
            unit: _as_shown(ends, said_by(entry.shown.get(unit, ""), unit, language))
            for unit, ends in entry.published.items()
        },
    )


def _as_shown(ends: Ends, said: set[Fraction] | None) -> Ends:
    """The ends with the numbers shown: of two the lower is the low, between them lies the value."""
    if said is None or said == set(ends.values()):
        return ends
    ordered = sorted(said)
    names = [name for name in ("low", "value", "high") if name in ends]
    return dict(zip(names, ordered, strict=True)) if len(names) == len(ordered) else ends


def _numbers(ends: Ends) -> str:
    return ", ".join(f"{name} {float(value):.9g}" for name, value in ends.items())


def _plain(text: str) -> str:
    return " ".join(text.split())
