"""The rows of `data/figures.csv`: check values with the source that each was taken from.

`seen` says how far a value is to be trusted: `seen` in the source or a transcription of it,
`memory`, or `derived` by the rule itself (such a row pins the rule, it proves nothing).
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest
from _pytest.mark.structures import ParameterSet

# The names in the table, which are those of the sources, as our symbols.
SYMBOLS = {
    "inch": "in",
    "knot": "kn",
    "gallon": "US gal",
    "quart": "US qt",
    "lbf*inch": "lbf*in",
    "kelvin": "K",
    "delta_degF": "degF",
    "delta_degC": "degC",
}


@dataclass(frozen=True)
class Row:
    id: str
    topic: str
    input: str
    input_unit: str
    expected: str
    expected_unit: str
    tolerance: str
    source: str
    section: str
    seen: str


def rows(*topics: str) -> list[ParameterSet]:
    """The rows of the topics; the name of each case holds its source."""
    with (Path(__file__).parent / "data" / "figures.csv").open(encoding="utf-8") as file:
        found = [Row(**row) for row in csv.DictReader(file) if row["topic"] in topics]
    assert found, f"no rows of {topics}"
    return [
        pytest.param(row, id=f"{row.id} {row.source}, {row.section} [{row.seen}]") for row in found
    ]


def symbol(name: str) -> str:
    return SYMBOLS.get(name.split()[0], name.split()[0])
