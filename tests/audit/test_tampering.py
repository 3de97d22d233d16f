"""A figure changed behind the book's back is found, and nothing else is reported."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping

import pytest

from placardry import audit
from placardry.audit.told import Told
from tests.audit.conftest import entries_of
from tests.audit.edits import Edit, Entries, Spot, edit, spots

KINDS = ("page", "PDF", "JSON", "table", "search", "drawing")
SAMPLE = 30
Files = Mapping[str, bytes]


def kind_of(path: str) -> str:
    """The kind of file that takes its turn in the draw."""
    name, end = path.rpartition("/")[2], path.rpartition(".")[2]
    if name.startswith("search_index"):
        return "search"
    return {"html": "page", "pdf": "PDF", "json": "JSON", "csv": "table", "svg": "drawing"}.get(
        end, ""
    )


class Draw:
    """Random edits of a published folder, kinds of files in balance."""

    def __init__(self, files: Files, seed: int) -> None:
        self.files = files
        self.rng = random.Random(seed)  # noqa: S311 - a draw, no secret
        self.rows = {
            path.partition("/")[0]: entries_of(dict(files), path.partition("/")[0])
            for path in files
            if path.count("/") == 1 and path.endswith("/register.json")
        }
        self.known: dict[str, list[Spot]] = {}

    def edits(self) -> Iterator[Edit]:
        """Without end; a kind of file that holds no figures is left out."""
        paths = {kind: [path for path in self.files if kind_of(path) == kind] for kind in KINDS}
        while True:
            for kind in KINDS:
                made = next(filter(None, (self.one(paths[kind]) for _ in range(200))), None)
                if made:
                    yield made

    def one(self, paths: list[str]) -> Edit | None:
        """An edit of one of these files, if the one drawn can be edited."""
        if not paths:
            return None
        path = self.rng.choice(paths)
        rows = self.rows.get(path.partition("/")[0]) or next(iter(self.rows.values()))
        found = self._spots(path, rows)
        kinds = sorted({one.kind for one in found})
        kind = self.rng.choice(kinds) if kinds else ""
        ready = [one for one in found if one.kind == kind]
        return edit(self.rng, path, self.rng.choice(ready), rows) if ready else None

    def _spots(self, path: str, rows: Entries) -> list[Spot]:
        if path not in self.known:
            if len(self.known) > 20:
                self.known.clear()
            self.known[path] = list(spots(path, self.files[path], rows))
        return self.known[path]


def findings(made: Edit, files: Files, registers: audit.Registers) -> list[Told]:
    """What the audit says of the edited file when no manifest gives it away."""
    if kind_of(made.path) in ("PDF", "drawing"):
        return list(audit.audit_file(made.path, made.data, registers).told)
    return list(audit.audit({**beside(made, files), made.path: made.data}).told)


def beside(made: Edit, files: Files) -> Files:
    """What the edited file is compared with: the registers, and the pages that an index leads to.

    At the top these are the registers of all manuals, in a folder those of its manual.
    """
    folder, mark, _ = made.path.rpartition("/")
    folder = folder.partition("/")[0]
    is_register = "register." in made.path
    return {
        path: data
        for path, data in files.items()
        if (is_register and "register." in path)
        or (mark and path.startswith(f"{folder}/register."))
        or (mark and not is_register and _is_read(path, folder))
    }


def _is_read(path: str, folder: str) -> bool:
    return path.startswith(f"{folder}/") and path.endswith((".html", "index.json", "index.js"))


def fault(made: Edit, told: list[Told]) -> str:
    """What is wrong with what was told of an edit; empty if nothing is."""
    if not told:
        return f"missed: {made}"
    said = [f"{one.finding.span.path}: {one.finding.message}" for one in told]
    if any(one.finding.span.path != made.path for one in told):
        return f"another file is blamed: {made}: {said}"
    if not made.anchor:
        return ""
    anchors = {made.anchor, made.new}
    if any(one.figure and one.figure not in anchors for one in told):
        return f"another figure is blamed: {made}: {said}"
    return ""


@pytest.fixture(scope="session")
def sample(files: dict[str, bytes]) -> list[Edit]:
    """Edits of all kinds of files and figures, the same in every run."""
    drawn = Draw(files, seed=1).edits()
    return [next(drawn) for _ in range(SAMPLE)]


@pytest.mark.parametrize("at", range(SAMPLE))
def test_a_forged_figure_is_found(
    at: int, sample: list[Edit], files: dict[str, bytes], registers: audit.Registers
) -> None:
    made = sample[at]
    assert fault(made, findings(made, files, registers)) == ""


@pytest.mark.soak
def test_five_hundred_forged_figures_are_found(published: dict[str, bytes]) -> None:
    registers = audit.registers_of(published)
    drawn = Draw(published, seed=20260501).edits()
    faults = [
        said
        for made in (next(drawn) for _ in range(500))
        if (said := fault(made, findings(made, published, registers)))
    ]
    assert faults == [], f"{len(faults)} of 500"
