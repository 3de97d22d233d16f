"""Tables without the columns that hold nothing; no value is ever lost with them."""

from __future__ import annotations

import re

from placardry.pages import pages
from tests.manuals import speaker_of


def tables(markdown: str) -> list[list[list[str]]]:
    """The cells of each table, the headings first."""
    found = re.findall(r"(?:^\|.*\n)+", markdown, re.MULTILINE)
    return [
        [line.strip().strip("|").split(" | ") for line in table.splitlines() if "---" not in line]
        for table in found
    ]


def test_every_row_has_a_cell_for_each_heading_and_none_is_all_empty() -> None:
    seen = 0
    for page in pages(speaker_of()):
        for head, *rows in tables(page.markdown):
            seen += 1
            assert rows, page.path
            assert {len(row) for row in rows} == {len(head)}, page.path
            if page.path == "register.md" or page.path.startswith("guide/"):
                continue
            for at in range(1, len(head)):
                assert {row[at].strip() for row in rows} != {"–"}, (page.path, head[at])
    assert seen > 10


def test_a_table_of_one_row_keeps_its_value() -> None:
    (limits,) = [one for one in pages(speaker_of()) if one.path == "limits.md"]
    single = [rows for head, *rows in tables(limits.markdown) if len(rows) == 1]
    assert single
    assert all("register.md#" in rows[0][1] for rows in single)
