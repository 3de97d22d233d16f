"""Bytes of author text as characters, without any that would be lost or lie to the eye.

Every reader of text begins here. Knows characters and lines, nothing of YAML or Markdown.
"""

from __future__ import annotations

import re
import unicodedata

from placardry.files import text_of
from placardry.finding import MOST_IN_TEXT, Family, Finding, Rule, Severity, Span

BAD_ENCODING = Rule(
    "bad-encoding",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    r"""A file's bytes are not text in UTF-8.

    Read with the wrong encoding, a degree sign or an accent turns into another character.
    UTF-8 is the only encoding that is read, with or without a byte order mark.

    Source: RFC 3629 (UTF-8).

    Bad:
        content/notes.md
            # Notes

            It may reach 40 \xb0C.
    Good:
        content/notes.md
            # Notes

            It may be warm.
    """,
)
HIDDEN_CHARACTER = Rule(
    "hidden-character",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    r"""Text holds a character that cannot be seen or that reorders its neighbours.

    Control characters and right-to-left overrides make a reviewer read something else than what
    is published.

    Source: Unicode Standard Annex 9, section 2 (directional formatting characters); Unicode
    Technical Standard 39.

    Bad:
        content/notes.md
            # Notes

            Stop\u202e the engine.
    Good:
        content/notes.md
            # Notes

            Stop the engine.
    """,
)
TAB = Rule(
    "tab",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    r"""Text holds a tab.

    A tab is as wide as the editor that shows it, so what looks aligned is not; YAML does not
    allow one in an indentation.

    Source: YAML 1.2.2, section 6.1 (indentation spaces).

    Bad:
        content/notes.md
            # Notes

            Stop\tthe engine.
    Good:
        content/notes.md
            # Notes

            Stop the engine.
    """,
)

LINE_TOO_LONG = Rule(
    "line-too-long",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    """A line is longer than 10000 characters.

    Nobody can review such a line, and no editor shows it. It is most often something that is no
    text: a picture, or a file of another program.

    Source: common practice, no source.
    """,
)
MISNAMED_FILE = Rule(
    "misnamed-file",
    Severity.ERROR,
    Family.SOURCE_TEXT,
    """A file of text has a name that ends in another way than `.yaml` or `.md`.

    It would be passed over, and what it says would be missing from the manual. Some computers
    hide the end of a name, and add `.txt` behind it.

    Source: common practice, no source.

    Bad:
        content/notes.md.txt
            # Notes

            Keep them short.
    Good:
        content/notes.md
            # Notes

            Keep them short.
    """,
)
_ENDINGS = {
    "procedures": (".yaml", re.compile(r"\.(?:yaml|yml)(?:\.txt)?$", re.IGNORECASE)),
    "content": (".md", re.compile(r"\.(?:md|mdown|markdown)(?:\.txt)?$", re.IGNORECASE)),
}
MOST_IN_LINE = 10_000  # the longest paragraph that anybody writes is a tenth of it

_SAFE_BYTES = bytes([*range(0x20, 0x7F), 0x0A])
# Controls (a lone carriage return and Unicode's own line ends too: editors disagree on them),
# directional formatting, characters without a width or a shape, and tags. The joiners
# U+200C and U+200D stay: some scripts cannot be written without them.
HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u180e\u3164\uffa0\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffc\ufffe\uffff\U000e0000-\U000e007f]"
)


def read_text(path: str, data: bytes) -> tuple[str | None, list[Finding]]:
    """The text of a file with single line feeds, and its hidden characters and tabs.

    Hidden characters are replaced by U+FFFD. None if the bytes are not UTF-8, or not lines that
    anybody could read.
    """
    rest = data.translate(None, _SAFE_BYTES)
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        return None, [_bad_encoding(path, data, error.start)]
    text = text_of(data)
    if "\r" in text:
        return None, [_lone_return(path, text)]
    if len(text) > MOST_IN_LINE and (too_long := _too_long(path, text)):
        return None, [too_long]
    if not rest:
        return text, []
    findings: list[Finding] = []
    if "\ufffd" in text:
        findings.append(_lost(path, text))
    if b"\t" in rest:
        findings.append(_tab(path, text))
    if HIDDEN.search(text):
        findings.extend(_hidden(path, text))
        text = HIDDEN.sub("\ufffd", text)  # what was reported must not stop the readers
    return text, findings


def name_meant(path: str) -> str:
    """The name that a file should have to be read; empty if it is read, or is no text."""
    right, ending = _ENDINGS[path.partition("/")[0]]
    name = path.rpartition("/")[2]
    return "" if name.endswith(right) or not ending.search(name) else ending.sub(right, name)


def _bad_encoding(path: str, data: bytes, at: int) -> Finding:
    mend = "save the file as UTF-8: editors offer it as the encoding, or below `Save as`"
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Finding(BAD_ENCODING, Span(path), "the file is in UTF-16", mend)
    before = data[:at].decode("utf-8").removeprefix("\ufeff").replace("\r\n", "\n")
    line, column = _position(before, len(before))
    message = f"byte {data[at]:02X} is not UTF-8"
    guess = data[at : at + 1].decode("cp1252", "ignore")
    if guess.isprintable() and guess:
        message += f" (in Windows-1252 it is `{guess}`)"
    return Finding(BAD_ENCODING, Span(path, line, column, line, column + 1), message, mend)


def _lone_return(path: str, text: str) -> Finding:
    line, column = _position(text, text.index("\r"))
    message = "a line ends in a carriage return alone, as on very old computers"
    mend = "save the file with the line ends of Windows (CRLF) or of Unix (LF)"
    return Finding(HIDDEN_CHARACTER, Span(path, line, column, line, column + 1), message, mend)


def _too_long(path: str, text: str) -> Finding | None:
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > MOST_IN_LINE:
            span = Span(path, number, 1, number, len(line) + 1)
            message = f"the line has {len(line)} characters, more than the {MOST_IN_LINE} read"
            mend = "break the line, or remove what is no text"
            return Finding(LINE_TOO_LONG, span, message, mend)
    return None


def _lost(path: str, text: str) -> Finding:
    """A character that an earlier conversion could not keep."""
    line, column = _position(text, text.index("\ufffd"))
    span = Span(path, line, column, line, column + 1)
    message = "a character was lost here when the file was saved in another encoding (U+FFFD)"
    return Finding(BAD_ENCODING, span, message, "type the character again and save as UTF-8")


def _tab(path: str, text: str) -> Finding:
    """One finding for all tabs of a file: they came from one setting of one editor."""
    line, column = _position(text, text.index("\t"))
    indents = not text.split("\n", line)[line - 1][: column - 1].strip()
    message = "a tab stands in the indentation" if indents else "a tab stands in the text"
    if (others := text.count("\t") - 1) > 0:
        message += f", and {others} more follow"
    mend = "replace every tab by spaces"
    return Finding(TAB, Span(path, line, column, line, column + 1), message, mend)


def _hidden(path: str, text: str) -> list[Finding]:
    """A finding for every line with hidden characters, at the first of them."""
    findings: list[Finding] = []
    last_line = 0
    for match in HIDDEN.finditer(text):
        line, column = _position(text, match.start())
        if line == last_line:
            continue
        last_line = line
        name = unicodedata.name(match[0], "control character").lower()
        message = f"hidden character U+{ord(match[0]):04X} ({name})"
        span = Span(path, line, column, line, column + 1)
        findings.append(Finding(HIDDEN_CHARACTER, span, message, "delete the character"))
        if len(findings) == MOST_IN_TEXT:
            break
    return findings


def _position(text: str, offset: int) -> tuple[int, int]:
    """Line and column, from 1, of an offset."""
    return text.count("\n", 0, offset) + 1, offset - (text.rfind("\n", 0, offset) + 1) + 1


def shortened(text: str, most: int = 60) -> str:
    """The beginning of a text that is too long to be quoted in a message."""
    return text if len(text) <= most else text[: most - 1] + "…"
