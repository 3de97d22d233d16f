"""The register of figures as a stranger reads it: each figure's values, condition and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from placardry.audit import shape
from placardry.audit.past import History
from placardry.audit.shape import RECORD_OR_NONE, TEXT_OR_NONE
from placardry.errors import PlacardryError

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
            whole = shape.record(shape.parsed(data), _WHOLE, "the file")
            found: dict[str, dict[str, Entry]] = {}
            for at, row in enumerate(whole["figures"]):
                entry = _entry(row, at + 1)
                found.setdefault(entry.manual, {}).setdefault(entry.anchor, entry)
            optional = shape.record({"documents": [], **whole}, {"documents": list}, "the file")
            for at, row in enumerate(optional["documents"]):
                shape.record(row, dict.fromkeys(_OF_DOCUMENT, str), f"document {at + 1}")
            edition = whole["edition"] or {}
            names = shape.texts(whole.get("names", []), "`names`")
            number, dated = edition.get("number"), edition.get("dated") or ""
            language = whole.get("language") or ""
            return cls(path, whole["book"], number, found, names, language, dated)
        except PlacardryError as fault:
            raise PlacardryError(f"this register cannot be read: {fault}") from None

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


_WHOLE: shape.Shape = {"figures": list, "edition": RECORD_OR_NONE, "book": str}
_OF_DOCUMENT = ("manual", "id", "title", "issuer", "edition", "dated")
_ROW: shape.Shape = {
    **dict.fromkeys(("manual", "machine", "id", "type", "kind", "written", "file"), str),
    **dict.fromkeys(("part", "parameter", "guards"), TEXT_OR_NONE),
    **dict.fromkeys(("condition", "source"), RECORD_OR_NONE),
    **dict.fromkeys(("exact", "published", "shown", "margin"), dict),
    "line": int,
    "used_in": list,
}
_ENDS = ("low", "high", "value")


def _entry(row: Any, at: int) -> Entry:
    id = row.get("id") if isinstance(row, dict) else None
    what = f"figure `{id}`" if isinstance(id, str) else f"figure {at}"
    shape.record(row, _ROW, what)
    shape.texts(row["shown"], f"`shown` of {what}")
    exact = shape.record(row["exact"], {"unit": str}, f"`exact` of {what}")
    published = ends_of(row["published"], what)
    condition = row["condition"] or {}
    spans = condition.get("spans") or {}
    for span in shape.record(spans, {}, f"`spans` of {what}").values():
        shape.record(span, {"unit": str}, f"`spans` of {what}")
    margin = {
        unit: (
            _ends(given, f"`margin` of {what}")
            if isinstance(given, dict)
            else dict.fromkeys(published.get(unit, {}), shape.number(given, f"`margin` of {what}"))
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
        spans=spans,
        written=row["written"],
        unit=exact["unit"],
        exact=_ends(exact, f"`exact` of {what}"),
        published=published,
        shown=row["shown"],
        margin=margin,
        guards=row["guards"] or "",
        source=row["source"] or {},
        file=row["file"],
        line=row["line"],
        used_in=shape.texts(row["used_in"], f"`used_in` of {what}"),
    )


def ends_of(published: Mapping[str, Any], what: str) -> Mapping[str, Ends]:
    """The published ends of a figure by unit, as numbers.

    Raises:
        PlacardryError: a numeral that is none.
    """
    return {
        unit: _ends(shape.record(ends, {}, f"`published` of {what}"), f"`published` of {what}")
        for unit, ends in published.items()
    }


def _ends(given: Mapping[str, Any], what: str) -> Ends:
    return {name: shape.number(given[name], what) for name in _ENDS if name in given}
