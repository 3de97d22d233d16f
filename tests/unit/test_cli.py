from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from placardry import cli
from placardry.files import write_tree
from tests.books import files


@pytest.fixture
def book(tmp_path: Path) -> Path:
    write_tree(tmp_path, files())
    return tmp_path


def run(*arguments: str) -> int:
    return cli.main(list(arguments))


def test_a_clean_book_gives_0(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("check", "--book", str(book)) == 0
    assert "nothing wrong in" in capsys.readouterr().out


def test_a_typo_gives_1_and_says_what_to_type(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    coolant = book / "procedures/coolant.yaml"
    coolant.write_text(coolant.read_text("utf-8").replace("7500 rpm", "7500 rmp"), "utf-8")
    assert run("check", "--book", str(book)) == 1
    out = capsys.readouterr().out
    assert "procedures/coolant.yaml:11:14" in out
    assert "mend: write `rpm`" in out


def test_no_book_gives_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("check", "--book", str(tmp_path)) == 2
    assert "--book" in capsys.readouterr().err


def test_our_own_fault_gives_3(
    book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("placardry.prepared.load", lambda files: 1 / 0)
    assert run("check", "--book", str(book)) == 3
    assert "not in your book" in capsys.readouterr().err


def test_findings_as_json_have_their_contract(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (book / "procedures/more.yaml").write_text("fcts:\n  x: {}\n", "utf-8")
    assert run("check", "--book", str(book), "--format", "json") == 1
    (one,) = json.loads(capsys.readouterr().out)["findings"]
    assert set(one) == {
        "rule", "severity", "message", "file", "line", "column", "end_line", "end_column",
        "mend", "related",
    }  # fmt: skip
    assert (one["rule"], one["file"], one["line"], one["column"]) == (
        "unknown-key",
        "procedures/more.yaml",
        1,
        1,
    )


def test_a_new_book_is_sound_and_names_its_schemas(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "mine"
    assert run("new", str(folder)) == 0
    assert run("check", "--book", str(folder)) == 0
    first = (folder / "procedures/instrument.yaml").read_text("utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=schema/instrument.json"
    assert (folder / "procedures/schema/instrument.json").is_file()
    assert run("new", str(folder)) == 2


def test_explain_tells_a_rule(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("explain", "unknown-key") == 0
    out = capsys.readouterr().out
    assert out.startswith("unknown-key\nerror, source text\n")
    assert "Wrong:" in out
    assert "Right:" in out
    assert run("explain", "unknown-kee") == 2
    assert "did you mean `unknown-key`" in capsys.readouterr().err


def test_explain_as_json_gives_whole_books(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("explain", "--format", "json") == 0
    rules = json.loads(capsys.readouterr().out)["rules"]
    assert all(
        set(one) == {"rule", "family", "severity", "summary", "rationale", "source", "bad", "good"}
        for one in rules
    )
    assert all("procedures/book.yaml" in one["good"] for one in rules)


def test_the_module_runs_as_a_program() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "placardry", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == "placardry 0.1.0\n"


def test_explain_runs_a_procedure(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("explain", "--book", str(book), "--run", "leave") == 0
    out = capsys.readouterr().out
    assert "(leave, tern-eu)" in out
    assert "master: off" in out


@pytest.mark.parametrize("of", [("--run", "leav"), ("--run", "leave", "--manual", "tern-us")])
def test_a_run_of_what_is_not_there_gives_2(
    book: Path, of: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("explain", "--book", str(book), *of) == 2
    assert "did you mean" in capsys.readouterr().err
