"""libyaml's complaints in people's words: where the mistake is, and what to type.

A parser says where it gave up, often a line too late and in its own terms. Here its complaint and
the lines around it are read together. Knows the lines of one file, nothing of their meaning.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import yaml

from placardry.finding import MOST_IN_TEXT, Finding, Rule, Span, light
from placardry.source_text import TAB, shortened
from placardry.syntax_rules import (
    MISSING_COLON,
    SYNTAX_ERROR,
    TEXT_NEEDS_QUOTES,
    TOO_DEEP,
    UNCLOSED_BRACKET,
    UNCLOSED_QUOTE,
    WRONG_INDENTATION,
)
from placardry.yaml_rules import TEXT_CUT_BY_HASH, UNQUOTED_REFERENCE

_VALUE = re.compile(r"\s*(?:- +)*(?:(?P<key>[^\s:#'\"{\[][^:]*): +|(?<=- ))(?P<value>\S.*)")
_NO_BREAK = "\u00a0\u2007\u2009\u202f"
# Compiled by the first text with such a space: few have one.
_NO_BREAK_SPACE = rf"(?m)^( *(?:- +)?(?:[\w-]+: *)?)([{_NO_BREAK}][ {_NO_BREAK}]*)"
_REFERENCE_FIRST = re.compile(r"\{+[a-z][a-z0-9-]*(/[a-z0-9-]+)?(\.[a-z0-9-]+)?\}")


@light
class _Fault:
    """One complaint: the places count from 0, as libyaml counts them."""

    path: str
    lines: list[str]
    problem: str
    line: int
    column: int
    start_line: int  # where the construct begins that could not be read
    start_column: int

    @property
    def text(self) -> str:
        """The line on which the parser gave up."""
        return self.lines[self.line]

    def finding(self, rule: Rule, message: str, mend: str, *at: int) -> Finding:
        """A finding at (line, column, end column); where the parser gave up if none is given."""
        line, column, end = at or (self.line, self.column, self.column + 1)
        end = max(end, column + 1)
        span = Span(self.path, line + 1, column + 1, line + 1, end + 1)
        return Finding(rule, span, message, mend)


def plain_spaces(path: str, text: str) -> tuple[str, list[Finding]]:
    """The text with plain spaces where YAML would take one that does not break for a letter.

    Such a space looks like any other; it gets a finding wherever it indents or follows a colon.
    """
    findings: list[Finding] = []
    if not any(space in text for space in _NO_BREAK):
        return text, findings
    for match in re.finditer(_NO_BREAK_SPACE, text):
        line, column = text.count("\n", 0, match.start()) + 1, match.start(2) - match.start() + 1
        message = "a no-break space stands where a plain space should"
        span = Span(path, line, column, line, column + len(match[2]))
        findings.append(Finding(WRONG_INDENTATION, span, message, "delete it and type a space"))
        if len(findings) == MOST_IN_TEXT:
            break
    if findings:
        text = re.sub(_NO_BREAK_SPACE, lambda match: match[1] + " " * len(match[2]), text)
    return text, findings


def explain(path: str, lines: list[str], error: yaml.MarkedYAMLError) -> Finding:
    """The finding for a syntax error: its real place, what stands there and what would be right."""
    mark = error.problem_mark or error.context_mark
    start = error.context_mark or mark
    if mark is None or start is None:
        return Finding(
            SYNTAX_ERROR, Span(path), str(error).lower(), "compare the file with another"
        )
    last = len(lines) - 1  # the end of the text may be counted as a line of its own
    fault = _Fault(path, lines, str(error.problem or error.context), min(mark.line, last),
                   mark.column, min(start.line, last), start.column)  # fmt: skip
    for words, tell in _TELLERS:
        if words in fault.problem and (finding := tell(fault)):
            return finding
    return fault.finding(
        SYNTAX_ERROR, fault.problem.lower(), "put the text in quotes, or type the line anew"
    )


def _depth(fault: _Fault) -> Finding:
    message = "brackets stand inside each other more than 50 levels deep"
    return fault.finding(TOO_DEEP, message, "remove the brackets that are too many")


def _tab(fault: _Fault) -> Finding | None:
    if fault.text[fault.column : fault.column + 1] != "\t":
        return None
    return fault.finding(TAB, "a tab stands in the indentation", "replace every tab by spaces")


def _quotes(fault: _Fault, line: int, says: str) -> Finding | None:
    """Text that should stand in quotes: the value on `line`, if there is one."""
    match = _VALUE.match(fault.lines[line])
    if match is None:
        return None
    value, key = match["value"].rstrip(), match["key"]
    at = (line, match.start("value"), match.start("value") + len(value))
    first = f"{shortened(key)}: " if key else "- "
    mend = f"put the text in quotes: `{first}{_quoted(value)}`"
    if _REFERENCE_FIRST.match(value):
        reference = value[: value.index("}") + 1]
        message = f"text begins with `{reference}` and stands without quotes"
        return fault.finding(UNQUOTED_REFERENCE, message, mend, *at)
    return fault.finding(TEXT_NEEDS_QUOTES, says, mend, *at)


def _quoted(value: str) -> str:
    """The value in quotation marks, as YAML wants it; cut short if it is long."""
    shown = shortened(value.strip("\"'"))
    if '"' in shown or "\\" in shown:
        return "'" + shown.replace("'", "''") + "'"
    return f'"{shown}"'


def _first_character(fault: _Fault) -> Finding | None:
    """Text that begins with a character which means something to YAML."""
    line, column = fault.start_line, fault.start_column
    here = fault.lines[line][column : column + 1]
    if not here.strip():
        message = "the text ends inside a bracket"
        return fault.finding(UNCLOSED_BRACKET, message, "close the bracket, or put it in quotes")
    if here == "," and (before := fault.lines[line][:column].rstrip()) and before[-1] in ",[{":
        message = f"nothing stands between `{before[-1]}` and `,`"
        return fault.finding(SYNTAX_ERROR, message, "remove the comma", line, column, column + 1)
    message = f"text begins with `{here}`"
    match = _VALUE.match(fault.lines[line])
    if match and match.start("value") == column:
        return _quotes(fault, line, message)
    mend = "put the text in quotes"
    return fault.finding(TEXT_NEEDS_QUOTES, message, mend, line, column, column + 1)


def _not_here(fault: _Fault) -> Finding | None:
    """`- x` or `? x` behind a key."""
    here = fault.text[fault.column : fault.column + 1]
    return _quotes(fault, fault.line, f"text begins with `{here}`")


def _unclosed_quote(fault: _Fault) -> Finding:
    line = fault.lines[fault.start_line]
    mark = line[fault.start_column : fault.start_column + 1]
    return fault.finding(
        UNCLOSED_QUOTE, f"the `{mark}` is never closed", f"type `{mark}` at the end of the text",
        fault.start_line, fault.start_column, fault.start_column + 1,
    )  # fmt: skip


def _escape(fault: _Fault) -> Finding:
    start = fault.text.rfind("\\", 0, fault.column + 1)
    start = fault.column if start < 0 else start
    end = max(fault.column, start) + 2
    return fault.finding(
        SYNTAX_ERROR, f"`{fault.text[start:end]}` is no escape that YAML knows",
        "put the text in single quotes: `'…'`", fault.line, start, end,
    )  # fmt: skip


def _second_colon(fault: _Fault) -> Finding | None:
    """A colon where none is allowed: in plain text, or on a line that is indented too far."""
    match = _VALUE.match(fault.text[: fault.column + 1])
    if match and match["key"]:
        return _quotes(fault, fault.line, "text holds a colon with a space behind it")
    return _indentation(fault)


def _indentation(fault: _Fault) -> Finding | None:
    """A line that does not stand under one of the lines that it could belong with."""
    here = len(fault.text) - len(fault.text.lstrip(" "))
    levels: list[int] = []
    for line in reversed(fault.lines[: fault.line]):
        depth = len(line) - len(line.lstrip(" "))
        is_text = line.strip() and not line.lstrip().startswith("#")
        if is_text and (not levels or depth < levels[-1]):
            levels.append(depth)
    fitting = [level for level in sorted(levels) if level != here]
    if not fitting or fault.column < here:
        return None
    word = fault.text.split()[0] if fault.text.split() else ""
    choice = " or ".join(str(level + 1) for level in fitting[-3:])
    mend = f"begin it in column {choice}, below the lines that it belongs with"
    if above := _outlier(fault, here):
        mend += f"; or begin `{shortened(above)}` above it in column {here + 1} too"
    return fault.finding(
        WRONG_INDENTATION, f"`{shortened(word)}` begins in column {here + 1}, below no other line",
        mend, fault.line, here, here + len(word),
    )  # fmt: skip


def _outlier(fault: _Fault, here: int) -> str:
    """The first word of the line above, where those around it rather begin in column `here`."""
    lines = [line for line in fault.lines if line.strip() and not line.lstrip().startswith("#")]
    at = lines.index(fault.text) if lines.count(fault.text) == 1 else 0
    if at < 1 or lines[at - 1].rstrip().endswith(":"):
        return ""
    depths = [len(line) - len(line.lstrip(" ")) for line in lines]
    is_one_of_many = here in (depths[at - 2] if at > 1 else -1, *depths[at + 1 : at + 2])
    return lines[at - 1].split()[0] if is_one_of_many else ""


def _expected_key(fault: _Fault) -> Finding | None:
    """A block mapping or list ended too early."""
    text, column = fault.text, fault.column
    before = text[:column].rstrip()
    if before and text[column : column + 1] in "}]":
        here = text[column]
        message = f"the `{here}` closes nothing"
        return fault.finding(UNCLOSED_BRACKET, message, f"remove the `{here}`")
    if before and before[-1] in "\"'" and (opened := _opened_above(fault, before[-1])):
        return opened
    if before and (match := _VALUE.match(text)) and match["value"][0] in "{[\"'*":
        first = match["value"][0]
        says = (
            f"text begins with `{first}`" if first == "*" else f"text goes on behind `{before[-1]}`"
        )
        return _quotes(fault, fault.line, says)
    if before.strip():
        return None
    if text[column : column + 1] == ":":
        mend = "write a key before the colon"
        return fault.finding(SYNTAX_ERROR, "no key stands before the colon", mend)
    above = fault.line - 1
    if above >= 0 and fault.lines[above].lstrip().startswith("#"):
        at = len(fault.lines[above]) - len(fault.lines[above].lstrip())
        return fault.finding(
            TEXT_CUT_BY_HASH, "a comment stands between two lines of one text",
            "move the comment above the text, or put the text in quotes",
            above, at, len(fault.lines[above]),
        )  # fmt: skip
    if text.lstrip().startswith("- ") and column == fault.start_column:
        message = "a list item stands among keys"
        mend = "write a key with a colon above the list, and indent the list below it"
        return fault.finding(WRONG_INDENTATION, message, mend)
    if fault.problem.endswith("'-' indicator") and column == fault.start_column:
        message = "a key stands among list items"
        return fault.finding(WRONG_INDENTATION, message, "begin the line with `- `, or indent it")
    return _indentation(fault)


def _opened_above(fault: _Fault, mark: str) -> Finding | None:
    """A quotation mark on a line above that was never closed, so that the next one ended it."""
    until = fault.text[: fault.column].rstrip()
    behind, before = fault.text[len(until) : len(until) + 1], until[-2:-1]
    if not (behind.isalnum() or before in " [{("):
        return None  # it ends a word, so it closes what it should
    for line in range(fault.line - 1, fault.start_line - 1, -1):
        match = _VALUE.match(fault.lines[line])
        if match is None or match["value"][0] not in "\"'":
            continue
        value = match["value"].rstrip()
        if value[0] != mark or value.count(mark) % 2 == 0:
            return None
        at = match.start("value")
        return fault.finding(
            UNCLOSED_QUOTE, f"the `{mark}` is not closed on its line",
            f"type `{mark}` at the end of the text", line, at, at + 1,
        )  # fmt: skip
    return None


def without_space(key: str, value: str) -> tuple[str, str]:
    """What to say of a `key:value` with no space behind its colon, and its mend."""
    message = f"no space stands behind the colon of `{shortened(key)}`"
    return message, f"write `{shortened(key)}: {shortened(value)}`"


def _missing_colon(fault: _Fault) -> Finding:
    text = fault.lines[fault.start_line]
    words = text[fault.start_column :].rstrip()
    at = (fault.start_line, fault.start_column, fault.start_column + len(words))
    if " #" in words:
        message = f"`{shortened(words[words.index(' #') + 1 :])}` is cut off as a comment"
        return fault.finding(TEXT_CUT_BY_HASH, message, "put the whole key in quotes", *at)
    if match := re.match(r"([\w-]+):(\S.*)", words):
        return fault.finding(MISSING_COLON, *without_space(match[1], match[2]), *at)
    shown = shortened(words)
    key, _, value = shown.partition(" ")
    better = f"{key}: {value}" if value else f"{key}:"
    mend = f"write `{better}`, or indent it to go on with the text above"
    return fault.finding(MISSING_COLON, f"`{shown}` has no colon", mend, *at)


def _expected_comma(fault: _Fault) -> Finding | None:
    """Something in brackets is neither ended by a comma nor by the closing bracket."""
    opener = fault.lines[fault.start_line][fault.start_column : fault.start_column + 1]
    closer = {"{": "}", "[": "]"}.get(opener, "}")
    same = fault.line == fault.start_line
    if same and fault.text[fault.column : fault.column + 1] == ":":
        inside = fault.text[fault.start_column : fault.column + 1]
        return fault.finding(
            TEXT_NEEDS_QUOTES, f"a colon too many stands in `{shortened(inside)}`",
            "put text that holds a colon in quotes, or a comma between two keys",
        )  # fmt: skip
    inside = fault.text[fault.start_column + 1 if same else 0 : fault.column].rstrip()
    if references := list(_REFERENCE_FIRST.finditer(inside)):
        last = references[-1]
        at = fault.text.rindex(last[0], 0, fault.column)
        mend = "put the whole text in quotes"
        message = f"text begins with `{last[0]}` and stands without quotes"
        return fault.finding(UNQUOTED_REFERENCE, message, mend, fault.line, at, at + len(last[0]))
    if same and fault.column < len(fault.text):
        word = shortened(fault.text[fault.column :].split()[0])
        if word.startswith("{"):
            message, mend = (
                f"`{word}` stands in text without quotes",
                "put the whole text in quotes",
            )
            return fault.finding(TEXT_NEEDS_QUOTES, message, mend)
        mark = inside[-1:]
        opened = fault.text.rfind(mark, 0, fault.text.rindex(mark, 0, fault.column)) if mark else -1
        if mark and mark in "\"'" and inside[-2:-1] in " :[{(" and opened >= 0:
            message = f"the `{mark}` is not closed where its text ends"
            mend = f"type `{mark}` at the end of the text"
            return fault.finding(UNCLOSED_QUOTE, message, mend, fault.line, opened, opened + 1)
        mend = "type a comma, or put the whole text in quotes"
        return fault.finding(TEXT_NEEDS_QUOTES, f"no comma stands before `{word}`", mend)
    at = fault.start_column
    return fault.finding(
        UNCLOSED_BRACKET, f"the `{opener}` is not closed", f"type `{closer}` where it should end",
        fault.start_line, at, at + 1,
    )  # fmt: skip


_TELLERS: tuple[tuple[str, Callable[[_Fault], Finding | None]], ...] = (
    ("maximum nesting depth", _depth),
    ("tab character", _tab),
    ("cannot start any token", _tab),
    ("cannot start any token", _first_character),
    ("alphabetic or numeric character", _first_character),
    ("non-alphabetical character", _first_character),
    ("comment or line break", _first_character),
    ("expected node content", _first_character),
    ("undefined tag handle", _first_character),
    ("unexpected end of stream", _unclosed_quote),
    ("document indicator", _unclosed_quote),
    ("escape", _escape),
    ("mapping values are not allowed", _second_colon),
    ("are not allowed in this context", _not_here),
    ("could not find expected ':'", _missing_colon),
    ("expected key", _expected_key),
    ("'-' indicator", _expected_key),
    ("expected ',' or", _expected_comma),
)
