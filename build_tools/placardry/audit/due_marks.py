"""What the due calculator computes with that is no figure, against the rows of the schedule.

Each row of the schedule's page bears marks of its task: `<td id="service" data-due="deducted">`.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from placardry.audit.page_data import DUE, REBUILD, held, tasks_in
from placardry.audit.told import SCHEDULE, Told, on_line, tell
from placardry.finding import Span

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

_ROW = re.compile(r"<td\b([^>]*\bdata-due=[^>]*)>")
_ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')
_FLAGS = {"deducted": ("deducted", "not-deducted"), "endOfMonth": ("end-of-month", ""),
          "each": ("each", ""), "after": ("after", "")}  # fmt: skip


def judged(start: str, files: Mapping[str, bytes]) -> Iterator[Told]:
    """Each task of which the calculator's data say other than the schedule; `start` its folder."""
    if DUE not in files or "schedule.html" not in files:
        return
    page = files[DUE].decode("utf-8", "replace")
    try:
        wholes = list(held(page))
    except ValueError:
        return  # told of where the page itself is judged
    found: dict[str, str] = {}
    for task in (task for whole in wholes for task in tasks_in(whole)):
        if isinstance(task, dict):
            found.setdefault(str(task.get("id")), _marks(task, page))
    expected = dict(_rows(files["schedule.html"].decode("utf-8", "replace")))
    at = page.find('<script type="application/json"')
    line = page.count("\n", 0, max(at, 0)) + 1
    for name in sorted({*found, *expected}):
        one, other = (said.get(name, "no such task") for said in (found, expected))
        if one != other:
            message = f"the data of the page say of `{name}`: {one}; the schedule says: {other}"
            span = on_line(start + DUE, line)
            yield tell(SCHEDULE, span, message, REBUILD, name, one, other)
    yield from _shown(start, files)


def _shown(start: str, files: Mapping[str, bytes]) -> Iterator[Told]:
    """What a reader sees of each work, and which data the script of the page reads."""
    from selectolax.lexbor import LexborHTMLParser

    page, plan = (
        LexborHTMLParser(files[name].decode("utf-8", "replace")) for name in (DUE, "schedule.html")
    )
    span = Span(start + DUE)
    count = len(page.css("#data"))
    if count != 1:
        message = f"the page has {count} elements named `data`; its script reads the first alone"
        yield tell(SCHEDULE, span, message, REBUILD, "", str(count), "1")
    for row in plan.css("tr"):
        cells = row.css("td")
        name = cells[0].attributes.get("id") if cells else None
        work = page.css_first(f'article[id="work-{name}"]') if name else None
        if work is None or len(cells) < 4:
            continue
        head, who = work.css_first("h3"), work.css_first("p.who")
        by = _words(who).partition(" · ")[0].partition(": ")[2]
        pairs = (
            ("the title", _words(head), _words(cells[0])),
            ("by whom it is done", by, _words(cells[3])),
        )
        for what, found, expected in pairs:
            if found != expected:
                message = f"the page says of `{name}`, as {what}, `{found}`"
                message += f"; the schedule says `{expected}`"
                yield tell(SCHEDULE, span, message, REBUILD, name or "", found, expected)


def _words(node: LexborNode | None) -> str:
    return " ".join(node.text().split()) if node is not None else ""


def _rows(page: str) -> Iterator[tuple[str, str]]:
    for row in _ROW.finditer(page):
        said = {name: html.unescape(value) for name, value in _ATTRIBUTE.findall(row[1])}
        yield said.get("id", ""), " ".join(sorted(said.get("data-due", "").split()))


def _marks(task: Mapping[str, Any], page: str) -> str:
    """The marks that the row of a task bears whose data are these.

    An event and a hard use count if the page asks for them.
    """
    said = [words[not task.get(key)] for key, words in _FLAGS.items()]
    events = task.get("events")
    asked = {f"event:{key}" for key in events} if isinstance(events, list) else set()
    said += ["event" for key in asked if f'name="{html.escape(key)}"' in page]
    hard = html.escape(f"severe:{task.get('hardUse')}")
    said += ["severe"] * bool(task.get("severe")) + ["hard-use"] * (f'name="{hard}"' in page)
    return " ".join(sorted(filter(None, said)))
