"""The copies of the register as files hold them: `register.json`, `register.csv`, the page."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from placardry.audit.copies import OF_SOURCE, Copy, Key, Row
from placardry.errors import PlacardryError

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode


def from_json(path: str, data: bytes) -> Copy:
    """The copy that a `register.json` is; its shape was checked when it was read."""
    rows: list[tuple[Key, Row]] = []
    for row in json.loads(data)["figures"]:
        source = row["source"] or {}
        condition = row["condition"] or {}
        whole = {name: value for name, value in row.items() if name not in ("source", "condition")}
        whole |= {"condition": condition.get("text"), "shown": "; ".join(row["shown"].values())}
        whole["box"] = [condition.get(name) for name in ("id", "states", "spans", "within")]
        whole |= {name: source.get(name) for name in OF_SOURCE}
        whole["used_in"] = " ".join(row["used_in"])
        rows.append((_key(row), {name: _text(value) for name, value in whole.items()}))
    return Copy.of(path, data, rows)


def from_csv(path: str, data: bytes) -> Copy:
    """The copy that a `register.csv` is.

    Raises:
        PlacardryError: it is no table, or a column is missing.
    """
    try:
        table = csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))
        names = table.fieldnames or ()
    except (UnicodeDecodeError, csv.Error):
        raise PlacardryError("the table is not saved in UTF-8") from None
    for name in ("manual", "id", "part"):
        if name not in names:
            raise PlacardryError(f"the table has no column `{name}`")
    rows = [(_key(row), {name: _text(row[name]) for name in row if name}) for row in table]
    return Copy.of(path, data, rows)


def from_page(path: str, data: bytes, manual: str) -> Copy:
    """The copy that a `register.html` is."""
    from selectolax.lexbor import LexborHTMLParser

    rows: list[tuple[Key, Row]] = []
    for first in LexborHTMLParser(data.decode("utf-8", "replace")).css("tr > td[id]"):
        anchor, row = first.attributes.get("id") or "", first.parent
        cells = row.css("td") if row is not None else []
        if len(cells) < 6:
            continue
        _, _, published, written, source, home = cells[:6]
        file, _, line = home.text().strip().rpartition(":")
        shown = list(_values(published))
        said = {
            "shown": "; ".join(shown),
            "written": written.text().partition(", ")[2],
            "file": file,
            "line": line,
        }
        held = _behind(published.text(), shown)
        if not held.startswith(","):  # a comma leads in what an alarm guards
            said["condition"] = held
        cited = source.css_first("a")
        if cited is not None:
            said["document"] = (cited.attributes.get("href") or "").partition("#")[2]
            said["title"] = cited.text()
            said["place"] = source.text().removeprefix(cited.text()).removeprefix(", ")
        rows.append(((manual, anchor), {name: _text(value) for name, value in said.items()}))
    return Copy.of(path, data, rows)


def _values(cell: LexborNode) -> Iterator[str]:
    """The texts of the links at the head of a cell, whatever they lead to."""
    between = "·"
    for node in cell.traverse(include_text=True):
        if ", " in between:  # a comma leads in what an alarm guards
            return
        if node.tag == "a" and "·" in between:
            yield node.text()
            between = ""
        elif node.tag == "-text" and node.parent is not None and node.parent.tag != "a":
            between += node.text_content or ""


def _behind(text: str, words: Iterable[str]) -> str:
    """What stands in a text behind the last of some words: there a figure's condition is said."""
    at = 0
    for one in words:
        at = max(text.find(one, at), at) + len(one)
    return text[at:]


def _key(row: Mapping[str, Any]) -> Key:
    return row["manual"], f"{row['id']}.{row['part']}" if row["part"] else row["id"]


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, dict | list):
        return json.dumps(value, sort_keys=True, ensure_ascii=False)
    return " ".join(str(value).split())
