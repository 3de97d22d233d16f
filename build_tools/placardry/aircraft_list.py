"""A private list of aircraft as spreadsheets save it: its rows, and what is wrong with it.

Only serial, machine and codes are read; nothing else of a row is kept or repeated.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Iterator

from placardry.finding import Family, Finding, Rule, Severity, Span
from placardry.wording import LANGUAGES
from placardry.wording.words import words

COLUMNS = ("serial", "machine", "cards")
# By this line a spreadsheet program is told what parts the fields; common practice, no source.
_PARTED_BY = re.compile(r'"?sep=([,;\t])"?\1*\r?\n', re.IGNORECASE)
_MOST_BYTES = 16 * 2**20
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # ZIP, and compound files: from memory

BAD_RECALL_ROW = Rule(
    "bad-recall-row",
    Severity.ERROR,
    Family.EDITIONS,
    """A row of the list of aircraft cannot be used, so that aircraft would be missed.

    Source: common practice, no source.
    """,
)
PRIVATE_COLUMN = Rule(
    "private-column",
    Severity.WARNING,
    Family.EDITIONS,
    """The list of aircraft has columns that are not needed, such as names or addresses.

    They are not read and stand in no output. A list without them cannot leak them.

    Source: Regulation (EU) 2016/679, article 5(1)(c), data minimisation.
    """,
)


def rows_of(
    path: str, data: bytes, findings: list[Finding]
) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows with the line each ends in, and only the columns that are needed."""
    if len(data) > _MOST_BYTES:
        message = f"the list has {len(data)} bytes"
        findings.append(Finding(BAD_RECALL_ROW, Span(path), message, "split the list"))
        return
    if data.startswith(_WORKBOOKS):
        message, mend = (
            "the list is a workbook",
            "save it as CSV, and name that file",
        )
        findings.append(Finding(BAD_RECALL_ROW, Span(path), message, mend))
        return
    text = _text(data)
    told = _PARTED_BY.match(text)
    text, above = (text[told.end() :], 1) if told else (text, 0)
    between = told[1] if told else max(",;\t", key=text.partition("\n")[0].count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    try:
        whole = [(reader.line_num + above, row) for row in reader]
    except csv.Error:
        line = reader.line_num + above
        message = f"the list cannot be read from line {line} on"
        mend = 'close the `"` there, or remove it'
        findings.append(Finding(BAD_RECALL_ROW, Span(path, line), message, mend))
        return
    head = _ended(whole[0][1]) if whole else []
    places = {name: _places(name, head) for name in COLUMNS}
    wrong = next((name for name, its in places.items() if len(its) != 1), None)
    if wrong is not None:
        fault = _unclear(wrong, [head[place].strip() for place in places[wrong]], between)
        findings.append(Finding(BAD_RECALL_ROW, Span(path), *fault))
        return
    if len(head) > len(COLUMNS):
        # The names of such columns are not repeated: what stands there may be a person's.
        message = f"the list has more columns than {', '.join(COLUMNS)}; the others are not read"
        mend = "remove the other columns from the list"
        findings.append(Finding(PRIVATE_COLUMN, Span(path), message, mend))
    at = {name: place for name, (place,) in places.items()}
    rows = [(line, row) for line, row in whole[1:] if any(one.strip() for one in row)]
    if not rows:
        message, mend = "the list names no aircraft", "write one in each line below the first"
        findings.append(Finding(BAD_RECALL_ROW, Span(path), message, mend))
    for line, row in rows:
        if not max(at.values()) < len(row) or len(_ended(row)) > len(head):
            message = f"line {line} has {len(row)} fields, the first line {len(head)}"
            mend = "give it as many; codes in one field are parted by spaces"
            findings.append(Finding(BAD_RECALL_ROW, Span(path, line), message, mend))
            continue
        yield line, {name: " ".join(row[place].split()) for name, place in at.items()}


def _places(column: str, head: list[str]) -> list[int]:
    """Where a column may stand: under its own name, else under what else it may be headed."""
    plain = [_plain(one) for one in head]
    told = (words(language)[f"list.{column}"] for language in LANGUAGES)
    others = {_plain(one) for heads in told for one in heads.split(", ")}
    named = [place for place, one in enumerate(plain) if one == column]
    return named or [place for place, one in enumerate(plain) if one in others]


def _ended(row: list[str]) -> list[str]:
    """A row without the empty fields at its end."""
    count = max((at for at, one in enumerate(row, 1) if one.strip()), default=0)
    return row[:count]


def _unclear(column: str, heads: list[str], between: str) -> tuple[str, str]:
    """Message and mend where a column is missing, or may be any of several."""
    if not heads:
        message = f"the head of the list names no column `{column}`"
        line = between.join(COLUMNS) if between != "\t" else ", ".join(COLUMNS)
        return message, f"write `{column}` above its column; without heads begin with `{line}`"
    both = " and ".join(f"`{one}`" for one in heads)
    message = f"the head of the list names {len(heads)} columns that may be `{column}`: {both}"
    return message, f"write `{column}` above the one to be read, and above no other"


def _plain(head: str) -> str:
    """The plain letters of a head: so `Serien-Nr.` is `SERIEN NR`, and `Gerät` in any table."""
    return re.sub(r"[^a-z0-9]", "", unicodedata.normalize("NFC", head).casefold())


def _text(data: bytes) -> str:
    """The text of a list as spreadsheets save it: UTF-8, UTF-16 with its mark, or one byte a sign.

    Only ASCII counts in what is needed of a list, so of the last kind any table of signs will do.
    """
    try:
        return data.decode("utf-16" if data[:2] in (BOM_UTF16_LE, BOM_UTF16_BE) else "utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")
