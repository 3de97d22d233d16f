"""What `release` refuses: demands that are open and days to come; and withdrawing today."""

from __future__ import annotations

import subprocess
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from placardry.cli import main
from placardry.files import write_tree
from tests.issued import edited, issue, start

LIMITS = "procedures/coolant.yaml"
WHO = ["--by", "A. Reviewer", "--author", "B. Writer", "--summary", "News."]
LOOSER = edited(start(), "7500 rpm", "7600 rpm")[LIMITS]


def _git(folder: Path, *words: str) -> None:
    settings = ["-c", "user.name=B. Writer", "-c", "user.email=b@example.org"]
    subprocess.run(["git", *settings, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """The folder of a book that was issued once."""
    write_tree(tmp_path, issue(start()))
    return tmp_path


def _release(root: Path, *words: str) -> int:
    return main(["release", "--book", str(root), *words])


def test_what_the_policy_demands_since_the_latest_edition_is_refused(
    root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _git(root, "init", "-q")
    _git(root, "add", "-A")
    _git(root, "commit", "-qm", "first")
    (root / LIMITS).write_bytes(LOOSER)
    lax = b"policy: {approval: [], forbid: []}\n"  # judged is by what stood when it was issued
    settings = root / "procedures/book.yaml"
    settings.write_bytes(settings.read_bytes() + lax)
    _git(root, "commit", "-qam", "looser")
    assert _release(root, *WHO, "--on", "2026-03-01") == 2
    said = capsys.readouterr().err
    assert "loosened-without-source: `limit/engine-speed-maximum` is loosened" in said
    assert "approval: nobody has approved `limit/engine-speed-maximum`" in said
    assert not (root / "procedures/editions/0002.json").exists()
    (root / LIMITS).write_bytes(start()[LIMITS])
    welcome = root / "content/welcome.md"
    welcome.write_bytes(welcome.read_bytes() + b"\nFly with care.\n")
    assert _release(root, *WHO, "--on", "2026-03-01") == 0


def test_without_git_the_ledger_warns(root: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (root / LIMITS).write_bytes(LOOSER)
    assert _release(root, *WHO, "--on", "2026-03-01") == 0
    said = capsys.readouterr().err
    assert "is in no commit" in said
    assert "loosened-without-source" in said


def test_a_day_to_come_is_refused(root: Path, capsys: pytest.CaptureFixture[str]) -> None:
    today = datetime.now().astimezone().date()
    (root / LIMITS).write_bytes(LOOSER)
    ahead = (today + timedelta(days=2)).isoformat()
    assert _release(root, *WHO, "--on", ahead) == 2
    assert f"{ahead} is yet to come" in capsys.readouterr().err


def test_a_withdrawal_is_of_today_and_says_what_to_build(
    root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    today = datetime.now().astimezone().date()
    second = issue(edited(issue(start()), "7500 rpm", "7400 rpm"), "2026-03-01", "Lower.")
    write_tree(root, second)
    assert _release(root, "--withdraw", "2", "--because", "Wrong.") == 0
    said = capsys.readouterr().out
    assert f"withdrew edition 2 on {today}" in said
    assert "put the book back to what edition 1 said" in said
    assert _release(root, "--withdraw", "1", "--because", "Wrong.") == 0
    assert "no edition stands" in capsys.readouterr().out
