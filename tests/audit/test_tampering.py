"""A figure changed behind the book's back is found, and nothing else is reported."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction

import pytest

from placardry import audit
from placardry.audit.listing import listed
from placardry.audit.told import ABSENT, MISSING, SEARCH, Told
from tests.audit.beside import beside
from tests.audit.conftest import entries_of
from tests.audit.edits import Edit, Entries, Spot, edit
from tests.audit.spots import spots
from tests.audit.test_folder import remade

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
    """What the audit says of the edited file when the manifests were made anew."""
    is_alone = kind_of(made.path) in ("PDF", "drawing") and made.what not in ("word", "taken out")
    if is_alone:
        return list(audit.audit_file(made.path, made.data, registers).told)
    told = audit.audit(remade(beside(made, files))).told
    return [one for one in told if one.finding.rule is not MISSING]  # as little as it is judged by


def fault(made: Edit, told: list[Told]) -> str:
    """What is wrong with what was told of an edit; empty if nothing is."""
    said = [
        f"{one.finding.span.path}: {one.finding.rule.name}: {one.figure}: {one.found!r} for "
        f"{one.expected!r}"
        for one in told
    ]
    if not told:
        return f"missed: {made}"
    if any(one.finding.span.path != made.path for one in told):
        return f"another file is blamed: {made}: {said}"
    if made.what == "taken out":
        return _fault_of_removal(made, told, said)
    if made.swapped:
        wrong = [one for one in told if not _is_swapped(one, made.swapped)]
        return f"more than the letter is blamed: {made}: {said}" if wrong else ""
    if len(told) > 1:
        return f"told more than once: {made}: {said}"
    (one,) = told
    if made.anchors and one.figure not in made.anchors:
        return f"another figure is blamed: {made}: {said}"
    wanted, expected = made.expected, one.expected
    if made.what.startswith("former"):  # history is kept in canonical numerals
        wanted = re.sub(r"\b(?:to|bis)\b|±.*|[^\d.:]", "", wanted.replace(",", "."))
        expected = re.sub(r"\bto\b|[()]", "", expected)
    if not (_holds(one.found, made.found) and _holds(expected, wanted)):
        return f"other words are told: {made}: {said}"
    return ""


def _fault_of_removal(made: Edit, told: list[Told], said: list[str]) -> str:
    """What is wrong with what was told of something taken out: one kind, of its figures alone."""
    rules = {one.finding.rule for one in told}
    if len(rules) > 1:
        return f"several kinds are told: {made}: {said}"
    figures = {one.figure for one in told}
    # Of a figure that stands elsewhere on the page too the search index tells by its words.
    if rules != {SEARCH} and not (figures and figures <= made.anchors):
        return f"other figures are blamed: {made}: {said}"
    is_whole = rules == {ABSENT} and made.expected.startswith("page ")
    return (
        f"not all figures are told: {made}: {said}" if is_whole and figures != made.anchors else ""
    )


def _is_swapped(one: Told, letters: tuple[str, str]) -> bool:
    """Whether what was found is what was expected, with one letter in the place of another.

    A band is named by the end at which it begins alone: then that number is.
    """
    found, numbers = "".join(one.found.split()), re.findall(r"\d+", one.found)
    return any(
        "".join(said.split()).replace(*letters) == found
        or numbers == re.findall(r"\d+", said.replace(*letters))[:1]
        for said in one.expected.split(" or ")
    )


def _holds(text: str, wanted: str) -> bool:
    """Whether words or a number stand in what was told."""
    squeezed = "".join(text.split())
    if "".join(wanted.split()) in squeezed:
        return True
    try:
        return f"{float(Fraction(wanted)):.6g}" in squeezed
    except ValueError:
        return False


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


def test_a_unit_wider_than_the_link_of_its_figure_in_a_pdf_is_found(
    files: dict[str, bytes], registers: audit.Registers, entries: Entries
) -> None:
    """A link is as wide as the words that were set; those of a forger may reach out of it."""
    made = [
        edit_to
        for path, data in files.items()
        if kind_of(path) == "PDF"
        for spot in spots(path, data, entries)
        if spot.kind == "figure" and re.fullmatch(r"\d+[ \u00a0\u202f]s", spot.text)
        for wide in [spot.text[:-1] + "minutes"]
        if (changed := spot.make(wide))
        for edit_to in [Edit(path, "unit", changed, spot.anchors, wide, spot.text)]
    ]
    assert len({one.path for one in made}) >= 2
    assert [fault(one, findings(one, files, registers)) for one in made] == [""] * len(made)


@pytest.mark.parametrize("at", range(SAMPLE))
def test_the_manifest_names_the_forged_file(
    at: int, sample: list[Edit], files: dict[str, bytes]
) -> None:
    assert named(sample[at], files) == [sample[at].path]


def named(made: Edit, files: Files) -> list[str]:
    """The files that are not as the manifests say; the manifest of all has none above it."""
    found = {one.finding.span.path for one in listed({**files, made.path: made.data})}
    return sorted(found | {made.path} if made.path == "manifest.json" else found)


@pytest.mark.soak
def test_five_hundred_forged_figures_are_found(published: dict[str, bytes]) -> None:
    registers = audit.registers_of(published)
    drawn = Draw(published, seed=20260501).edits()
    faults = []
    for made in (next(drawn) for _ in range(500)):
        said = fault(made, findings(made, published, registers))
        also = named(made, published) != [made.path] and f"not named by the manifest: {made}"
        faults += [one for one in (said, also) if one]
    assert faults == [], f"{len(faults)} of 500"
