"""The copies of the register (JSON, table and page; of a manual and of all) against each other.

What most copies say is taken for true; only the copy that stands alone is reported, and the
figures of the other files are judged by what the rest agree on.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from placardry.audit import apart
from placardry.audit.told import DISAGREE, SOURCE, Told, on_line, tell

Row = Mapping[str, str]
Key = tuple[str, str]  # manual and anchor
OF_SOURCE = ("document", "edition", "place")
Says = Callable[[str, str], bool]
"""Whether a page of a manual holds a text."""


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy: its rows by manual and anchor, each with what it says of the figure as text.

    Of a figure that stands `twice` it has the first row.
    """

    path: str
    data: bytes
    rows: Mapping[Key, Row]
    twice: frozenset[Key] = frozenset()

    @classmethod
    def of(cls, path: str, data: bytes, said: Iterable[tuple[Key, Row]]) -> Copy:
        """The copy that has these rows."""
        rows: dict[Key, Row] = {}
        twice = {key for key, row in said if rows.setdefault(key, row) is not row}
        return cls(path, data, rows, frozenset(twice))

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
        twice = {copy.path for copy in holding if key in copy.twice}
        odd = twice | {copy.path for copy in holding if (copy.path, key) in doubted}
        told += (_twice(copy, key) for copy in holding if copy.path in twice)
        unconditioned: set[str] = set()
        for name, values in fields:
            sound = [one for one in values if one[0].path not in odd] or values
            right = _most(sound, partial(says, key[0]))
            agreed.setdefault(key, {})[name] = right[0][1]
            told_of = {"", *twice}
            strays = [one for one in values if one[1] != right[0][1] and one[0].path not in told_of]
            if name == "condition":
                unconditioned = {copy.path for copy, _ in strays}
            elif name == "box":  # its words are wrong already
                strays = [one for one in strays if one[0].path not in unconditioned]
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
        yield tell(DISAGREE, on_line(copy.path, line), message, _MEND, key[1])


def _twice(copy: Copy, key: Key) -> Told:
    line = copy.line(key)
    message = f"this register has `{key[1]}` ({key[0]}) twice, and nobody can tell which row holds"
    return tell(DISAGREE, on_line(copy.path, line), message, _MEND, key[1])


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
    rule = SOURCE if name in (*OF_SOURCE, "title") else DISAGREE
    expected = right[0][1]
    beside = " and ".join(one.path or "the sources" for one, _ in right)
    here, there = apart.differing(name, found, expected)
    message = f"this register gives {here} as {apart.NAMES.get(name, f'the {name}')} of `{key[1]}`"
    message += f" ({key[0]}); {there} stands in {beside}"
    message += "; nothing tells which is right" if is_open else ""
    return tell(rule, on_line(copy.path, line), message, _MEND, key[1], found, expected)
