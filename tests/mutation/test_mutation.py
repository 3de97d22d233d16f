"""Wrong edits of the demo are found: a sample each time, all of them in `make soak`."""

from __future__ import annotations

from collections import defaultdict

import pytest

from placardry.finding import Severity
from placardry.prepared import judge
from tests.mutation.demo import demo
from tests.mutation.harness import Outcome, edits, outcomes

# The least share of each kind that must be found although approvals and translations were renewed
# with the edit. Kinds that are not named here are found by approvals, and partly by rules.
ALWAYS = (
    "figure typed in digits",
    "id changed in use",
    "source deleted",
    "translation loses a figure",
    "translation loses a hazard",
    "translation loses a text",
)


def _not_found(found: list[Outcome]) -> list[str]:
    """Edits that not even an approval shows."""
    return [
        f"{one.edit.kind}: {one.edit.told(demo().files)}"
        for one in found
        if not one.is_caught and not one.is_same
    ]


def test_a_sample_is_found() -> None:
    sample = [some[0] for kind, some in edits().items() if kind != "card shrunk"][::2]
    found = outcomes([*sample, *(edits()[kind][1] for kind in ALWAYS)])
    assert _not_found(found) == []
    assert [one.edit for one in found if one.edit.kind in ALWAYS and not one.is_contradiction] == []


def test_a_book_judged_beside_another_has_the_findings_it_has_alone() -> None:
    known = judge(demo().files)
    for edit in [some[0] for some in edits().values()][::4]:
        files = edit.applied(demo().files)
        beside = [judge(files, earlier=known, errors_only=some) for some in (False, True)]
        alone = judge(files).findings
        assert beside[0].findings == alone, edit.told(demo().files)
        assert beside[1].findings == tuple(one for one in alone if one.severity is Severity.ERROR)


def test_the_edits_are_the_same_each_time() -> None:
    first = edits()
    edits.cache_clear()
    assert edits() == first
    assert all(len(some) >= 19 for some in first.values())


@pytest.mark.soak
def test_all_are_found() -> None:
    by_kind: dict[str, list[Outcome]] = defaultdict(list)
    every = outcomes(one for some in edits().values() for one in some)
    for one in every:
        by_kind[one.edit.kind].append(one)
    assert _not_found(every) == []
    wrong = [one for one in every if not one.is_same]
    assert sum(one.is_contradiction for one in wrong) >= 0.75 * len(wrong)
    for kind in ALWAYS:
        assert all(one.is_contradiction for one in by_kind[kind]), kind
