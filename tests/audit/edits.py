"""A forger's edits of published files: one digit, unit, sign, condition, source or word.

`spots` gives the places of a file at which something can be edited; `edit` makes one of them at
random and says what an audit has to tell of it.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

Files = Mapping[str, bytes]
Entries = Mapping[str, Mapping[str, Any]]
"""The register's rows of one manual, by `id.part`."""


@dataclass(frozen=True)
class Edit:
    """One edit of a file, and what has to be said of it.

    Attributes:
        what: a digit, a unit, a sign, a condition, a source, an edition, a word before a figure,
            or what was taken out
        data: the whole new file
        anchors: the identities of which the finding may name one; empty where no figure is meant
        found, expected: what the finding must hold: what stands there now, and what stood there
        swapped: a letter and the one that it is copied as, in all text of a font
    """

    path: str
    what: str
    data: bytes
    anchors: frozenset[str]
    found: str
    expected: str
    swapped: tuple[str, str] | None = None

    def __str__(self) -> str:
        named = ", ".join(sorted(self.anchors)[:3])
        return f"{self.path} [{self.what}] {named}: {self.expected!r} to {self.found!r}"


@dataclass(frozen=True)
class Spot:
    """Something that can be edited: a figure, its condition, its source, a word beside it.

    Attributes:
        kind: what stands there
        anchors: the identity of the figure; several where the file does not say which it is
        text: what stands there; of what is put before a figure or a condition, that itself
        make: the file with another text there, or None where it cannot hold that text
    """

    kind: str
    anchors: frozenset[str]
    text: str
    make: Callable[[str], bytes | None]


UNITS = {
    "°C": "°F", "°F": "°C", "rpm": "Hz", "min": "s", "s": "min", "h": "min", "mm": "cm",
    "cm": "mm", "m": "km", "ft": "in", "in": "ft", "kg": "lb", "lb": "kg", "L": "mL", "mL": "L",
    "V": "A", "A": "V", "days": "months", "months": "years", "years": "months", "bar": "psi",
    "km/h": "m/s", "mph": "km/h", "N·m": "lbf·ft", "lbf·ft": "N·m", "kΩ": "Ω", "times": "turns",
    "L/h": "L", "US gal": "L", "%": "h", "turns": "times",
}  # fmt: skip
"""A unit that a forger might put in the place of one: common units, no source."""

BOUNDS = {
    "at least": "at most", "at most": "at least", "above": "below", "below": "above",
    "from": "below", "mindestens": "höchstens", "höchstens": "mindestens", "über": "unter",
    "unter": "über", "ab": "unter",
}  # fmt: skip
"""A word that a forger might put in the place of one before a figure."""

FIGURE = ("digit", "unit", "sign")


def edit(rng: random.Random, path: str, spot: Spot, entries: Entries) -> Edit | None:
    """A random edit of a spot; None where the file cannot hold it."""
    if spot.kind == "link":
        others = [one for one in sorted(entries) if _differ(entries, one, spot)]
        other = rng.choice(others)
        shown = next(iter(entries[other]["shown"].values()))
        return _edit(path, spot, "source", other, frozenset({other}), spot.text, shown)
    if spot.kind == "taken out":
        return _edit(path, spot, "taken out", "", None, "", spot.text)
    if spot.kind == "condition":
        told = {condition_of(entries, one) for one in entries} - {"", spot.text}
        other = rng.choice(sorted(one for one in told if spot.text not in one))
        return _edit(path, spot, "condition", other, None, other, spot.text)
    if spot.kind == "negated":
        word = rng.choice(("nicht", "außer") if "-de/" in path else ("not", "except"))
        found = f"{word} {spot.text}"
        return _edit(path, spot, "condition", f"{word} ", None, found, spot.text)
    if spot.kind == "beside":  # it reads as the first sign of the figure
        new = "1" if spot.text.startswith(("−", "-")) else rng.choice("1−")
        return _edit(path, spot, "digit", new, None, new + spot.text, spot.text)
    if spot.kind == "added":
        new = "88\N{NO-BREAK SPACE}°C"
        return _edit(path, spot, "digit", new, None, new, "")
    if spot.kind == "bound":
        new = BOUNDS[spot.text]
        return _edit(path, spot, "word", new, None, new, spot.text)
    if spot.kind in ("source", "edition"):
        new = _other(rng, spot.text)
        words = zip(new.split(), spot.text.split(), strict=True)
        found, expected = next(pair for pair in words if pair[0] != pair[1])
        return _edit(path, spot, spot.kind, new, None, found, expected)
    numbers = ("number", "former number", "glyph")
    what = "digit" if spot.kind in numbers else rng.choice(FIGURE)
    changed = retyped(rng, spot.text, what)
    what = f"former {what}" if spot.kind.startswith("former") else what
    if changed is None:
        return None
    made = _edit(path, spot, what, changed, None, changed, spot.text)
    if made and spot.kind == "glyph":
        pairs = [(a, b) for a, b in zip(spot.text, changed, strict=True) if a != b]
        return Edit(path, "glyph", made.data, frozenset(), changed, spot.text, pairs[0])
    return made


def _edit(
    path: str,
    spot: Spot,
    what: str,
    new: str,
    anchors: frozenset[str] | None,
    found: str | None,
    expected: str,
) -> Edit | None:
    data = spot.make(new)
    said = new if found is None else found
    known = spot.anchors if anchors is None else anchors
    return Edit(path, what, data, known, said, expected) if data else None


def retyped(rng: random.Random, text: str, what: str) -> str | None:
    """A figure with one digit, its unit or a sign changed; None where it has none to change."""
    if what == "digit":
        return _other(rng, text)
    if what == "sign":
        if "−" in text:
            return text.replace("−", "", 1)
        space = text[: len(text) - len(text.lstrip())]
        return f"{space}−{text.lstrip()}" if ":" not in text else None
    found = re.fullmatch(r"(.*[\d)][ \u00a0\u202f]?)(\D+)", text)
    return f"{found[1]}{UNITS[found[2]]}" if found and found[2] in UNITS else None


def condition_of(entries: Entries, anchor: str) -> str:
    """The condition of a figure in words; empty where it always holds."""
    return ((entries.get(anchor) or {}).get("condition") or {}).get("text") or ""


def anchors_of(entries: Entries, text: str) -> frozenset[str]:
    """The figures that a text may be: those shown so, and bands with that cut point."""
    squeezed = _squeezed(text)
    found = {one for one, row in entries.items() if squeezed in map(_squeezed, _shown(row))}
    unit = re.sub(r"[\d.,−\s]", "", text)
    numbers = set(re.findall(r"−?[\d.,]+", text))
    for one, row in entries.items():
        for shown in _shown(row) if row["kind"] == "cut" else ():
            if shown.endswith(unit) and numbers <= set(re.findall(r"−?[\d.,]+", shown)):
                found.add(one)
    return frozenset(found)


def _shown(row: Mapping[str, Any]) -> list[str]:
    return list(row["shown"].values())


def _squeezed(text: str) -> str:
    return "".join(text.split())


def _differ(entries: Entries, one: str, spot: Spot) -> bool:
    """Whether another figure is shown otherwise, so that a link to it tells a lie."""
    if one in spot.anchors:
        return False
    own = {shown for anchor in spot.anchors for shown in _shown(entries.get(anchor, {"shown": {}}))}
    return not own & set(_shown(entries[one])) and one not in anchors_of(entries, spot.text or "-")


def _other(rng: random.Random, text: str) -> str:
    """The text with another digit in it; with another end where it has none."""
    digits = [at for at, sign in enumerate(text) if sign.isdigit()]
    if not digits:
        return text + "-2"
    at = rng.choice(digits)
    others = [sign for sign in "123456789" if sign != text[at]]
    return f"{text[:at]}{rng.choice(others)}{text[at + 1 :]}"
