"""The examples of the format's own page, and all commands quoted, can be typed as they stand."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from placardry.cli import parser
from placardry.loader import load
from tests.books import files

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs/source-files.md"
FIRST_KEY = re.compile(r"(#.*\n)*[a-z-]+:( |\n)")


def examples() -> Iterator[tuple[str, str]]:
    """The chapter of each example in YAML, and its text; `# a file of …` begins another one."""
    for part in re.split(r"^##+ ", PAGE.read_text("utf-8"), flags=re.M)[1:]:
        title, _, text = part.partition("\n")
        for block in re.findall(r"(?:^(?:    .*)?\n)+", text, flags=re.M):
            lines = "\n".join(line[4:] for line in block.splitlines()).strip("\n")
            for one in re.split(r"^# a file of .*\n", lines, flags=re.M):
                if FIRST_KEY.match(one):
                    yield title, one + "\n"


PATHS = {
    "format": "procedures/book.yaml",
    "# procedures/translations/de/operation/ignition-check.yaml\ntranslates":
        "procedures/translations/de/example.yaml",
}  # fmt: skip
EXAMPLES = list(examples())


def test_examples_are_found() -> None:
    assert len(EXAMPLES) > 15, [title for title, _ in EXAMPLES]


@pytest.mark.parametrize(("title", "text"), EXAMPLES, ids=[title for title, _ in EXAMPLES])
def test_an_example_can_be_read(title: str, text: str) -> None:
    path = PATHS.get(text.partition(":")[0], "procedures/example.yaml")
    _, findings = load({**files(), path: text.encode()})
    lines = text.splitlines()
    told = [
        f"{one.span.line}: {lines[one.span.line - 1]}: {one.message} -- {one.mend}"
        for one in findings
        if one.span.path == path and "…" not in lines[one.span.line - 1]
    ]
    assert told == []


def commands() -> Iterator[str]:
    """Every command that a page quotes with what it wants, without the comment behind it."""
    for page in (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))):
        text = re.sub(r"\\\n *", "", page.read_text("utf-8"))
        found = re.findall(r"^    (?:\.venv\S+[/\\])?placardry (.+)$", text, flags=re.M)
        yield from (re.split(r" {3,}", one)[0] for one in found)  # a remark, with `#` or without
        yield from re.findall(r"`placardry (\w+ [^`…]+)`", text)


@pytest.mark.parametrize("command", sorted({*commands()}))
def test_a_quoted_command_is_known(command: str) -> None:
    words = shlex.split(command, comments=True)
    assert parser().parse_args(words).command


def test_commands_are_found() -> None:
    assert len({*commands()}) > 25
