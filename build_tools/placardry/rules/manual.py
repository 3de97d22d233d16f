"""A rule's manual, read from its docstring: summary, rationale, source, a bad and a good book.

Format of the docstring: a first line that says what is wrong; paragraphs that say why; perhaps a
paragraph that begins with `Source:`; then `Bad:` and `Good:`, each followed by files: a path,
and the file's text indented below it. The files are laid over `specimen.SPECIMEN`.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Mapping
from functools import cache

from placardry.finding import Rule, light
from placardry.rules.specimen import SPECIMEN

_ESCAPE = re.compile(rb"\\(?:x([0-9a-f]{2})|u([0-9a-f]{4})|(t))")


@light
class RuleManual:
    r"""What is known of a rule beside what it finds.

    Shape: `bad` and `good` are whole books, text by path; what an example writes as `\xNN`,
    `\uNNNN` or `\t` is that byte or character.

    Attributes:
        shown_bad: only the files that the example itself shows; likewise `shown_good`
    """

    summary: str
    rationale: str
    source: str
    bad: Mapping[str, bytes]
    good: Mapping[str, bytes]
    shown_bad: Mapping[str, str]
    shown_good: Mapping[str, str]


@cache
def manual_of(rule: Rule) -> RuleManual:
    """The manual of a rule."""
    text = inspect.cleandoc(rule.manual)
    head, bad, good = _sections(text)
    paragraphs = [" ".join(one.split()) for one in re.split(r"\n\s*\n", head) if one.strip()]
    sources = [one.removeprefix("Source:") for one in paragraphs if one.startswith("Source:")]
    others = [one for one in paragraphs[1:] if not one.startswith("Source:")]
    return RuleManual(
        summary=paragraphs[0].rstrip("."),
        rationale="\n\n".join(others),
        source=" ".join(sources).strip(),
        bad=_book(bad),
        good=_book(good),
        shown_bad=bad,
        shown_good=good,
    )


def _sections(text: str) -> tuple[str, Mapping[str, str], Mapping[str, str]]:
    head, _, rest = text.partition("\nBad:\n")
    bad, _, good = rest.partition("\nGood:\n")
    return head, _files(bad), _files(good)


def _files(text: str) -> dict[str, str]:
    files: dict[str, list[str]] = {}
    lines: list[str] = []
    for line in inspect.cleandoc("\n" + text).splitlines() if text.strip() else ():
        if line and not line.startswith(" "):
            lines = files.setdefault(line.strip(), [])
        else:
            lines.append(line)
    return {
        path: inspect.cleandoc("\n" + "\n".join(body)).rstrip("\n") + "\n"
        for path, body in files.items()
    }


def _book(shown: Mapping[str, str]) -> dict[str, bytes]:
    files = {path: text.encode() for path, text in SPECIMEN.items()}
    for path, text in shown.items():
        if text.strip() == "(removed)":
            files.pop(path, None)
        else:
            files[path] = _ESCAPE.sub(_unescape, text.encode())
    return dict(sorted(files.items()))


def _unescape(match: re.Match[bytes]) -> bytes:
    byte, code, _ = match.groups()
    if byte:
        return bytes([int(byte, 16)])
    return chr(int(code, 16)).encode() if code else b"\t"
