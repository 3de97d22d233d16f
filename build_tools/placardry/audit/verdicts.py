"""The rows of the card check against each other: what is said of a code fits how it stands.

The words are known in no language. Codes that stand alike are told of in the same words, and
others in other words; most rows of a page tell which.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from placardry.audit.past import History, Key
from placardry.audit.told import PAST, Told, line_at, tell
from placardry.finding import Span

if TYPE_CHECKING:
    from selectolax.lexbor import LexborHTMLParser, LexborNode

_MEND = "build the manual again; what was issued is never edited"
_CODE = re.compile(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b")
_NUMBER = re.compile(r"[0-9]+(?:-[0-9]+)*")


@dataclass(frozen=True, slots=True)
class _Row:
    """What is told of a code, and how it stands by the editions.

    Attributes:
        begins: the words of the verdict before its first number
        ends: the last sentence of the verdict, where another card holds: when to replace it
        next: the codes in the last paragraph
        now: the code of the card in the latest edition, empty if it is not in it
    """

    code: str
    line: int
    card: Key
    standing: str
    language: str
    name: str
    begins: str
    ends: str
    is_urgent: bool
    next: tuple[str, ...]
    now: str


def judged(path: str, data: bytes, page: LexborHTMLParser, history: History) -> Iterator[Told]:
    """What rows say that does not fit how their codes stand."""
    rows = [
        found
        for one in page.css("tr[data-code]")
        if (found := _read(one, data, history)) is not None
    ]
    for row in rows:
        for says, stands, right in _of_itself(row):
            yield _told(path, row, says, stands, right)
    pairs = [((row.language, row.standing), row.begins) for row in rows]
    for row, usual in zip(rows, _odd(pairs), strict=True):
        if usual is not None:
            says = f"is {row.standing}, but told of as others are not"
            yield _told(path, row, says, row.begins, usual)
    replaced = [row for row in rows if row.ends]
    pairs = [((row.language, str(row.is_urgent)), row.ends) for row in replaced]
    counted = Counter(pairs)
    for row, usual in zip(replaced, _odd(pairs), strict=True):
        if usual is None:
            continue
        marked, bare = (counted[(row.language, str(one)), row.ends] for one in (True, False))
        if not row.is_urgent and marked >= bare:
            says = "lacks the mark `data-urgent`, and says what those say that have it"
            yield _told(path, row, says, row.ends, "data-urgent")
        elif not row.is_urgent or usual or marked < bare:
            says = f"is {'' if row.is_urgent else 'not '}urgent, but told of as others are not"
            yield _told(path, row, says, row.ends, usual)
    names = [((row.language, "/".join(row.card)), row.name) for row in rows]
    for row, usual in zip(rows, _odd(names, may_share=True), strict=True):
        if usual is not None:
            says = f"is of the card `{row.card[1]}`, which has another name in other rows"
            yield _told(path, row, says, row.name, usual)


def _read(row: LexborNode, data: bytes, history: History) -> _Row | None:
    """A row as it is read; None of a code that no edition had, which is told of elsewhere."""
    code = row.attributes.get("data-code") or ""
    held, verdict, cells = history.held_by(code), row.css_first("strong"), row.css("td")
    if held is None or verdict is None or not cells:
        return None
    said, now = " ".join(verdict.text().split()), history.code(held[0])
    paragraphs = cells[-1].css("p")
    last = paragraphs[-1].text() if paragraphs else cells[-1].text()
    return _Row(
        code,
        line_at(data, data.find(f'data-code="{code}"'.encode())),
        held[0],
        _standing(history, code, *held),
        cells[-1].attributes.get("lang") or "",
        " ".join(cells[1].text().split()) if len(cells) > 2 else "",
        _NUMBER.split(said)[0].strip(),
        re.split(r"[.:] ", _NUMBER.split(said)[-1])[-1] if now not in ("", code) else "",
        "data-urgent" in row.attributes,
        tuple(_CODE.findall(last)),
        now,
    )


def _standing(history: History, code: str, card: Key, held: tuple[int, ...]) -> str:
    """How a code stands today."""
    now = history.code(card)
    if now == code:
        return "current"
    if not any(one.number in held for one in history.standing):
        return "withdrawn"
    return "superseded" if now else "dropped"


def _of_itself(row: _Row) -> Iterator[tuple[str, str, str]]:
    """What is wrong of a row whatever the others say: words, what is found, what is right."""
    if row.is_urgent and row.standing == "current":
        yield "is current, and marked as urgent", "urgent", ""
    if not row.is_urgent and row.standing in ("withdrawn", "dropped"):
        yield f"is {row.standing}, and not marked as urgent", "", "urgent"
    if row.now not in ("", row.code) and set(row.next) != {row.now}:
        found = ", ".join(row.next)
        yield f"is replaced by `{row.now}`, not by `{found or 'nothing'}`", found, row.now


def _odd(
    pairs: Iterable[tuple[tuple[str, str], str]], *, may_share: bool = False
) -> Iterator[str | None]:
    """For each (kind, words) the words that are right, None where these are.

    The words of a kind are those that most have; no two kinds of a language share them unless
    they may.
    """
    pairs = list(pairs)
    counted = Counter(pairs)
    of_words = Counter((kind[0], words) for kind, words in pairs)
    usual: dict[tuple[str, str], str] = {}
    # Of as many, those that others have less often; the last of the highest stays.
    for kind, words in sorted(
        counted, key=lambda one: (counted[one], -of_words[one[0][0], one[1]])
    ):
        usual[kind] = words
    for kind, words in pairs:
        others = [counted[of, words] for of in usual if of[0] == kind[0] and of != kind]
        if words != usual[kind]:
            yield usual[kind]
        elif not may_share and max(others, default=0) >= counted[kind, words]:
            yield ""
        else:
            yield None


def _told(path: str, row: _Row, says: str, found: str, expected: str) -> Told:
    span = Span(path, row.line, 1, row.line, 1)
    return tell(PAST, span, f"`{row.code}` {says}: `{found}`", _MEND, "", found, expected)
