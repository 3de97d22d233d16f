"""The two sides of a review: revisions, folders, branches that parted; and who wrote what."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from placardry.errors import EnvironmentFault, NoBookError, PlacardryError
from placardry.files import write_tree
from placardry.finding import has_errors
from placardry.prepared import prepare
from placardry.review.history import WORKING, history
from tests.books import files

LIMITS = "procedures/coolant.yaml"


def git(folder: Path, *words: str, by: str = "A. Writer") -> None:
    settings = ["-c", f"user.name={by}", "-c", "user.email=a@example.org"]
    subprocess.run(["git", *settings, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A repository whose book stands in a folder of it."""
    root = tmp_path / "repository"
    write_tree(root / "book", files())
    git(root, "init", "-q", "-b", "main")
    git(root, "config", "user.name", "C. Typist")
    git(root, "add", "-A")
    git(root, "commit", "-qm", "first", by="Z. Founder")
    return root / "book"


def edit(book: Path, old: str, new: str, path: str = LIMITS) -> None:
    text = (book / path).read_text("utf-8")
    assert old in text
    (book / path).write_text(text.replace(old, new), "utf-8")


def limits(side: object) -> str:
    data: bytes = side.prepared.files[LIMITS]  # type: ignore[attr-defined]
    return data.decode()


def test_the_working_folder_is_compared_as_it_is(root: Path) -> None:
    edit(root, "7500 rpm", "7600 rpm")
    found = history(root, "main", None)
    assert "7500 rpm" in limits(found.before)
    assert "7600 rpm" in limits(found.after)
    assert found.after.name == WORKING
    assert found.prefix == "book/"
    assert found.authors == ("C. Typist",)


def test_authors_are_those_of_the_commits_between(root: Path) -> None:
    git(root, "checkout", "-qb", "branch")
    edit(root, "7500 rpm", "7600 rpm")
    message = "faster\n\nCo-authored-by: D. Helper <d@example.org>\n"
    git(root, "commit", "-qam", message)
    (root / "procedures/approvals.yaml").write_text("approvals: []\n", "utf-8")
    git(root, "add", "-A")
    git(root, "commit", "-qm", "approve", by="A. Reviewer")
    assert history(root, "main", "branch").authors == ("A. Writer", "D. Helper")
    assert history(root, "main", None).authors == ("A. Writer", "D. Helper")


def test_what_others_merged_meanwhile_is_not_held_against_a_branch(root: Path) -> None:
    git(root, "checkout", "-qb", "branch")
    edit(root, "page 4", "page 5")
    git(root, "commit", "-qam", "source")
    git(root, "checkout", "-q", "main")
    edit(root, "7500 rpm", "7400 rpm")
    git(root, "commit", "-qam", "slower")
    found = history(root, "main", "branch")
    assert "7500 rpm" in limits(found.before)
    assert "7500 rpm" in limits(found.after)
    # One that holds the other is compared as it is, in both directions.
    back = history(root, "main", "main~1")
    assert ("7400 rpm" in limits(back.before), "7500 rpm" in limits(back.after)) == (True, True)


def test_a_shallow_clone_and_a_second_work_tree_will_do(root: Path, tmp_path: Path) -> None:
    edit(root, "7500 rpm", "7600 rpm")
    git(root, "commit", "-qam", "faster")
    git(tmp_path, "clone", "-q", "--depth", "2", root.parent.as_uri(), "shallow")
    git(root, "worktree", "add", "-q", "--detach", str(tmp_path / "tree"), "main")
    for folder in (tmp_path / "shallow/book", tmp_path / "tree/book"):
        found = history(folder, "HEAD~1", "HEAD")
        assert ("7500 rpm" in limits(found.before), "7600 rpm" in limits(found.after)) == (
            True,
            True,
        )
    with pytest.raises(EnvironmentFault, match="--unshallow"):
        history(tmp_path / "shallow/book", "HEAD~2", "HEAD")


def test_two_folders_need_no_git(tmp_path: Path) -> None:
    write_tree(tmp_path / "old", files())
    write_tree(tmp_path / "new", files())
    edit(tmp_path / "new", "7500 rpm", "7600 rpm")
    found = history(tmp_path, str(tmp_path / "old"), str(tmp_path / "new"))
    assert "7600 rpm" in limits(found.after)
    assert found.authors == ()


@pytest.mark.parametrize("name", ["nowhere", "--help", "HEAD~7"])
def test_a_revision_that_is_not_there_is_named(root: Path, name: str) -> None:
    with pytest.raises(EnvironmentFault, match=f"no revision `{name}`"):
        history(root, name, None)
    with pytest.raises(EnvironmentFault, match=f"no revision `{name}`"):
        history(root, "main", name)


def test_no_git_and_no_book_say_what_to_do(tmp_path: Path, root: Path) -> None:
    write_tree(tmp_path / "lone", files())
    with pytest.raises(PlacardryError, match="name two folders"):
        history(tmp_path / "lone", "main", None)
    git(root, "rm", "-rq", "--cached", ".")
    (root.parent / "README.md").write_text("x", "utf-8")
    git(root.parent, "add", "README.md")
    git(root, "commit", "-qm", "without the book")
    with pytest.raises(NoBookError, match="no book at revision `main`"):
        history(root, "main", None)


def test_two_branches_each_right_can_contradict_when_merged(root: Path) -> None:
    """One lowers a limit, one raises its alarm: git merges them, and only a check sees it."""
    alarms = "procedures/alarms.yaml"
    edit(root, "88 degC", "84 degC", alarms)
    git(root, "commit", "-qam", "an early alarm")
    for branch, old, new, path in (
        ("lower-limit", "red from 90 degC", "red from 86 degC", LIMITS),
        ("later-alarm", "84 degC", "88 degC", alarms),
    ):
        git(root, "checkout", "-qb", branch, "main")
        edit(root, old, new, path)
        git(root, "commit", "-qam", branch)
        assert not has_errors(prepare(root).findings)
    git(root, "merge", "-q", "--no-edit", "lower-limit")  # a conflict would fail here
    (found,) = prepare(root).findings
    assert found.rule.name == "alarm-beyond-limit"
    assert found.span.path == alarms
    assert LIMITS in {note.span.path for note in found.related}
