"""The copies of the register (JSON, table and page; of a manual and of all) against each other.

What most copies say is taken for true; only the copy that stands alone is reported, and the
figures of the other files are judged by what the rest agree on.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from placardry.audit.told import DISAGREE, SOURCE, Told, tell
from placardry.finding import Span

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

Row = Mapping[str, str]
Key = tuple[str, str]  # manual and anchor
_OF_SOURCE = ("document", "edition", "place")
Says = Callable[[str, str], bool]
"""Whether a page of a manual holds a text."""


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy: its rows by manual and anchor, each with what it says of the figure as text."""

    path: str
    data: bytes
    rows: Mapping[Key, Row]

    def line(self, key: Key) -> int:
        """The line on which the row of a figure stands; 1 where it cannot be told."""
        id, _, part = key[1].partition(".")
        text = self.data.decode("utf-8", "replace")
        if self.path.endswith(".json"):
            said = f'"id": {json.dumps(id)},\\s*"part": {json.dumps(part or None)},'
            mark = f'{said}\\s*"manual": {json.dumps(key[0])}'
        elif self.path.endswith(".csv"):
            mark = f"(?m)^{re.escape(key[0])},[^,\\n]*,{re.escape(id)},{re.escape(part)},"
        else:
            mark = f'<td id="{re.escape(key[1])}"'
        found = re.search(mark, text)
        return text.count("\n", 0, found.start()) + 1 if found else 1


def from_json(path: str, data: bytes) -> Copy:
    """The copy that a `register.json` is; its shape was checked when it was read."""
    rows = {}
    for row in json.loads(data)["figures"]:
        source = row["source"] or {}
        condition = row["condition"] or {}
        whole = {name: value for name, value in row.items() if name not in ("source", "condition")}
        whole |= {"condition": condition.get("text"), "shown": "; ".join(row["shown"].values())}
        whole["box"] = [condition.get(name) for name in ("id", "states", "spans", "within")]
        whole |= {name: source.get(name) for name in _OF_SOURCE}
        whole["used_in"] = " ".join(row["used_in"])
        rows[_key(row)] = {name: _text(value) for name, value in whole.items()}
    return Copy(path, data, rows)


def from_csv(path: str, data: bytes) -> Copy:
    """The copy that a `register.csv` is.

    Raises:
        KeyError: a column is missing.
    """
    table = csv.DictReader(io.StringIO(data.decode("utf-8", "replace"), newline=""))
    rows = {_key(row): {name: _text(row[name]) for name in row if name} for row in table}
    return Copy(path, data, rows)


def from_page(path: str, data: bytes, manual: str) -> Copy:
    """The copy that a `register.html` is."""
    from selectolax.lexbor import LexborHTMLParser

    rows = {}
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
        rows[manual, anchor] = {name: _text(value) for name, value in said.items()}
    return Copy(path, data, rows)


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


def disagreements(
    copies: Iterable[Copy],
    doubted: frozenset[tuple[str, Key]],
    cited: Mapping[Key, Row],
    says: Says,
) -> tuple[tuple[Told, ...], Mapping[Key, Row]]:
    """What is said of copies that stand alone, and what the rest say instead, by figure.

    Args:
        copies: those that can be read
        doubted: paths and figures that contradict themselves: of two copies the other is right
        cited: what is known of the documents cited, by manual and id
        says: whether a page of a manual holds a text: of two copies that which it holds is right
    """
    known = [(copy, {manual for manual, _ in copy.rows}) for copy in copies]
    told: list[Told] = []
    agreed: dict[Key, dict[str, str]] = {}
    for key in sorted({key for copy, _ in known for key in copy.rows}):
        holding = [copy for copy, manuals in known if key[0] in manuals]
        told += _lacking(key, holding)
        said = [(copy, copy.rows[key]) for copy in holding if key in copy.rows]
        fields = _by_clearness([*said, *_of_document(key, said, cited)])
        odd = {copy.path for copy in holding if (copy.path, key) in doubted}
        for name, values in fields:
            sound = [one for one in values if one[0].path not in odd] or values
            right = _most(sound, partial(says, key[0]))
            agreed.setdefault(key, {})[name] = right[0][1]
            strays = [one for one in values if one[1] != right[0][1] and one[0].path]
            odd |= {copy.path for copy, _ in strays}
            is_open = 2 * len(right) == len(sound) and not says(key[0], right[0][1])
            told += (_odd(copy, key, name, value, right, is_open=is_open) for copy, value in strays)
    return tuple(told), agreed


def _of_document(
    key: Key, said: list[tuple[Copy, Row]], cited: Mapping[Key, Row]
) -> Iterator[tuple[Copy, Row]]:
    """What is known of the document of a figure, as one more copy."""
    documents = Counter(row["document"] for _, row in said if row.get("document"))
    if documents:
        row = cited.get((key[0], documents.most_common(1)[0][0]), {})
        yield Copy("", b"", {}), {name: row[name] for name in ("title", "edition") if name in row}


def _lacking(key: Key, holding: list[Copy]) -> Iterator[Told]:
    having = [copy for copy in holding if key in copy.rows]
    lacking = [copy for copy in holding if key not in copy.rows]
    few, says = (lacking, "lacks") if len(lacking) <= len(having) else (having, "alone has")
    for copy in few:
        line = copy.line(key) if says == "alone has" else 1
        message = f"this register {says} `{key[1]}` of `{key[0]}`; the copies beside it differ"
        yield tell(DISAGREE, Span(copy.path, line, 1, line, 1), message, _MEND, key[1])


Values = list[tuple[Copy, str]]


def _by_clearness(said: list[tuple[Copy, Row]]) -> list[tuple[str, Values]]:
    """The names of what copies differ in, with each value; what most copies give comes first."""
    names = sorted({name for _, row in said for name in row})
    given = [(name, [(copy, row[name]) for copy, row in said if name in row]) for name in names]
    differing = [one for one in given if len({value for _, value in one[1]}) > 1]
    return sorted(differing, key=lambda one: -len(one[1]))


def _most(values: Values, is_said: Callable[[str], bool]) -> Values:
    """The copies that are right: most of them; of as many, those whose text a page holds.

    Where nothing tells, those of one side, and none of them has more on its side than the other.
    """
    counted = Counter(value for _, value in values).most_common()
    best = [value for value, count in counted if count == counted[0][1]]
    right = best[0] if len(best) == 1 else next(filter(is_said, best), best[0])
    return [one for one in values if one[1] == right]


_MEND = "build the manual again; the register is not edited by hand"


def _odd(copy: Copy, key: Key, name: str, found: str, right: Values, *, is_open: bool) -> Told:
    line = copy.line(key)
    rule = SOURCE if name in (*_OF_SOURCE, "title") else DISAGREE
    expected = right[0][1]
    beside = " and ".join(one.path or "the sources" for one, _ in right)
    message = f"this register gives `{_short(found)}` as the {name} of `{key[1]}` ({key[0]})"
    message += f"; `{_short(expected)}` stands in {beside}"
    message += "; nothing tells which is right" if is_open else ""
    return tell(rule, Span(copy.path, line, 1, line, 1), message, _MEND, key[1], found, expected)


def _short(text: str) -> str:
    return text if len(text) <= 80 else text[:79] + "…"
