"""Every rule is its own test: its bad book gives it and nothing else, its good book nothing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pytest

from placardry import explain, notation, notice, recall
from placardry.audit import texts_told
from placardry.audit import told as audit_told
from placardry.book.figures import Limit
from placardry.files import read_folder, write_tree
from placardry.finding import Finding, Rule
from placardry.loader import load
from placardry.meaning import canonical, digest
from placardry.paper import faults
from placardry.resolve import resolve
from placardry.rules import check
from placardry.rules.manual import RuleManual, manual_of
from placardry.rules.registry import CHECKS, OF_ABSENCE
from placardry.rules.specimen import SPECIMEN
from placardry.shapes import MALFORMED
from tests.books import judged

RULES = list(explain.rules().values())
# What no book as text can show: `test_files`, `test_audit_text`, `test_recall`, `test_notice`, the
# tests of paper and `tests/audit` have it.
WITHOUT_EXAMPLE = {"linked-file", "file-too-large", "line-too-long", "unreadable-file"} | {
    one.name
    for one in (
        *vars(faults).values(),
        *vars(notice).values(),
        *vars(recall).values(),
        *vars(texts_told).values(),
        *texts_told.RULES.values(),
        *vars(audit_told).values(),
    )
    if isinstance(one, Rule)
}


def found_in(files: Mapping[str, bytes], *before: Finding) -> tuple[Finding, ...]:
    """All that reading and checking a book finds."""
    book, loading = load(files)
    if book is None:
        return (*before, *loading)
    manuals, strays = resolve(book)
    return check(book, manuals, strays, loading=(*before, *loading))


def found_on_disk(files: Mapping[str, bytes], folder: Path) -> tuple[Finding, ...]:
    """The same, through a folder, whose reading has rules of its own."""
    for path, data in files.items():
        write_tree(folder, {path: data})
    read, findings = read_folder(folder)
    return found_in(read, *findings)


def told(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{one.span} {one.rule.name}: {one.message} -- {one.mend}" for one in findings]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_finds_its_bad_book_and_passes_its_good_one(rule: Rule, tmp_path: Path) -> None:
    manual: RuleManual = manual_of(rule)
    if rule.name in WITHOUT_EXAMPLE:
        assert not manual.shown_bad, "it has an example after all"
        return
    assert manual.shown_bad
    assert manual.shown_good
    on_disk = rule.name == "clashing-file-names"
    bad = found_on_disk(manual.bad, tmp_path / "bad") if on_disk else found_in(manual.bad)
    good = found_on_disk(manual.good, tmp_path / "good") if on_disk else found_in(manual.good)
    assert {one.rule.name for one in bad} == {rule.name}, told(bad)
    assert {one.severity for one in bad} == {rule.severity}
    assert not good, told(good)
    for one in bad:
        assert re.fullmatch(r"[^A-Z].*[^.]", one.message), one.message
        assert re.fullmatch(r"[^\n]+[^.\n]", one.mend), one.mend


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_is_named_and_explained(rule: Rule) -> None:
    manual = manual_of(rule)
    assert re.fullmatch(r"[a-z]+(?:-[a-z]+)+|[a-z]+", rule.name)
    assert 15 < len(manual.summary) < 100
    assert manual.summary[0].isupper()


def test_names_are_unique() -> None:
    names = [rule.name for rule in CHECKS]
    assert sorted(names) == sorted(set(names))
    assert len({manual_of(rule).summary for rule in RULES}) == len(RULES)


def test_the_specimen_is_sound() -> None:
    assert not found_in({path: text.encode() for path, text in SPECIMEN.items()})


def test_each_refusal_of_a_figure_has_a_rule() -> None:
    checked_elsewhere = {"units-that-do-not-mix"}  # a check on parameters
    assert set(notation.RULES) - checked_elsewhere <= set(MALFORMED)
    assert set(notation.RULES) <= set(explain.rules())


@dataclass(frozen=True)
class Spelling:
    """One limit, spelt in two ways that mean the same or not."""

    limits: str

    @property
    def records(self) -> tuple[Limit, ...]:
        files = {path: text.encode() for path, text in SPECIMEN.items()}
        files["procedures/more.yaml"] = f"document: marl-manual\nlimits:\n{self.limits}".encode()
        book, findings = load(files)
        assert book is not None
        assert not findings, told(findings)
        return book.of(Limit)["idle-speed"]


LIMIT = """\
  idle-speed:
    parameter: engine-speed
    range: 2000 to 2400 rpm
    source: page 9
"""
SAME = [
    LIMIT,
    """\
  # another order, another style, a default said aloud
  idle-speed: {range: 2000 to 2400 rpm, condition: [], source: {document: marl-manual,
    place: page 9}, "parameter": engine-speed}
""",
]
OTHER = [
    LIMIT.replace("2400", "2410"),
    LIMIT.replace("2400", "2400.0"),  # more digits claim more
    LIMIT.replace("range", "avoid"),
    LIMIT.replace("page 9", "page 10"),
    LIMIT + "    note: Warm engine.\n",
    LIMIT + "    applies: {engine: marl}\n",
]


def test_the_digest_of_equal_meaning_is_equal() -> None:
    digests = {digest(Spelling(limits).records) for limits in SAME}
    assert len(digests) == 1
    assert re.fullmatch("[0-9a-f]{16}", digests.pop())


def test_the_digest_of_other_meaning_differs() -> None:
    digests = [digest(Spelling(limits).records) for limits in (LIMIT, *OTHER)]
    assert len(set(digests)) == len(digests)


def test_the_order_of_statements_is_no_meaning() -> None:
    one, other = (Spelling(limits).records[0] for limits in (LIMIT, OTHER[0]))
    assert digest([one, other]) == digest([other, one]) != digest([one])
    assert all(canonical(one) != canonical(other) for one, other in pairwise([one, other]))


def test_the_rules_of_absence_are_rules() -> None:
    assert {rule.name for rule in CHECKS} >= OF_ABSENCE


def test_a_panel_that_cannot_be_read_leaves_no_instrument_without_a_panel() -> None:
    panel = SPECIMEN["procedures/panel.yaml"].replace("at: [40, 40]", "at: [40, 40], colour: red")
    files = {path: text.encode() for path, text in SPECIMEN.items()}
    found = found_in({**files, "procedures/panel.yaml": panel.encode()})
    assert [one.rule.name for one in found] == ["unknown-key"], told(found)


def test_a_formula_of_many_brackets_is_a_finding() -> None:
    formula = "(" * 3_000 + "fuel" + ")" * 3_000
    prepared = judged(
        facts=f"""\
        document: marl-manual
        facts:
          fuel: {{nominal: 10 L, name: fuel, source: page 3}}
        derived:
          half: {{name: half the fuel, formula: "{formula}", unit: L, unsafe: high}}
        """,
        leave=SPECIMEN["procedures/leave.yaml"] + "  - do: Pump out {half}.\n",
    )
    assert [one.rule.name for one in prepared.findings] == ["malformed-formula"]
    assert len(prepared.findings[0].message) < 200
