"""The data files of a manual: the register of its figures, and the manifest of its files.

Shape: see `entry` for the register; both are sorted and hold no clock time, so that the same book
gives the same bytes. Numerals are canonical in `published`, as printed in `shown`.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from placardry.book.settings import BookSettings
from placardry.book.sources import Document, Edition
from placardry.figures import Exact, Figure, Shown
from placardry.quantity import Quantity
from placardry.recognise import quantities
from placardry.rounding import decimal, exact
from placardry.units import RATIO
from placardry.wording.phrases import Speaker, numeral, spoken

SCHEMA = 1

Entry = dict[str, Any]


def register(speaker: Speaker, used_in: Mapping[str, Iterable[str]]) -> list[Entry]:
    """The register entries of one manual, sorted by id and part.

    Args:
        speaker: the manual
        used_in: the files of the manual's folder that print each figure, by the figure's anchor
    """
    return [
        entry(speaker, figure, sorted(used_in.get(figure.anchor, ())))
        for figure in speaker.figures.values()
    ]


def entry(speaker: Speaker, figure: Figure, used_in: list[str]) -> Entry:
    """One figure as the register holds it."""
    manual = speaker.manual
    documents = manual.records.get("document", {})
    source = figure.source
    document = documents.get(source.document) if source and source.document else None
    language = manual.language
    return {
        "id": figure.id,
        "part": figure.part,
        "manual": manual.id,
        "machine": manual.machine.id,
        "name": spoken(speaker.called(figure)),
        "type": figure.type,
        "kind": str(figure.kind),
        "parameter": figure.parameter,
        "condition": _condition(speaker, figure),
        "written": str(figure.exact),
        "exact": {**_ends(_numbers(figure.exact), exact), "unit": figure.exact.unit.symbol},
        "published": {unit: published(shown) for unit, shown in figure.shown.items()},
        "shown": {unit: numeral(shown, language) for unit, shown in figure.shown.items()},
        "margin": {unit: _margin(figure.exact, shown) for unit, shown in figure.shown.items()},
        "guards": figure.guards,
        "exceeded": spoken(speaker.text(figure.exceeded)) if figure.exceeded else None,
        "source": source
        and {
            "document": source.document,
            "edition": document.edition if document else None,
            "place": source.place,
        },
        "file": figure.span.path,
        "line": figure.span.line,
        "used_in": used_in,
    }


Numbers = tuple[Fraction | None, Fraction | None, Fraction | None]


def _numbers(one: Exact) -> Numbers:
    return one.values


def _ends(numbers: Numbers, say: Any) -> dict[str, str]:
    named = zip(("low", "high", "value"), numbers, strict=True)
    return {name: say(number) for name, number in named if number is not None}


def published(shown: Shown) -> dict[str, str]:
    """The canonical numerals of a figure in one unit: ASCII, a point, no grouping.

    A ratio is given as it is written, for a third has no decimal numeral.
    """
    if shown.unit == RATIO:
        numbers = (shown.low, shown.high, shown.value)
        return _ends(numbers, lambda number: Quantity.of(number, RATIO).written)
    return _ends((shown.low, shown.high, shown.value), lambda n: decimal(n, shown.step))


def _margin(one: Exact, shown: Shown) -> str | dict[str, str]:
    """What rounding gave away, at each end, in the unit shown."""
    there = one.values_in(shown.unit)
    here = (shown.low, shown.high, shown.value)
    given: list[Fraction | None] = [
        None if a is None or b is None else abs(a - b) for a, b in zip(there, here, strict=True)
    ]
    ends = _ends((given[0], given[1], given[2]), str)
    return next(iter(ends.values())) if len(ends) == 1 else ends


def _condition(speaker: Speaker, figure: Figure) -> Entry | None:
    if not figure.conditions and figure.within is None:
        return None
    states: dict[str, list[str]] = {}
    spans: dict[str, Entry] = {}
    for condition in figure.conditions:
        for name, item in condition.box.items():
            if item.span is None:
                states[name] = list(item.states)
                continue
            low, high, _ = Exact(item.span.low, item.span.high).values
            spans[name] = {
                "low": None if low is None else exact(low),
                "high": None if high is None else exact(high),
                "unit": item.span.unit.symbol,
            }
    return {
        "id": " ".join(condition.id for condition in figure.conditions) or None,
        "text": spoken(speaker.held(figure)).strip(),
        "states": states,
        "spans": spans,
        "within": str(figure.within) if figure.within else None,
    }


def edition_entry(edition: Edition | None) -> Entry | None:
    """An edition as the data files name it; None for a draft."""
    if edition is None:
        return None
    return {"number": edition.number, "dated": edition.dated.isoformat()}


def documents(speaker: Speaker) -> list[Entry]:
    """The documents that a manual cites, as its page of sources tells them, sorted by id."""
    return [
        {
            "manual": speaker.manual.id,
            "id": name,
            "title": spoken(speaker.text(one.title)),
            "issuer": spoken(speaker.text(one.issuer)),
            "edition": one.edition,
            "dated": one.dated.isoformat(),
        }
        for name, one in sorted(speaker.manual.of(Document).items())
    ]


def register_json(
    settings: BookSettings,
    edition: Edition | None,
    entries: list[Entry],
    cited: Iterable[Entry] = (),
    language: str | None = None,
) -> bytes:
    """The register as JSON, with the documents cited and, of a manual, its language.

    With `names` are those declared that read like figures, if there are.
    """
    names = sorted(name for name in settings.names if any(quantities(name, settings.language)))
    return _json(
        {
            "schema": SCHEMA,
            "book": settings.book,
            "edition": edition_entry(edition),
            **({"language": language} if language else {}),
            **({"names": names} if names else {}),
            "documents": list(cited),
            "figures": sorted(entries, key=order),
        }
    )


def order(one: Entry) -> tuple[str, str, str]:
    """The order of the register: manual, id, part."""
    return (one["manual"], one["id"], one["part"] or "")


COLUMNS = (
    "manual",
    "machine",
    "id",
    "part",
    "type",
    "kind",
    "parameter",
    "written",
    "shown",
    "condition",
    "document",
    "edition",
    "place",
    "file",
    "line",
    "used_in",
)


def register_csv(entries: list[Entry]) -> bytes:
    """The register as a table for a spreadsheet, one figure a row."""
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, lineterminator="\n", extrasaction="ignore")
    table.writeheader()
    for one in sorted(entries, key=order):
        source = one["source"] or {}
        table.writerow(
            {
                **one,
                **source,
                "shown": "; ".join(one["shown"].values()),
                "condition": (one["condition"] or {}).get("text", ""),
                "used_in": " ".join(one["used_in"]),
            }
        )
    return out.getvalue().encode()


def manifest(settings: BookSettings, edition: Edition | None, files: Mapping[str, bytes]) -> bytes:
    """The list of files, each with its size and digest; the manifest itself is not in it."""
    return _json(
        {
            "schema": SCHEMA,
            "book": settings.book,
            "edition": edition_entry(edition),
            "dated": (edition or settings).dated.isoformat(),
            "files": [
                {"path": path, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
                for path, data in sorted(files.items())
            ],
        }
    )


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode()
