"""What a finding points at, as a line for the eye: clipped, measured, and safe to print.

No character of a book or of a finding reaches a terminal that could move its cursor.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping

from placardry.files import text_of
from placardry.finding import Finding, Severity, Span, light


@light
class Style:
    """How a report may look. Units: `width` of the terminal in columns.

    Attributes:
        prefix: the way from the root of the repository to the book; None where there is none
    """

    colour: bool = False
    width: int = 80
    prefix: str | None = None


@light
class Excerpt:
    """One line of source and the carets below it, both ready to print."""

    line: str
    carets: str


def safe(text: str) -> str:
    """The text with everything escaped that is no visible character or plain space."""
    return "".join(char if _is_safe(char) else _escaped(char) for char in text)


def _is_safe(char: str) -> bool:
    return char == " " or unicodedata.category(char) not in _UNSAFE


# Controls, formats (bidirectional overrides among them), surrogates, unassigned and private
# characters, line and paragraph ends, odd spaces.
_UNSAFE = frozenset(("Cc", "Cf", "Cs", "Cn", "Co", "Zl", "Zp", "Zs"))


def _escaped(char: str) -> str:
    if char == "\u00a0":
        return " "  # a no-break space looks like what it is
    code = ord(char)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def columns(text: str) -> int:
    """How many columns of a terminal the text takes.

    Source: Unicode Standard Annex 11 (East Asian Width); combining marks take none.
    """
    return sum(_columns_of(char) for char in text)


def _columns_of(char: str) -> int:
    if unicodedata.combining(char) or unicodedata.category(char) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def lines_of(files: Mapping[str, bytes], path: str) -> list[str]:
    """The lines of a file, none if it is not there or is no text."""
    data = files.get(path)
    if data is None or b"\0" in data[:4096]:
        return []
    return text_of(data).split("\n")


def excerpt(lines: list[str], span: Span, width: int) -> Excerpt | None:
    """The first line of the span, at most `width` columns of it around what the span marks."""
    if not 1 <= span.line <= len(lines):
        return None
    line = lines[span.line - 1]
    start = min(span.column - 1, len(line))
    end = len(line) if span.end_line > span.line else min(span.end_column - 1, len(line))
    end = max(end, start)
    first, last = _window(line, start, end, width)
    before = "…" if first else ""
    after = "…" if last < len(line) else ""
    shown = before + safe(line[first:last]) + after
    indent = columns(before + safe(line[first:start]))
    marked = columns(safe(line[start : min(end, last)]))
    return Excerpt(shown.rstrip(), " " * indent + "^" * max(marked, 1))


def _window(line: str, start: int, end: int, width: int) -> tuple[int, int]:
    """Which stretch of a line to show so that `start` is seen and `width` is kept."""
    room = width - 2  # for an ellipsis on either side
    if len(line) <= 4 * width and columns(safe(line)) <= width:
        return 0, len(line)
    if columns(safe(line[: min(end, start + room)][: 4 * width])) <= room and start <= 4 * width:
        first = 0
    else:
        first = start
        spare = max(room - columns(safe(line[start : min(end, start + room)])), room // 3)
        while first > 0 and (used := columns(safe(line[first - 1]))) <= spare:
            first -= 1
            spare -= used
    last, left = first, room
    while last < len(line) and (used := columns(safe(line[last]))) <= left:
        last += 1
        left -= used
    return first, last


def summary(findings: tuple[Finding, ...], count_of_files: int) -> str:
    """How many of each severity, such as `2 errors, 1 warning in 41 files`."""
    words = {
        Severity.ERROR: ("error", "errors"),
        Severity.WARNING: ("warning", "warnings"),
        Severity.ADVICE: ("piece of advice", "pieces of advice"),
    }
    counts = {kind: sum(f.severity is kind for f in findings) for kind in words}
    said = [f"{n} {words[kind][n != 1]}" for kind, n in counts.items() if n]
    where = f"{count_of_files} file{'s' * (count_of_files != 1)}"
    return f"{', '.join(said) or 'nothing wrong'} in {where}"
