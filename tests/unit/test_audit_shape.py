"""Data files of another shape: told in plain words, and once."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from placardry import audit
from placardry.audit import apart, card_answers, due_marks, registers
from placardry.audit.past import NAME
from placardry.codes import ALPHABET
from tests.unit.test_audit_past import folder

PYTHON = ("NoneType", "object", "int(", "list", "dict", "Fraction", "subscript", "attribute")
PAGE = "<html lang='en'><body><p>At most <a href='register.html#coolant.red'>88 °C</a> at idle</p>"
Forge = Callable[[dict[str, Any]], Any]


def forged(path: str, forge: Forge) -> dict[str, bytes]:
    """A manual that was handed over alone, one data file of which has another shape."""
    files = folder(lambda text: text, alone=True)
    whole = json.loads(files[path])
    data = forge(whole) or whole
    files[path] = json.dumps(data).encode()
    if path == "register.json":
        files["limits.html"] = PAGE.encode()
    return files


def first(name: str, **changes: Any) -> Forge:
    """Other values in the first row of a list."""
    return lambda whole: whole[name][0].update(changes)


@pytest.mark.parametrize(
    ("path", "forge"),
    [
        ("register.json", lambda whole: [whole]),
        ("register.json", lambda whole: whole.update(figures=None)),
        ("register.json", lambda whole: whole.update(documents=[3])),
        ("register.json", first("figures", exact={"high": "1/0", "unit": "degC"})),
        ("register.json", first("figures", shown=["ab"])),
        ("register.json", first("figures", source=["x"])),
        ("register.json", first("figures", used_in="x")),
        (NAME, lambda whole: whole.update(editions=3)),
        (NAME, first("editions", summary=3)),
        (NAME, first("figures", shown=[3])),
        (NAME, first("cards", code=3)),
        (NAME, first("cards", editions=3)),
    ],
)
def test_another_shape_is_told_once_in_plain_words(path: str, forge: Forge) -> None:
    (one,) = audit.audit(forged(path, forge)).told
    assert one.finding.span.path == path
    assert "cannot be read: " in one.finding.message
    assert not any(word in one.finding.message for word in PYTHON)


def test_without_a_register_no_page_is_blamed() -> None:
    files = forged("register.json", lambda _: None)
    del files["register.json"]
    assert [one.finding.span.path for one in audit.audit(files).told] == ["register.json"]


HEAD = "manual,machine,id,part,shown\n"
ROW = "tern-eu,tern,coolant,red,88 °C\n"


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ((HEAD + ROW).replace(",", ";").encode(), "the table has no column `manual`"),
        ((HEAD + ROW).encode("utf-16"), "the table is not saved in UTF-8"),
    ],
)
def test_a_table_saved_otherwise_says_how_to_save_it(table: bytes, said: str) -> None:
    files = {**folder(lambda text: text, alone=True), "register.csv": table}
    (one,) = registers.read(files).told
    assert one.finding.message == said
    assert "commas in UTF-8" in one.finding.mend


def test_a_row_that_stands_twice_is_told() -> None:
    """The one below it is not taken for true, nor the table beside it blamed."""

    def double(whole: dict[str, Any]) -> None:
        row = json.loads(json.dumps(whole["figures"][0]).replace("88", "95"))
        whole["figures"].append(row)

    table = (HEAD + ROW).encode()
    made = {**forged("register.json", double), "register.csv": table}
    (one,) = registers.read(made).told
    assert (one.finding.span.path, one.figure) == ("register.json", "coolant.red")
    assert "twice" in one.finding.message
    twice = (HEAD + ROW + ROW.replace("88", "95")).encode()
    made = {**folder(lambda text: text, alone=True), "register.csv": twice}
    (one,) = registers.read(made).told
    assert (one.finding.span.path, one.figure) == ("register.csv", "coolant.red")


ROWS = (
    '<tr data-code="V4JF-PWJ3" data-urgent><td>V4JF-PWJ3</td><td lang="en"><strong>Superseded by '
    "edition 2 of 2026-02-01. Replace it.</strong><p>CMYH-H7RX</p></td></tr>"
    '<tr data-code="CMYH-H7RX"><td>CMYH-H7RX</td><td lang="en"><strong>Current as of edition 2 of '
    "2026-02-01.</strong></td></tr>"
)


@pytest.mark.parametrize("at", [0, 9])
def test_two_codes_of_one_card_are_told_by_name(at: int) -> None:
    def double(whole: dict[str, Any]) -> None:
        row = {**whole["cards"][0], "code": "V4JF-PWJ3", "editions": [1, 2]}
        whole["cards"].insert(at, row)

    made = {**forged(NAME, double), "check.html": ROWS.encode()}
    found = registers.read(made)
    (one,) = found.told
    assert "V4JF-PWJ3" in one.finding.message
    assert "CMYH-H7RX" in one.finding.message
    assert found.trusted[""].history.code(("tern-eu", "limits")) == "CMYH-H7RX"


def test_a_code_that_the_card_check_knows_as_replaced_is_not_the_latest() -> None:
    made = {
        **folder(lambda text: text.replace("CMYH-H7RX", "V4JF-PWJ3"), alone=True),
        "check.html": ROWS.encode(),
    }
    (one,) = registers.read(made).told
    assert (one.found, one.expected) == ("V4JF-PWJ3", "CMYH-H7RX")


def test_files_and_bounds_are_told_by_what_differs() -> None:
    assert apart.differing("used_in", "a.html b.html", "a.html") == ("`b.html`", "no `b.html`")
    bare = "[null, null, null, null]"
    assert apart.differing("box", bare, '["idle", null, null, null]') == ("none", "`id idle`")
    assert apart.differing("condition", "", "at idle") == ("none", "`at idle`")


def check(answer: str, alphabet: str = ALPHABET) -> bytes:
    form = f'<form id="check" data-alphabet="{alphabet}" data-length="8"'
    form += ' data-read-as="B8 G6 UV Z2"></form>'
    return f'{form}<template id="never"><p lang="en">{answer}</p></template>'.encode()


def test_the_answer_for_an_unknown_code_is_the_same_in_all_copies() -> None:
    files = {f"{name}/check.html": check("do not fly by it") for name in ("one", "two", "three")}
    assert list(card_answers.judged(files)) == []
    (one,) = card_answers.judged({**files, "two/check.html": check("it is good")})
    assert (one.finding.span.path, one.found) == ("two/check.html", "it is good")
    (one,) = card_answers.judged({"check.html": check("no", "0" + ALPHABET)})
    assert one.expected == ALPHABET


PLAN = (
    '<table><tr><td id="wash" data-due="deducted each">Wash it</td><td></td><td></td>'
    "<td>owner</td></tr></table>"
)
WORK = (
    '<script type="application/json" id="data">'
    '{"tasks": [{"id": "wash", "each": true, "deducted": true}]}</script>'
    '<article id="work-wash"><h3>Wash it</h3><p class="who">By: owner</p></article>'
)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("<script", '<script id="data"></script><script', "2 elements"),
        ("Wash it", "Oil it", "Oil it"),
        ("By: owner", "By: dealer", "dealer"),
    ],
)
def test_works_are_shown_as_the_schedule_says(old: str, new: str, said: str) -> None:
    files = {"schedule.html": PLAN.encode(), "due.html": WORK.encode()}
    assert list(due_marks.judged("", files)) == []
    (one,) = due_marks.judged("", {**files, "due.html": WORK.replace(old, new, 1).encode()})
    assert said in one.finding.message


def test_a_wrong_margin_is_told_with_the_right_one() -> None:
    (one,) = registers.read(forged("register.json", first("figures", margin={"degC": "9"}))).told
    assert (one.found, one.expected) == ("`9` degC as the margin of its high", "0 degC")


def test_a_former_value_is_told_in_the_unit_that_differs() -> None:
    """The other unit may be the forged one; it is said in which edition."""
    files = folder(lambda text: text, alone=True)
    register, past = (json.loads(files[path]) for path in ("register.json", NAME))
    (row,) = register["figures"]
    row["published"]["degF"], row["shown"]["degF"] = {"high": "190"}, "190 °F"
    row["margin"] = {}
    (latest,) = (one for one in past["figures"] if 2 in one["editions"])
    latest["shown"] = {"degC": "88", "degF": "180"}
    made = {"register.json": register, NAME: past}
    (one,) = registers.read(
        {**files, **{path: json.dumps(whole).encode() for path, whole in made.items()}}
    ).told
    assert (one.found, one.expected) == ("180 °F at idle", "190 °F at idle")
    assert "in edition 2" in one.finding.message
