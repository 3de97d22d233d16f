"""The due calculator's page: its data are figures of the register, and the audit sees them."""

from __future__ import annotations

import json
import re
from typing import Any
from xml.etree.ElementTree import tostring

import pytest

from placardry import audit, data
from placardry.audit import due_marks
from placardry.due import STATES
from placardry.pages import element_tree, pages
from placardry.schedule import MISSING
from placardry.site.due_page import BESIDE, PAGE, due_page
from placardry.wording import LANGUAGES
from placardry.wording.phrases import Speaker
from placardry.wording.words import words
from tests.architecture.source import PACKAGE
from tests.manuals import RICH, manual_of, speaker_of

FOLDER = "tern-eu"


def page_of(speaker: Speaker) -> str:
    return due_page(speaker)[PAGE].decode()


def data_of(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json"[^>]*>(.*?)</script>', page)
    assert found is not None
    whole: dict[str, Any] = json.loads(found[1])
    return whole


def registers() -> audit.Registers:
    speaker = speaker_of()
    made = data.register_json(speaker.manual.settings, None, data.register(speaker, {}))
    return audit.registers_of({f"{FOLDER}/register.json": made})


def judged(page: str) -> audit.Audited:
    return audit.audit_file(f"{FOLDER}/{PAGE}", page.encode(), registers())


def test_the_page_has_all_that_it_asks_for() -> None:
    made = due_page(speaker_of())
    assert set(made) == {PAGE, *BESIDE}
    asked = set(re.findall(r'(?:src|href)="([^"#]+\.(?:js|css))"', made[PAGE].decode()))
    assert asked == set(BESIDE)
    assert all(made.values())


def test_its_links_lead_into_the_manual() -> None:
    speaker = speaker_of()
    made = {page.path.removesuffix(".md") + ".html" for page in pages(speaker)}
    links = re.findall(r'<a href="([^"#]+)(?:#([^"]+))?"', page_of(speaker))
    assert {path for path, _ in links} <= made
    assert {"index.html", "schedule.html", "procedures/too-hot.html"} <= {one for one, _ in links}
    anchors = {anchor for path, anchor in links if path == "register.html"}
    assert anchors <= {figure.anchor for figure in speaker.figures.values()}
    assert "plugs.hours" in anchors


def test_every_interval_stands_in_it_with_its_row_of_the_register() -> None:
    task = data_of(page_of(speaker_of()))["tasks"][0]
    assert task["hours"] == {
        "points": [{"figure": "plugs.hours-1", "exact": "5/1", "unit": "h"}],
        "every": {"figure": "plugs.hours", "exact": "50/1", "unit": "h"},
    }
    assert task["tolerance"] == {"figure": "plugs.tolerance", "exact": "2/1", "unit": "h"}
    assert task["severe"]["hours"]["every"]["figure"] == "plugs.severe"
    assert task["hardUse"] == "plugs"


def test_the_audit_traces_what_the_script_computes_with() -> None:
    found = judged(page_of(speaker_of()))
    assert found.told == ()
    # Five intervals as data, and the same as they are read.
    assert found.quantities == {"pages": 10}


@pytest.mark.parametrize(
    ("before", "after", "rule"),
    [
        ('"exact": "50/1"', '"exact": "60/1"', "figure-with-wrong-value"),
        ('"exact": "50/1"', '"exact": "fifty"', "figure-with-wrong-value"),
        ('"12/1", "figure": "plugs.calendar", "unit": "month"',
         '"12/1", "figure": "plugs.calendar", "unit": "year"', "figure-with-wrong-value"),
        ('"figure": "plugs.severe"', '"figure": "plugs.seven"', "figure-not-in-register"),
        ('{"book"', '{"book', "malformed-output"),
    ],
)  # fmt: skip
def test_the_audit_sees_a_wrong_figure_in_the_data(before: str, after: str, rule: str) -> None:
    page = page_of(speaker_of())
    assert page.count(before) == 1
    (found,) = judged(page.replace(before, after)).told
    line = page[: page.index(before)].count("\n") + 1
    assert (found.finding.rule.name, found.finding.span.line) == (rule, line)


def forged(**changed: Any) -> list[tuple[str, str, str, str]]:
    """What the audit says of a page whose first task was changed."""
    page = page_of(speaker_of())
    whole = data_of(page)
    whole["tasks"][0] |= changed
    told = judged(with_data(page, whole)).told
    return [(one.finding.rule.name, one.figure, one.found, one.expected) for one in told]


def with_data(page: str, whole: Any) -> str:
    start = page.index(">", page.index('<script type="application/json"')) + 1
    end = page.index("</script>", start)
    return page[:start] + json.dumps(whole) + page[end:]


WRONG = "figure-with-wrong-value"


def test_the_audit_misses_an_interval_that_was_taken_out() -> None:
    assert forged(tolerance=None) == [(WRONG, "plugs.tolerance", "nothing", "2 h")]


def test_the_audit_misses_a_task_that_was_taken_out() -> None:
    page = page_of(speaker_of())
    told = judged(with_data(page, {**data_of(page), "tasks": []})).told
    found = {(one.figure, one.found) for one in told}
    parts = ("hours", "hours-1", "calendar", "tolerance", "severe")
    assert found == {(f"plugs.{part}", "nothing") for part in parts}


def test_the_audit_sees_a_task_that_stands_twice() -> None:
    page = page_of(speaker_of())
    whole = data_of(page)
    whole["tasks"] *= 2
    found = [(one.figure, one.found) for one in judged(with_data(page, whole)).told]
    assert ("plugs.tolerance", "2 times") in found


def test_the_audit_sees_another_figure_where_one_belongs() -> None:
    other = {"figure": "plugs.hours", "exact": "50/1", "unit": "h"}
    assert forged(tolerance=other) == [
        (WRONG, "plugs.tolerance", "plugs.hours 50/1 h", "2 h"),
    ]


def test_the_audit_sees_an_interval_without_identity() -> None:
    assert forged(tolerance={"exact": "2/1", "unit": "h"}) == [
        (WRONG, "plugs.tolerance", "no figure 2/1 h", "2 h"),
    ]
    (found,) = forged(life={"exact": "9/1", "unit": "year"})
    assert found == (WRONG, "plugs.life", "no figure 9/1 year", "")


MARKS = """\
document: marl-manual
tasks:
  yearly:
    {title: Look at it, about: All., calendar: every 12 months, end-of-month: yes, source: page 3}
  knock: {title: Look for cracks, about: All., after: [a hard landing, a fall], source: page 3}
"""


def schedule_differs(task: str, **changed: Any) -> list[tuple[str, str, str]]:
    """What the audit says of a folder in which the data of a task were changed behind its back."""
    speaker = Speaker(manual_of({**RICH, "procedures/more2.yaml": MARKS}))
    page = page_of(speaker)
    whole = data_of(page)
    for one in whole["tasks"]:
        if one["id"] == task:
            one |= changed
    (rows,) = (made for made in pages(speaker) if made.path == "schedule.md")
    shown = tostring(element_tree(rows.markdown), encoding="unicode", method="html")
    files = {PAGE: with_data(page, whole).encode(), "schedule.html": shown.encode()}
    told = list(due_marks.judged(f"{FOLDER}/", files))
    assert {one.finding.rule.name for one in told} <= {"due-differs-from-schedule"}
    assert {one.finding.span.path for one in told} <= {f"{FOLDER}/{PAGE}"}
    return [(one.figure, one.found, one.expected) for one in told]


def test_the_calculator_and_the_schedule_say_the_same() -> None:
    assert schedule_differs("") == []


@pytest.mark.parametrize(
    ("task", "changed", "found", "expected"),
    [
        ("yearly", {"endOfMonth": False}, "deducted", "deducted end-of-month"),
        ("yearly", {"deducted": False}, "end-of-month not-deducted", "deducted end-of-month"),
        ("yearly", {"each": True}, "deducted each end-of-month", "deducted end-of-month"),
        ("knock", {"after": False}, "deducted event event", "after deducted event event"),
        ("knock", {"events": ["knock-1"]}, "after deducted event", "after deducted event event"),
        ("knock", {"events": ["no", "such"]}, "after deducted", "after deducted event event"),
        ("plugs", {"hardUse": None}, "deducted severe", "deducted hard-use severe"),
    ],
)
def test_the_audit_sees_what_the_calculator_takes_otherwise(
    task: str, changed: dict[str, Any], found: str, expected: str
) -> None:
    assert schedule_differs(task, **changed) == [(task, found, expected)]


def test_the_audit_misses_a_task_without_figures() -> None:
    assert schedule_differs("knock", id="knack") == [
        ("knack", "after deducted event event", "no such task"),
        ("knock", "no such task", "after deducted event event"),
    ]


@pytest.mark.parametrize("language", LANGUAGES)
def test_it_has_words_for_all_that_is_said_and_no_others(language: str) -> None:
    scripts = "".join(
        (PACKAGE / "site" / name).read_text()
        for name in (*BESIDE.values(), "templates/due.html.j2")
    )
    said = set(re.findall(r"""(?:said|word)\(\s*"([a-z-]+)\"""", scripts))
    # Labels and hints are arguments of a macro, alternatives stand behind a condition.
    said |= {
        one for one in re.findall(r'"([a-z-]+)"', scripts) if f"due.{one}" in words("en").table
    }
    said |= {*STATES, *(f"missing-{one}" for one in MISSING if one != "wear"), "wear"}
    said |= {f"bad-{one}" for one in ("hours", "negative", "ambiguous", "date")}
    said |= {"bad-later-hours", "bad-later-date", "link", "severe"}
    table = {key for key in words(language).table if key.startswith("due.")}
    assert table == {f"due.{one}" for one in said}


def test_a_manual_without_a_schedule_has_no_such_page() -> None:
    text = RICH["procedures/more.yaml"]
    bare = text[: text.index("tasks:")] + text[text.index("faults:") :]
    assert due_page(Speaker(manual_of({**RICH, "procedures/more.yaml": bare}))) == {}


def test_it_says_that_it_is_a_draft_and_replaces_nothing() -> None:
    page = page_of(speaker_of())
    assert "DRAFT" in page
    assert "It does not replace the log book" in page
    assert "come first" in page


def test_what_is_asked_of_several_tasks_is_asked_once() -> None:
    more = """\
document: marl-manual
tasks:
  knock: {title: Look for cracks, about: All., after: [a hard landing, a fall], source: page 3}
  tyres: {title: Look at the tyres, about: All., after: [a hard landing], source: page 3}
"""
    whole = data_of(page_of(Speaker(manual_of({**RICH, "procedures/more2.yaml": more}))))
    events = {task["id"]: task["events"] for task in whole["tasks"]}
    assert events == {"plugs": [], "knock": ["knock-1", "knock-2"], "tyres": ["knock-1"]}
