from __future__ import annotations

import subprocess
import unicodedata
from pathlib import Path

import pytest

from placardry import files
from placardry.errors import EnvironmentFault, NoBookError
from placardry.files import read_folder, read_revision, text_of, write_tree

BOOK = {
    "procedures/book.yaml": b"format: 1\n",
    "procedures/limits/engine.yaml": b"limits: {}\n",
    "content/first start.md": b"# First start\n",
    "content/pictures/panel.png": b"\x89PNG\0",
}
OUTSIDE = {"README.md": b"x", "procedures/schema/x.json": b"{}", "content/.hidden/x.md": b"# x",
           "procedures/.x.yaml": b""}  # fmt: skip


def git(folder: Path, *words: str) -> None:
    settings = ["-c", "user.name=A", "-c", "user.email=a@example.org", "-c", "commit.gpgsign=false"]
    subprocess.run(["git", *settings, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """A repository with the book in a folder of its own; later the work tree is changed."""
    root = tmp_path / "repository"
    write_tree(root / "book", {**BOOK, **OUTSIDE})
    git(root, "init", "-q")
    git(root, "add", "-A")
    git(root, "commit", "-qm", "first")
    (root / "book/procedures/limits/engine.yaml").write_bytes(b"changed: 1\n")
    return root


def test_a_folder_and_a_revision_give_the_same_files(tmp_path: Path, repository: Path) -> None:
    write_tree(tmp_path / "folder", {**BOOK, **OUTSIDE})
    assert read_folder(tmp_path / "folder") == (BOOK, ())
    assert read_revision(repository / "book", "HEAD") == (BOOK, ())
    assert list(read_revision(repository / "book", "HEAD")[0]) == sorted(BOOK)


def test_a_shallow_clone_and_a_second_work_tree_can_be_read(
    tmp_path: Path, repository: Path
) -> None:
    git(repository, "commit", "-qam", "second")
    git(tmp_path, "clone", "-q", "--depth", "1", f"file://{repository}", "shallow")
    git(repository, "worktree", "add", "-q", str(tmp_path / "tree"), "HEAD~1")
    changed = {**BOOK, "procedures/limits/engine.yaml": b"changed: 1\n"}
    assert read_revision(tmp_path / "shallow/book", "HEAD")[0] == changed
    assert read_revision(tmp_path / "tree/book", "HEAD")[0] == BOOK
    with pytest.raises(EnvironmentFault, match="unshallow"):
        read_revision(tmp_path / "shallow/book", "HEAD~1")


def test_a_revision_is_never_taken_for_an_option(repository: Path) -> None:
    with pytest.raises(EnvironmentFault):
        read_revision(repository / "book", "--help")


def test_no_book(tmp_path: Path, repository: Path) -> None:
    with pytest.raises(NoBookError, match="--book"):
        read_folder(tmp_path)
    with pytest.raises(NoBookError, match="name a later revision"):
        read_revision(repository, "HEAD")


def test_a_folder_without_git_says_what_to_do(tmp_path: Path) -> None:
    write_tree(tmp_path, BOOK)
    with pytest.raises(EnvironmentFault, match="name a revision"):
        read_revision(tmp_path, "HEAD")


def test_links_are_findings_in_a_folder_and_in_a_revision(repository: Path) -> None:
    book = repository / "book"
    (book / "content/secret.md").symlink_to("/etc/hostname")
    (book / "content/loop").symlink_to("..")
    git(repository, "add", "-A")
    git(repository, "commit", "-qm", "links")
    for found, findings in (read_folder(book), read_revision(book, "HEAD")):
        assert "content/secret.md" not in found
        assert [(finding.rule.name, finding.span.path) for finding in findings] == [
            ("linked-file", "content/loop"),
            ("linked-file", "content/secret.md"),
        ]


def test_a_large_file_is_a_finding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MOST_TEXT_BYTES", 20)
    write_tree(tmp_path, {**BOOK, "procedures/big.yaml": b"#" * 21, "content/big.png": b"#" * 21})
    found, findings = read_folder(tmp_path)
    assert "content/big.png" in found
    assert "procedures/big.yaml" not in found
    assert [finding.rule.name for finding in findings] == ["file-too-large"]


def test_names_are_nfc_and_clashes_are_findings(tmp_path: Path) -> None:
    composed = unicodedata.normalize("NFC", "content/kühlung.md")
    decomposed = unicodedata.normalize("NFD", composed)
    write_tree(tmp_path, {**BOOK, decomposed: b"# x"})
    assert composed in read_folder(tmp_path)[0]
    write_tree(tmp_path, {"content/Kühlung.md": b"# y"})
    _, findings = read_folder(tmp_path)
    assert [finding.rule.name for finding in findings] == ["clashing-file-names"]
    assert len(findings[0].related) == 1


def test_artifacts_stay_below_their_folder(tmp_path: Path) -> None:
    for path in ("../x", "/x", "a/../../x", "", "a//b", "."):
        with pytest.raises(ValueError, match="not below"):
            write_tree(tmp_path / "out", {path: b""})


def test_text_of() -> None:
    assert text_of(b"\xef\xbb\xbfa\r\nb\n") == "a\nb\n"
