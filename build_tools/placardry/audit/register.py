"""The register of figures as a stranger reads it: each figure's values, condition and source."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from placardry.audit.past import History
from placardry.errors import PlacardryError
from placardry.quantity import Quantity

Ends = Mapping[str, Fraction]  # `low`, `high`, `value`


@dataclass(frozen=True, slots=True)
class Entry:
    """One figure of one manual. Units: `exact` is in `unit`, each of `published` in its key."""

    manual: str
    machine: str
    id: str
    part: str
    type: str
    kind: str
    parameter: str
    condition: str
    condition_id: str
    spans: Mapping[str, Mapping[str, Any]]
    written: str
    unit: str
    exact: Ends
    published: Mapping[str, Ends]
    shown: Mapping[str, str]
    margin: Mapping[str, Ends]
    guards: str
    source: Mapping[str, Any]
    file: str
    line: int
    used_in: tuple[str, ...]

    @property
    def anchor(self) -> str:
        """The identity of the figure inside its manual."""
        return f"{self.id}.{self.part}" if self.part else self.id


@dataclass(frozen=True, slots=True)
class Register:
    """A register file: the figures by manual and anchor, and what else a stranger needs.

    Attributes:
        path: the path of the file
        edition: the number of the edition; None for a draft
        dated: the day of the edition; empty for a draft
        entries: by manual, then by anchor
        names: declared names that hold digits, which are no figures
        language: of the manual, as in `en-GB`; empty in a merged register
        history: what stood in the issued editions, as the file beside it tells
    """

    path: str
    book: str
    edition: int | str | None
    entries: Mapping[str, Mapping[str, Entry]]
    names: tuple[str, ...] = ()
    language: str = ""
    dated: str = ""
    history: History = field(default_factory=History)

    @classmethod
    def read(cls, path: str, data: bytes) -> Register:
        """The register that the bytes of a `register.json` hold.

        Raises:
            PlacardryError: the file is no register; the message says where it fails.
        """
        try:
            whole = json.loads(data)
            found: dict[str, dict[str, Entry]] = {}
            for at, row in enumerate(whole["figures"]):
                try:
                    entry = _entry(row)
                except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError) as fault:
                    name = row.get("id", at + 1) if isinstance(row, dict) else at + 1
                    raise PlacardryError(f"figure `{name}`: {_said(fault)}") from None
                found.setdefault(entry.manual, {})[entry.anchor] = entry
            edition = whole["edition"] or {}
            names, language = tuple(whole.get("names", ())), whole.get("language") or ""
            number, dated = edition.get("number"), edition.get("dated") or ""
            return cls(path, whole["book"], number, found, names, language, dated)
        except (KeyError, TypeError, ValueError, AttributeError) as fault:
            raise PlacardryError(f"`{path}` is no register: {_said(fault)}") from None

    @property
    def mark(self) -> tuple[int | str, str] | None:
        """Number and day of the edition; None for a draft."""
        return None if self.edition is None else (self.edition, self.dated)

    def manual_in(self, folder: str) -> str:
        """The manual that lies in a folder, which may bear another name than the manual."""
        is_named = folder in self.entries or len(self.entries) != 1
        return folder if is_named else next(iter(self.entries))

    def of(self, manual: str) -> Mapping[str, Entry]:
        """The entries of one manual by anchor; of the only one where the name is unknown."""
        if manual in self.entries or len(self.entries) != 1:
            return self.entries.get(manual, {})
        return next(iter(self.entries.values()))


def _said(fault: Exception) -> str:
    return f"`{fault.args[0]}` is missing" if isinstance(fault, KeyError) else str(fault)


def _entry(row: dict[str, Any]) -> Entry:
    exact = {name: Fraction(row["exact"][name]) for name in _ENDS if name in row["exact"]}
    published = ends_of(row["published"])
    condition = row["condition"] or {}
    margin = {
        unit: (
            {name: Fraction(given[name]) for name in _ENDS if name in given}
            if isinstance(given, dict)
            else dict.fromkeys(published.get(unit, {}), Fraction(given))
        )
        for unit, given in row["margin"].items()
    }
    return Entry(
        manual=row["manual"],
        machine=row["machine"],
        id=row["id"],
        part=row["part"] or "",
        type=row["type"],
        kind=row["kind"],
        parameter=row["parameter"] or "",
        condition=condition.get("text") or "",
        condition_id=condition.get("id") or "",
        spans=condition.get("spans") or {},
        written=row["written"],
        unit=row["exact"]["unit"],
        exact=exact,
        published=published,
        shown=dict(row["shown"]),
        margin=margin,
        guards=row["guards"] or "",
        source=row["source"] or {},
        file=row["file"],
        line=int(row["line"]),
        used_in=tuple(row["used_in"]),
    )


_ENDS = ("low", "high", "value")


def ends_of(published: Mapping[str, Mapping[str, str]]) -> Mapping[str, Ends]:
    """The published ends by unit, as numbers.

    Raises:
        ValueError: a numeral that is none.
    """
    return {
        unit: {name: _number(ends[name]) for name in _ENDS if name in ends}
        for unit, ends in published.items()
    }


def _number(text: str) -> Fraction:
    """A canonical numeral; a ratio and a counter stand as they are written."""
    return Quantity.parse(text).value if ":" in text else Fraction(text)
