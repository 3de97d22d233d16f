"""The copies of a register, read in the language of the manual that they are of."""

from __future__ import annotations

import json
from typing import Any

from placardry.audit import registers


def test_one_manual_in_another_language_than_the_book_is_read_in_its_own() -> None:
    """Where it was built alone the register of all holds it alone, with no page to say how."""
    row: dict[str, Any] = {
        "id": "spring", "part": None, "manual": "tern-de", "machine": "tern", "type": "limit",
        "kind": "maximum", "parameter": None, "written": "1.885 in", "guards": None, "line": 3,
        "condition": None, "exact": {"high": "377/200", "unit": "in"},
        "published": {"in": {"high": "1.885"}}, "shown": {"in": "1,885 in"}, "margin": {"in": "0"},
        "exceeded": None, "source": None, "file": "procedures/spring.yaml", "used_in": [],
    }  # fmt: skip
    register = {"schema": 1, "book": "specimen", "edition": None, "documents": [], "figures": [row]}
    data = json.dumps(register).encode()
    page = b'<html lang="de"></html>'
    files = {"register.json": data, "tern-de/register.json": data, "tern-de/register.html": page}
    told = registers.read(files).told
    assert [one.finding.message for one in told if "1,885" in one.finding.message] == []
    english = {**files, "tern-de/register.html": page.replace(b"de", b"en")}
    assert any("1,885" in one.finding.message for one in registers.read(english).told)
