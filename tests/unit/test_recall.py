"""Recall: who carries what, why, how urgent; and nothing of a person in any output."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placardry.book import Book
from placardry.cli import main
from placardry.files import write_tree
from placardry.notice import notices
from placardry.recall import Recall, as_json, as_text, recall
from placardry.standing import Issued, Standing
from tests.issued import edited, issue, prepared, start, twice

NEVER = "2222-2222"  # all signs of value nothing: sound, and of no card
HERON = b"""machines:
  heron: {name: Heron, model: Heron, airframe: frame, engine: marl, panel: tern-panel}
manuals:
  heron-eu: {machine: heron, market: eu, language: en}
"""


def _book(files: dict[str, bytes]) -> Book:
    book = prepared(files).book
    assert book is not None
    return book


@cache
def _twice() -> Book:
    return _book(twice())


def _codes(book: Book) -> dict[Standing, str]:
    return {one.standing: one.code for one in Issued(book).verdicts()}


def _judged(*rows: str, head: str = "serial,machine,cards") -> Recall:
    return recall(_twice(), "list.csv", "\n".join((head, *rows)).encode())


def test_a_tightened_limit_is_urgent_a_loosened_one_is_not() -> None:
    book = _twice()
    old = Issued(book).verdict(_codes(book)[Standing.SUPERSEDED])
    assert old.urgent
    assert (old.since, old.since_dated) == (2, "2026-03-01")
    assert next((one.figure, one.before, one.after, one.direction) for one in old.changes) == (
        "coolant.red", "90 degC", "89 degC", "tightened",
    )  # fmt: skip
    higher = _book(issue(edited(issue(start()), "7500 rpm", "7600 rpm"), "2026-03-01", "Higher."))
    loose = Issued(higher).verdict(_codes(higher)[Standing.SUPERSEDED])
    assert [one.direction for one in loose.changes] == ["loosened"]
    assert not loose.urgent


def test_aircraft_with_current_cards_are_not_recalled() -> None:
    code = _codes(_twice())[Standing.CURRENT]
    found = _judged(f"0001,tern,{code}")
    assert (found.aircraft, found.findings, found.checked) == ((), (), 1)


def test_empty_fields_at_the_end_are_none() -> None:
    code = _codes(_twice())[Standing.CURRENT]
    for head, row in (
        ("serial,machine,cards", f"0001,tern,{code},"),
        ("serial,machine,cards,,", f"0001,tern,{code}"),
    ):
        found = _judged(row, head=head)
        assert (found.aircraft, found.findings, found.checked) == ((), (), 1)
    found = _judged(f"0001,tern,{code},,Anna")
    assert [one.rule.name for one in found.findings] == ["bad-recall-row"]
    assert found.checked == 0


@pytest.mark.parametrize("start", [b"PK\x03\x04", b"\xd0\xcf\x11\xe0"])
def test_a_workbook_is_no_list(start: bytes) -> None:
    found = recall(_twice(), "list.xlsx", start + bytes(200))
    assert [one.message for one in found.findings] == ["the list is a workbook"]


def test_unknown_codes_and_bad_rows_are_found_with_their_lines() -> None:
    found = _judged(
        "0001,tern,2222-2223", f"0002,tern,{NEVER}", "0003,tern,", "0004", "0001,tern,x"
    )
    assert found.faults == 2
    assert "2 faults in the list: an aircraft may be missing" in as_text(found)
    said = [(one.span.line, one.rule.name) for one in found.findings]
    assert said == [
        (2, "unknown-card-code"),
        (3, "unknown-card-code"),
        (4, "bad-recall-row"),
        (5, "bad-recall-row"),
        (6, "unknown-card-code"),
    ]
    assert all(one.urgent for one in found.aircraft)


def test_a_card_of_another_machine_is_urgent() -> None:
    """The other has no cards yet; its id is a machine's all the same."""
    book = _book({**twice(), "procedures/heron.yaml": HERON})
    code = _codes(book)[Standing.CURRENT]
    found = recall(book, "list.csv", f"serial,machine,cards\n0001,heron,{code}".encode())
    assert found.aircraft[0].urgent
    assert "foreign       a card of tern" in as_text(found)


def test_one_aircraft_may_have_a_row_for_each_card_but_one_machine_only() -> None:
    code = _codes(_twice())
    rows = [f"0001,Tern,{code[Standing.SUPERSEDED]}", f"0001,tern,{code[Standing.CURRENT]}"]
    found = _judged(*rows, f"0001,tern,{code[Standing.SUPERSEDED]}")
    assert (found.checked, found.findings) == (1, ())
    assert [len(one.cards) for one in found.aircraft] == [1]
    book = _book({**twice(), "procedures/heron.yaml": HERON})
    text = "\n".join(("serial,machine,cards", *rows, f"0001,heron,{code[Standing.CURRENT]}"))
    (fault,) = recall(book, "list.csv", text.encode()).findings
    assert fault.message == "lines 2 and 4 give serial `0001` two machines"


def test_a_machine_that_there_is_not_is_told_with_those_that_there_are() -> None:
    found = _judged("0001,term,x")
    assert [(one.message, one.mend) for one in found.findings] == [
        ("line 2 names no machine of the book", "did you mean `tern`?")
    ]


@pytest.mark.parametrize(
    ("encoding", "between"),
    [
        *(("utf-8", sign) for sign in ",;\t"),
        ("utf-8-sig", ";"),  # «CSV UTF-8» of a German spreadsheet program
        ("cp1252", ";"),  # its plain «CSV»
        ("utf-16", "\t"),  # its «Unicode text»
    ],
)
def test_a_list_is_read_as_spreadsheets_save_it(encoding: str, between: str) -> None:
    """Common practice, no source."""
    old = _codes(_twice())[Standing.SUPERSEDED]
    rows = (("Halter", "serial", "machine", "cards"), ("Jörg Müller", "0001", "tern", old))
    text = "\r\n".join(between.join(row) for row in rows) + "\r\n"
    found = recall(_twice(), "list.csv", text.encode(encoding))
    assert [one.rule.name for one in found.findings] == ["private-column"]
    assert [(one.serial, one.machine) for one in found.aircraft] == [("0001", "tern")]


@pytest.mark.parametrize(
    ("heads", "encoding"),
    [
        (("serial", "machine", "cards"), "utf-8"),
        (("Serien-Nr.", "Gerät", "Karten"), "utf-8-sig"),
        (("Serien-Nr", "Gerät", "Karten"), "cp1252"),
        (("Seriennummer", "Gera\u0308t", "Kartencodes"), "utf-8"),  # as macOS takes ä apart
        (("SERIENNUMMER", "Geraet", "Kartencode"), "mac-roman"),
        (("Seriennr.", "Maschine", "Karte"), "utf-16"),
        (("Serial No.", "Machine", "Card codes"), "ascii"),
    ],
)
@pytest.mark.parametrize("told", ["sep=;\r\n", '"sep=;"\r\n', ""])
def test_heads_may_be_german_below_a_line_that_names_what_parts_them(
    heads: tuple[str, ...], encoding: str, told: str
) -> None:
    """Common practice, no source: spreadsheets take `sep=;`, and show no such row."""
    old = _codes(_twice())[Standing.SUPERSEDED]
    rows = (heads, ("0001", "tern", old), ("0002", "gull", old))
    text = told + "\r\n".join(";".join(row) for row in rows) + "\r\n"
    found = recall(_twice(), "list.csv", text.encode(encoding))
    assert [(one.serial, one.machine) for one in found.aircraft] == [("0001", "tern")]
    line = 4 if told else 3  # as an editor counts them
    assert [(one.span.line, one.rule.name) for one in found.findings] == [(line, "bad-recall-row")]
    assert found.findings[0].message == f"line {line} names no machine of the book"


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ("serial,Serial No,machine,cards", "0001,17,tern,{}"),
        ("serial,machine,cards,codes", "0001,tern,{},old ones"),
        ("Serial;Machine;Card 1;Cards", "0001;tern;in the pocket;{}"),
        ("Werk-Nr;Gerät;machine;Karten", "0001;a kite;tern;{}"),
    ],
)
def test_the_plain_name_of_a_column_goes_before_what_may_mean_it(head: str, row: str) -> None:
    found = _judged(row.format(_codes(_twice())[Standing.SUPERSEDED]), head=head)
    assert [one.rule.name for one in found.findings] == ["private-column"]
    assert [(one.serial, one.machine) for one in found.aircraft] == [("0001", "tern")]


@pytest.mark.parametrize(
    ("head", "column", "both"),
    [
        ("Werk-Nr;Gerät;Maschine;Karten", "machine", "`Gerät` and `Maschine`"),
        ("Seriennummer,Serial No.,machine,cards", "serial", "`Seriennummer` and `Serial No.`"),
        ("serial,machine,cards,Cards", "cards", "`cards` and `Cards`"),
    ],
)
def test_two_columns_that_may_be_the_same_are_both_named(head: str, column: str, both: str) -> None:
    (fault,) = _judged(head=head).findings
    said = f"the head of the list names 2 columns that may be `{column}`: {both}"
    assert (fault.message, fault.mend) == (
        said, f"write `{column}` above the one to be read, and above no other",
    )  # fmt: skip


@pytest.mark.parametrize("name", ["tern", "Tern", "tern-eu", "TERN-EU"])
def test_a_machine_may_be_called_by_its_manual_or_its_name(name: str) -> None:
    found = _judged(f"0001,{name},{_codes(_twice())[Standing.SUPERSEDED]}")
    assert ([one.machine for one in found.aircraft], found.findings) == (["tern"], ())


def test_what_may_be_either_of_two_machines_is_neither() -> None:
    """One machine is named as the manual of the other."""
    named = HERON.replace(b"name: Heron", b"name: Tern-EU")
    book = _book({**twice(), "procedures/heron.yaml": named})
    rows = "0001,heron,x\n0002,tern,x\n0003,tern-eu,x"
    found = recall(book, "list.csv", f"serial,machine,cards\n{rows}".encode())
    assert [one.machine for one in found.aircraft] == ["heron", "tern"]
    assert found.findings[-1].message == "line 4 may name machine `heron` or `tern`"


@pytest.mark.parametrize("name", ["Tern", "TERN"])
def test_a_name_that_is_the_id_of_another_machine_is_neither(name: str) -> None:
    """Only the id as it is written is surely a machine's."""
    files = twice()
    path = next(path for path, text in files.items() if b"name: Tern," in text)
    one = files[path].replace(b"name: Tern,", b"name: Tern One,")
    two = HERON.replace(b"heron", b"tern-two").replace(b"name: Heron", b"name: Tern")
    book = _book({**files, path: one, "procedures/two.yaml": two})
    rows = f"0001,tern,x\n0002,{name},x\n0003,tern one,x\n0004,Tern-Two,x"
    found = recall(book, "list.csv", f"serial,machine,cards\n{rows}".encode())
    machines = [(one.serial, one.machine) for one in found.aircraft]
    assert machines == [("0001", "tern"), ("0003", "tern"), ("0004", "tern-two")]
    (fault,) = (one for one in found.findings if one.rule.name == "bad-recall-row")
    assert fault.message == "line 3 may name machine `tern` or `tern-two`"
    assert fault.mend == "write `tern` or `tern-two` in it"


def test_people_in_the_list_are_in_no_output() -> None:
    old = _codes(_twice())[Standing.SUPERSEDED]
    found = _judged(
        f"0001,tern,{old},Jo Doe,jo@example.com", head="serial,machine,cards,owner,e-mail"
    )
    assert [one.rule.name for one in found.findings] == ["private-column"]
    told = as_text(found) + as_json(found, found.findings) + str(found.findings)
    told += "".join(str(data) for data in notices(found, prepared(twice()))[0].values())
    assert "Jo" not in told
    assert "jo@" not in told
    assert json.loads(as_json(found, found.findings))["aircraft"][0]["urgent"] is True


def test_an_address_in_the_wrong_column_is_not_repeated() -> None:
    found = _judged(f"jo@example.com,tern,{_codes(_twice())[Standing.SUPERSEDED]}")
    assert [(one.rule.name, one.span.line) for one in found.findings] == [("bad-recall-row", 2)]
    assert "jo@" not in as_text(found) + as_json(found, found.findings) + str(found.findings)


def test_the_json_names_the_line_of_each_finding() -> None:
    found = _judged("0001,tern,2222-2223")
    (told,) = json.loads(as_json(found, found.findings))["findings"]
    assert (told["rule"], told["line"]) == ("unknown-card-code", 2)
    assert "mistyped" in told["message"]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"serial;machine\n1;2",
        b"\xff\xfe",
        b"a\n",
        b"serial,machine,cards\n",
        b"\xff\xfe\x00",
        b'"',
        b'a"' * 99999,
    ],
)
def test_a_list_of_another_kind_is_one_finding(data: bytes) -> None:
    found = recall(_twice(), "list.csv", data)
    assert [one.rule.name for one in found.findings] == ["bad-recall-row"]


@given(st.binary(max_size=80), st.sampled_from((b"", b"serial,machine,cards\n")))
@settings(max_examples=60)
def test_any_bytes_give_findings_or_aircraft(data: bytes, head: bytes) -> None:
    found = recall(_twice(), "list.csv", head + data)
    assert found.findings or found.checked


@pytest.mark.parametrize("shared", ["book", ""])
def test_a_list_in_the_repository_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], shared: str
) -> None:
    """Without git that is the book's folder, else all that is shared with it."""
    write_tree(tmp_path / "book", twice())
    if not shared:
        (tmp_path / ".git").mkdir()
    path = tmp_path / shared / "list.csv"
    path.write_text("serial,machine,cards\n")
    assert main(["recall", str(path), "--book", str(tmp_path / "book")]) == 2
    assert "move the list elsewhere" in capsys.readouterr().err


def test_notices_are_not_written_where_they_would_be_published(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_tree(tmp_path / "book", twice())
    write_tree(tmp_path, {"list.csv": b"serial,machine,cards\n", "out/register.json": b"{}"})
    command = ["recall", str(tmp_path / "list.csv"), "--book", str(tmp_path / "book"), "--out"]
    for place in ("book/notices", "out/notices"):
        assert main([*command, str(tmp_path / place)]) == 2
        assert "would give serials away" in capsys.readouterr().err
        assert not (tmp_path / place).exists()
