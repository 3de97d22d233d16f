"""Small books for tests: files laid over the specimen, read and judged."""

from __future__ import annotations

import textwrap

from placardry.prepared import Prepared, judge
from placardry.resolve import Manual
from placardry.rules.specimen import SPECIMEN


def files(**shown: str) -> dict[str, bytes]:
    """The specimen's files with others in their place or beside them.

    A keyword such as `facts` is the file `procedures/facts.yaml`; its text is dedented.
    """
    laid = {f"procedures/{name}.yaml": textwrap.dedent(text) for name, text in shown.items()}
    return {path: text.encode() for path, text in {**SPECIMEN, **laid}.items()}


def judged(**shown: str) -> Prepared:
    """The specimen with these files, read and judged."""
    return judge(files(**shown))


def judge_page(text: str) -> Prepared:
    """The specimen with one more page of prose, read and judged."""
    return judge({**files(), "content/notes.md": text.encode()})


def manual(**shown: str) -> Manual:
    """The one manual of the specimen with these files, which must be in order."""
    prepared = judged(**shown)
    assert [f"{one.span} {one.message}" for one in prepared.findings] == []
    return prepared.manuals[0]


def said(prepared: Prepared) -> list[tuple[str, str]]:
    """Each finding as (rule, the text at its place)."""
    return [
        (one.rule.name, _text(prepared.files[one.span.path].decode(), one.span.line))
        for one in prepared.findings
    ]


def _text(source: str, line: int) -> str:
    return source.splitlines()[line - 1].strip()
