"""The workflows of two forges, run step by step without them: their own programs are stubs.

The steps are taken out of the files as they stand and run as the forge would run them.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from placardry.files import write_tree
from tests.books import files

ROOT = Path(__file__).parents[2]
GITHUB = ROOT / "docs/workflows/github-review.yml"
OWN = ROOT / ".github/workflows/review.yml"
GITLAB = ROOT / "docs/workflows/gitlab-review.yml"
MARKER = "<!-- placardry review -->"

# Keeps what it was asked in a file, answers a list of comments from another.
STUB = """#!{python}
import json, os, sys
words = sys.argv[1:]
body = next((open(word.split("@", 1)[1]).read() for word in words if "body" in word and "@" in word
             and os.path.exists(word.split("@", 1)[1])), None)
with open(os.environ["ASKED"], "a") as asked:
    asked.write(json.dumps([words, body]) + "\\n")
if body is None:
    sys.stdout.write(open(os.environ["COMMENTS"]).read())
"""


def git(folder: Path, *words: str) -> str:
    settings = ["-c", "user.name=A. Writer", "-c", "user.email=a@example.org"]
    done = subprocess.run(
        ["git", *settings, *words], cwd=folder, check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


@pytest.fixture
def change(tmp_path: Path) -> Path:
    """A repository with a book, and on a branch a limit that is loosened."""
    root = tmp_path / "book of limits"
    write_tree(root, files())
    git(root, "init", "-q", "-b", "main")
    git(root, "add", "-A")
    git(root, "commit", "-qm", "first")
    git(root, "tag", "base")
    edit(root, "7500 rpm", "7600 rpm")
    return root


def edit(root: Path, old: str, new: str) -> None:
    path = root / "procedures/coolant.yaml"
    assert old in path.read_text("utf-8")
    path.write_text(path.read_text("utf-8").replace(old, new), "utf-8")
    git(root, "commit", "-qam", f"{old} becomes {new}")


class Forge:
    """A shell with stubs in its path, as a forge gives one to a job."""

    def __init__(self, root: Path, tools: Path) -> None:
        self.root, self.tools = root, tools
        tools.mkdir()
        for name in ("gh", "curl"):
            stub = tools / name
            stub.write_text(STUB.format(python=sys.executable), "utf-8")
            stub.chmod(0o755)
        command = tools / "placardry"
        command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m placardry "$@"\n', "utf-8")
        command.chmod(0o755)
        (tools / "python").symlink_to(sys.executable)
        self.says("")
        self.environment = {
            **os.environ,
            "PATH": f"{tools}:{os.environ['PATH']}",
            "PYTHONPATH": str(ROOT / "build_tools"),
            "ASKED": str(tools / "asked"),
            "COMMENTS": str(tools / "comments"),
            "BOOK": ".",
        }

    def says(self, comments: str) -> None:
        """What the forge answers when it is asked for the comments."""
        (self.tools / "comments").write_text(comments, "utf-8")

    def run(self, script: str, **variables: str) -> subprocess.CompletedProcess[str]:
        """What a step does: `bash -eo pipefail`, as both forges run it."""
        return subprocess.run(
            ["bash", "-e", "-o", "pipefail", "-c", script],
            cwd=self.root, env={**self.environment, **variables},
            capture_output=True, text=True, check=False,
        )  # fmt: skip

    @property
    def asked(self) -> list[tuple[list[str], str | None]]:
        path = self.tools / "asked"
        lines = path.read_text("utf-8").splitlines() if path.exists() else []
        return [(words, body) for words, body in map(json.loads, lines)]


@pytest.fixture
def forge(change: Path, tmp_path: Path) -> Forge:
    if shutil.which("bash") is None:
        pytest.skip("no bash on the PATH: the workflows run on Linux")
    return Forge(change, tmp_path / "tools")


def github_steps(path: Path = GITHUB) -> dict[str, dict[str, Any]]:
    job = yaml.safe_load(path.read_text("utf-8"))["jobs"]["review"]
    return {step.get("name", step.get("uses")): step for step in job["steps"]}


def run_github(forge: Forge) -> dict[str, subprocess.CompletedProcess[str]]:
    """Runs the steps in order as the forge would; those that need it alone are passed over."""
    output = forge.tools / "output"
    summary = forge.tools / "summary"
    output.write_text("", "utf-8")
    done = {}
    codes: dict[str, str] = {}
    for name, step in github_steps().items():
        if "run" not in step or name == "install":
            continue
        if name == "preview" and codes.get("check") != "0":
            continue
        variables = {
            "BASE": "base", "GITHUB_OUTPUT": str(output), "GITHUB_STEP_SUMMARY": str(summary),
            "GITHUB_REPOSITORY": "fenwick/manuals", "NUMBER": "7", "RUN": "https://forge.example/1",
            "CHECK": codes.get("check", ""), "REVIEW": codes.get("review", ""),
        }  # fmt: skip
        output.write_text("", "utf-8")
        done[name] = forge.run(step["run"], **variables)
        found = re.search(r"^code=(\d)$", output.read_text("utf-8"), re.MULTILINE)
        if found:
            codes[step["id"]] = found[1]
    return done


def test_github_posts_one_comment_and_fails_an_unmet_policy(forge: Forge) -> None:
    done = run_github(forge)
    codes = {name: one.returncode for name, one in done.items()}
    assert codes == {"check": 0, "review": 0, "preview": 0, "comment": 0, "verdict": 1}, done
    assert "::error::the policy of the book is not met" in done["verdict"].stdout
    assert "::warning file=procedures/coolant.yaml,line=" in done["review"].stdout
    (_, asked), (posted, body) = forge.asked
    assert asked is None
    assert posted[posted.index("--method") + 1] == "POST"
    assert "repos/fenwick/manuals/issues/7/comments" in posted
    assert body is not None
    assert body.startswith(MARKER)
    assert "LOOSENED" in body
    assert "https://forge.example/1" in body
    sarif = json.loads((forge.root / "check.sarif").read_text("utf-8"))
    assert sarif["version"] == "2.1.0"
    assert (forge.root / "preview/index.html").is_file()
    assert (forge.root / "review/review.html").is_file()


def test_github_keeps_its_comment_current(forge: Forge) -> None:
    forge.says("4711\n4712\n")  # `gh --jq` prints the ids of the comments with the marker
    assert run_github(forge)["comment"].returncode == 0
    words = forge.asked[-1][0]
    assert words[words.index("--method") + 1] == "PATCH"
    assert "repos/fenwick/manuals/issues/comments/4711" in words
    assert f'startswith("{MARKER}")' in forge.asked[0][0][-1]


def test_github_says_that_a_book_has_errors_and_builds_no_preview(forge: Forge) -> None:
    edit(forge.root, "7600 rpm", "7600 rmp")
    done = run_github(forge)
    assert done["check"].returncode == 0
    assert "preview" not in done
    assert "::error::the book has errors" in done["verdict"].stdout
    assert done["verdict"].returncode == 1


def test_github_stops_at_once_where_the_job_cannot_be_done(forge: Forge) -> None:
    step = github_steps()["review"]
    output = str(forge.tools / "output")
    done = forge.run(step["run"], BASE="nowhere", GITHUB_OUTPUT=output, GITHUB_STEP_SUMMARY=output)
    assert done.returncode != 0
    assert "`nowhere`" in done.stderr


def test_nothing_of_a_pull_request_is_pasted_into_a_script() -> None:
    """A title or a branch name in `${{ }}` would be run; variables are not."""
    for path in (GITHUB, OWN):
        for step in github_steps(path).values():
            assert "${{" not in step.get("run", "")
            assert set(step) & {"run", "uses"}


def test_the_own_workflow_is_the_one_to_copy() -> None:
    ours, theirs = github_steps(OWN), github_steps()
    assert ours.pop("install") != theirs.pop("install")
    assert ours == theirs


def run_gitlab(forge: Forge, **variables: str) -> subprocess.CompletedProcess[str]:
    job = yaml.safe_load(GITLAB.read_text("utf-8"))["placardry-review"]
    given = {
        "CI_MERGE_REQUEST_DIFF_BASE_SHA": "base", "CI_JOB_URL": "https://forge.example/jobs/1",
        "CI_API_V4_URL": "https://forge.example/api/v4", "CI_PROJECT_ID": "3",
        "CI_MERGE_REQUEST_IID": "7", "PLACARDRY_TOKEN": "token", "BOOK": ".", **variables,
    }  # fmt: skip
    # The forge runs the items of `script` one after the other in one shell.
    return forge.run("\n".join(job["script"]), **given)


NOTES = "https://forge.example/api/v4/projects/3/merge_requests/7/notes"


def test_gitlab_posts_one_comment_and_fails_an_unmet_policy(forge: Forge) -> None:
    forge.says(json.dumps([{"id": 1, "body": "Please mend the title."}]))
    done = run_gitlab(forge)
    assert done.returncode == 1, done.stderr
    words, body = forge.asked[-1]
    assert (words[words.index("-X") + 1], words[-1]) == ("POST", NOTES)
    assert body is not None
    assert body.startswith(MARKER)
    (issue,) = json.loads((forge.root / "quality.json").read_text("utf-8"))
    assert issue["location"]["path"] == "procedures/coolant.yaml"
    assert issue["severity"] == "critical"
    assert (forge.root / "preview/index.html").is_file()
    assert (forge.root / "review/review.html").is_file()


def test_gitlab_keeps_its_comment_current(forge: Forge) -> None:
    forge.says(json.dumps([{"id": 1, "body": "Hm."}, {"id": 5, "body": f"{MARKER}\nold"}]))
    run_gitlab(forge)
    words = forge.asked[-1][0]
    assert (words[words.index("-X") + 1], words[-1]) == ("PUT", f"{NOTES}/5")


def test_gitlab_without_a_token_only_judges(forge: Forge) -> None:
    assert run_gitlab(forge, PLACARDRY_TOKEN="").returncode == 1
    assert forge.asked == []


def test_gitlab_passes_where_nothing_is_demanded(forge: Forge) -> None:
    forge.says("[]")
    done = run_gitlab(forge, CI_MERGE_REQUEST_DIFF_BASE_SHA="HEAD")
    assert done.returncode == 0, done.stderr


def test_the_hooks_are_commands_that_there_are() -> None:
    hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    assert [one["id"] for one in hooks] == ["placardry-check", "placardry-review"]
    for one in hooks:
        command = one["entry"].split()[1]
        asked = [sys.executable, "-m", "placardry", command, "--help"]
        assert subprocess.run(asked, capture_output=True, check=False).returncode == 0
