"""The chapters beside this file: each `##` is a case, its fenced files a book.

The files are laid over the specimen. `# error: rule-name "words"` at the end of a line says that
this line has a finding of that severity and rule, with these words in its message, its mend or a
place involved; the marker is cut off before reading. A missing and an unexpected finding fail.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from placardry.finding import Finding
from placardry.loader import load
from placardry.resolve import resolve
from placardry.rules import check
from placardry.rules.specimen import SPECIMEN

HERE = Path(__file__).parent
FENCE = re.compile(r"^(?P<fence>`{3,})(?P<path>\S+)\n(?P<text>.*?)^(?P=fence)$", re.M | re.S)
MARKER = re.compile(r"\s+# (error|warning|advice): ([a-z-]+) \"([^\"]+)\"(?=\s|$)")


@dataclass(frozen=True)
class Expected:
    """One finding that a line announces."""

    path: str
    line: int
    severity: str
    rule: str
    words: str

    def is_met_by(self, found: Finding) -> bool:
        said = (found.message, found.mend, *(note.message for note in found.related))
        here = (found.span.path, found.span.line, str(found.severity), found.rule.name)
        wanted = (self.path, self.line, self.severity, self.rule)
        return here == wanted and any(self.words in text for text in said)


@dataclass(frozen=True)
class Case:
    """The files of one case, without markers, and what they announce."""

    files: dict[str, bytes]
    expected: list[Expected]


def case_of(text: str) -> Case:
    files = {path: shown.encode() for path, shown in SPECIMEN.items()}
    expected: list[Expected] = []
    for block in FENCE.finditer(text):
        path, lines = block["path"], block["text"].splitlines()
        for number, line in enumerate(lines, 1):
            expected += [Expected(path, number, *marker) for marker in MARKER.findall(line)]
        files[path] = "".join(MARKER.sub("", line) + "\n" for line in lines).encode()
    return Case(files, expected)


def cases() -> Iterator[tuple[str, str]]:
    for chapter in sorted(HERE.glob("*.md")):
        for part in re.split(r"^## ", chapter.read_text(encoding="utf-8"), flags=re.M)[1:]:
            title, _, text = part.partition("\n")
            yield f"{chapter.stem}: {title}", text


CASES = list(cases())


@pytest.mark.parametrize(("title", "text"), CASES, ids=[title for title, _ in CASES])
def test_case(title: str, text: str) -> None:
    case = case_of(text)
    assert FENCE.search(text), "a case without files proves nothing"
    book, loading = load(case.files)
    assert book is not None, loading
    left = list(check(book, *resolve(book), loading=loading))
    missing = []
    for wanted in case.expected:
        met = next((found for found in left if wanted.is_met_by(found)), None)
        if met is None:
            missing.append(wanted)
        else:
            left.remove(met)
    told = [
        f"{one.span} {one.severity}: {one.rule.name}: {one.message} -- {one.mend}" for one in left
    ]
    assert (missing, told) == ([], [])


def test_every_marker_is_read() -> None:
    for title, text in CASES:
        markers = re.findall(r"# (?:error|warning|advice):", text)
        assert len(markers) == len(case_of(text).expected), title


def test_titles_are_unique() -> None:
    titles = [title for title, _ in CASES]
    assert len(set(titles)) == len(titles)
