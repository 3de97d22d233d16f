from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from mkdocs.exceptions import Abort

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


def test_findings_for_a_forge_say_where_the_book_lies_in_its_repository(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    root = tmp_path / "repository"
    write_tree(root / "books/tern", files(facts="facts:\n  wait: {minimum: 5 s, name: wait}\n"))

    def address() -> tuple[str, str]:
        assert run("check", "--book", str(root / "books/tern"), "--format", "sarif") == 1
        (first, *_) = json.loads(capsys.readouterr().out)["runs"][0]["results"]
        place = first["locations"][0]["physicalLocation"]["artifactLocation"]
        return place["uriBaseId"], place["uri"]

    assert address() == ("BOOK", "procedures/facts.yaml")
    subprocess.run(["git", "init", "-q"], cwd=root, check=True)
    assert address() == ("SRCROOT", "books/tern/procedures/facts.yaml")


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


def test_a_program_that_leaves_at_once_has_said_everything(book: Path) -> None:
    write_tree(book, files(more="facts: {x: {maximum: 1 rmp}}"))
    done = subprocess.run(
        [sys.executable, "-m", "placardry", "check", "--book", str(book)],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert done.stdout.splitlines()[-1].startswith("1 error in ")
    nothing = subprocess.run(
        [sys.executable, "-m", "placardry", "check", "--book", str(book / "no")],
        capture_output=True,
        text=True,
    )
    assert (nothing.returncode, nothing.stdout) == (2, "")
    assert "procedures/book.yaml" in nothing.stderr


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


def test_a_file_in_the_place_of_a_folder_gives_2(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "file"
    file.touch()
    assert run("new", str(file)) == 2
    assert run("build", "--book", str(book), "--out", str(file)) == 2
    assert run("build", "--book", str(book), "--pages", str(book)) == 2
    assert run("schema", "--book", str(tmp_path / "nothing")) == 2
    assert not (tmp_path / "nothing").exists()
    said = capsys.readouterr().err.splitlines()
    assert [line.rpartition("` ")[2] for line in said[:3]] == [
        "is not an empty folder; name a new one",
        "is a file; name a new or empty folder with --out",
        "holds files that no build of ours wrote; name a new or empty folder with --pages",
    ]


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (Abort("no"), "the preview cannot start"),
        (OSError(98, "Address already in use"), "address already in use; name another with --port"),
    ],
)
def test_a_preview_that_cannot_start_gives_2(
    fault: Exception,
    said: str,
    book: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def refuse(**_: object) -> None:
        raise fault

    monkeypatch.setattr("mkdocs.commands.serve.serve", refuse)
    assert run("serve", "--book", str(book)) == 2
    assert said in capsys.readouterr().err
    assert run("serve", "--book", str(book / "no")) == 2


@pytest.mark.parametrize("port", ["0", "65536", "-1", "x", "9" * 5000])
def test_a_port_is_a_number_that_ports_have(port: str) -> None:
    with pytest.raises(SystemExit) as ended:
        run("serve", "--port", port)
    assert ended.value.code == 2


def test_explain_as_json_gives_one_rule(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("explain", "tab", "--format", "json") == 0
    assert [one["rule"] for one in json.loads(capsys.readouterr().out)["rules"]] == ["tab"]
    assert run("explain", "tabb", "--format", "json") == 2


def test_a_book_file_behind_a_link_is_a_finding(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = book / "procedures/book.yaml"
    file.rename(tmp_path / "elsewhere.yaml")
    file.symlink_to(tmp_path / "elsewhere.yaml")
    assert run("check", "--book", str(book)) == 1
    assert "[linked-file]" in capsys.readouterr().out


@pytest.mark.parametrize("arguments", [(), ("check",), ("build",), ("due",), ("explain",)])
def test_help_fits_a_small_terminal(
    arguments: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    with pytest.raises(SystemExit) as ended:
        run(*arguments, "--help")
    assert ended.value.code == 0
    assert all(len(line) <= 80 for line in capsys.readouterr().out.splitlines())
