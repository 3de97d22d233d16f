"""The public side of the ledger as a data file, `editions.json`, beside the register.

It says what stood in each edition, so that whoever holds the published folder alone can judge a
former value or the code of an old card. Nobody is named in it.

Shape: `{"schema", "book", "editions": [{number, dated, withdrawn, summary, because, seal}],
"figures": [{manual, id, part, condition, shown, editions}], "cards": [{manual, card, code,
editions}]}`. `summary` and `because` are by language, `seal` is the digest of the entry in the
ledger, to which the next entry is bound. `shown` gives canonical numerals by unit (`88`, `63 to
82`, `25 (23 to 27)`); `editions` of a row are those in which it stood so.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from typing import Any

from placardry.book.settings import BookSettings
from placardry.book.sources import Edition
from placardry.data import SCHEMA
from placardry.ledger import Ledger, states

NAME = "editions.json"

Row = dict[str, Any]


def history(
    settings: BookSettings,
    editions: Iterable[Edition],
    ledger: Ledger,
    manuals: Collection[str] | None = None,
) -> bytes:
    """What stood in each edition, of these manuals or else of all that there ever were."""
    seals = {entry.edition: entry.digest for entry in ledger.entries}
    stood = {
        number: {name: said for name, said in state.items() if manuals is None or name in manuals}
        for number, state in states(ledger).items()
    }
    parts: dict[str, list[Row]] = {
        "editions": [_edition(one, seals[one.number]) for one in editions],
        "figures": list(_rows(stood, _figures)),
        "cards": list(_rows(stood, _cards)),
    }
    head = {"schema": SCHEMA, "book": settings.book}
    lines = [f' "{key}": {json.dumps(value)}' for key, value in head.items()]
    lines += [f' "{key}": {_listed(rows)}' for key, rows in parts.items()]
    return ("{\n" + ",\n".join(lines) + "\n}\n").encode()


def _edition(one: Edition, seal: str) -> Row:
    return {
        "number": one.number,
        "dated": one.dated.isoformat(),
        "withdrawn": one.withdrawn.isoformat() if one.withdrawn else None,
        "summary": {language: str(text) for language, text in one.summary.items()},
        "because": {language: str(text) for language, text in one.because.items()},
        "seal": seal,
    }


def _rows(
    stood: Mapping[int, Mapping[str, Any]],
    read: Callable[[str, Mapping[str, Any]], Iterator[Row]],
) -> Iterator[Row]:
    """What the editions hold, each once, with the editions that hold it so."""
    found: dict[str, Row] = {}
    for number, state in sorted(stood.items()):
        for manual, said in state.items():
            for row in read(manual, said):
                found.setdefault(json.dumps(row), {**row, "editions": []})["editions"] += [number]
    yield from sorted(found.values(), key=_order)


def _order(row: Row) -> tuple[str, ...]:
    named = (str(row.get(key) or "") for key in ("manual", "id", "part", "card"))
    return (*named, f"{row['editions'][0]:06}")


def _figures(manual: str, said: Mapping[str, Any]) -> Iterator[Row]:
    for state in said["figures"].values():
        yield {
            "manual": manual,
            "id": state["id"],
            "part": state.get("part"),
            "condition": state.get("held"),
            "shown": state["shown"],
        }


def _cards(manual: str, said: Mapping[str, Any]) -> Iterator[Row]:
    for card, state in said["cards"].items():
        yield {"manual": manual, "card": card, "code": state["code"]}


def _listed(rows: list[Row]) -> str:
    """Rows as JSON, each on a line of its own."""
    if not rows:
        return "[]"
    return "[\n" + ",\n".join(f"  {json.dumps(row, ensure_ascii=False)}" for row in rows) + "\n ]"
