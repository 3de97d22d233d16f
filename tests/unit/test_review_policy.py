"""What the policy demands of changes, made by hand so that each demand is seen alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from placardry.approval import PATH
from placardry.book import Book
from placardry.book.policy import DEFAULT, Policy
from placardry.book.record import Text
from placardry.book.sources import Edition
from placardry.finding import Span
from placardry.loader import load
from placardry.meaning import digest
from placardry.nodes import Mapping
from placardry.review.demands import Case, Demand, demands
from placardry.review.seen import Seen
from tests.books import files

SPEED = "limit/engine-speed-maximum"
LOOSER = Seen(
    change="changed",
    direction="loosened",
    kind="limit",
    id="engine-speed-maximum",
    part=None,
    what="engine speed, maximum",
    before={"rpm": "7500 rpm"},
    after={"rpm": "7600 rpm"},
    machines=("tern",),
    sources=("marl-manual, page 4", "marl-manual, page 4"),
    is_figure=True,
)
TIGHTER = replace(LOOSER, direction="tightened", has_new_source=True)
OUT, SECOND = (
    Edition(
        number=number,
        dated=date(2025, number, 1),
        approver="A. Reviewer",
        summary={"en": Text("News.")},
        digest="0" * 16,
        because={},
        places=Mapping((), Span("procedures/editions/0001.json")),
    )
    for number in (1, 2)
)


def out(issued: Book, *editions: Edition) -> Book:
    """A book of which these editions are out."""
    return replace(issued, editions=editions)


def book(speed: str = "7600 rpm", **more: str) -> Book:
    given = {
        path: data.replace(b"7500 rpm", speed.encode()) for path, data in files(**more).items()
    }
    found = load(given)[0]
    assert found is not None
    return found


def approved(by: str, author: str | None = None) -> Book:
    """The later book, with its limit approved."""
    now = digest(book().records["limit"]["engine-speed-maximum"])
    wrote = f", author: {author}" if author else ""
    line = f"  - {{of: {SPEED}, by: {by}, on: 2026-01-20, digest: {now}{wrote}}}\n"
    made = load({**files(), **_speed(), PATH: ("approvals:\n" + line).encode()})[0]
    assert made is not None
    return made


def _speed() -> dict[str, bytes]:
    return {path: data.replace(b"7500 rpm", b"7600 rpm") for path, data in files().items()}


def found(*changes: Seen, policy: Policy = DEFAULT, after: Book | None = None, **more: object) -> (
    dict[str, Demand]
):  # fmt: skip
    case = Case(changes, book("7500 rpm"), after or book())
    case = replace(case, **more)  # type: ignore[arg-type]
    return {one.demand: one for one in demands(policy, case)}


def policy(**keys: object) -> Policy:
    return Policy(**{**{"places": DEFAULT.places}, **keys})  # type: ignore[arg-type]


def test_loosening_without_a_source_is_forbidden() -> None:
    one = found(LOOSER)["loosened-without-source"]
    assert not one.met
    assert SPEED in one.why
    assert "page 4" in one.why


def test_loosening_with_a_new_source_is_not() -> None:
    seen = found(replace(LOOSER, has_new_source=True, sources=("x, page 4", "x, page 5")))
    assert "loosened-without-source" not in seen
    assert seen["source"].met
    assert "page 5" in seen["source"].why


def test_a_tightened_figure_needs_its_source_too() -> None:
    assert not found(replace(TIGHTER, has_new_source=False))["source"].met
    assert found(TIGHTER)["source"].met


def test_a_new_figure_must_cite_something() -> None:
    new = replace(LOOSER, change="added", direction="tightened", sources=(None, None), before={})
    assert "cites nothing" in found(new)["source"].why


def test_a_change_of_words_demands_nothing() -> None:
    assert found(replace(LOOSER, direction="neutral", change="reworded", is_figure=False)) == {}


def test_what_a_named_condition_loosens_is_demanded_of_it() -> None:
    """Else a limit could be loosened past the policy, by an edit of where it holds."""
    full = "condition/full"
    through = replace(LOOSER, change="condition narrowed", causes=(full,), before={}, after={})
    after = book(conditions="conditions:\n  full: {short: at full, engine-speed: above 7000 rpm}\n")
    one = found(through, after=after)
    assert (
        f"`{full}` loosens `{SPEED}`, without another source" in one["loosened-without-source"].why
    )
    assert f"nobody has approved `{full}`" in one["approval"].why
    assert not any(demand.met for demand in one.values())
    assert "source" not in one
    newer = found(replace(through, has_new_source=True), after=after)
    assert newer.keys() == {"approval"}
    tighter = found(replace(through, direction="tightened"), after=after)
    assert f"`{full}` changes `{SPEED}`, without another source" in tighter["source"].why


def test_an_approval_must_be_of_this_content() -> None:
    assert "nobody has approved" in found(TIGHTER)["approval"].why
    stale = (
        f"approvals:\n  - {{of: {SPEED}, by: A. Reviewer, on: 2026-01-20, digest: {'0' * 16}}}\n"
    )
    one = found(TIGHTER, after=book(approvals=stale))["approval"]
    assert not one.met
    assert "before this change" in one.why
    assert found(TIGHTER, after=approved("A. Reviewer"))["approval"].met


@pytest.mark.parametrize("by", ["A. Writer", "a.  writer"])
def test_an_author_cannot_approve_their_own_work(by: str) -> None:
    after = approved(by)
    assert found(TIGHTER, after=after)["approval"].met
    assert not found(TIGHTER, after=after, authors=("A. Writer",))["approval"].met
    alone = policy(author_approves=True)
    assert found(TIGHTER, after=after, authors=("A. Writer",), policy=alone)["approval"].met


def test_the_author_that_an_approval_names_counts_too() -> None:
    assert not found(TIGHTER, after=approved("A. Writer", "A. Writer"))["approval"].met
    assert found(TIGHTER, after=approved("B. Reader", "A. Writer"))["approval"].met


def test_removing_a_limit_needs_a_reason() -> None:
    gone = replace(LOOSER, change="removed", after={}, sources=("marl-manual, page 4", None))
    without = files(coolant="facts: {}\n")
    after = load(without)[0]
    assert after is not None
    assert not found(gone, after=after)["removed-limit"].met
    assert found(replace(gone, has_new_source=True), after=after)["removed-limit"].met
    assert found(replace(gone, machines=("sold",)), after=after)["removed-limit"].met
    heir = replace(LOOSER, change="added", direction="tightened", before={})
    assert "takes its place" in found(gone, heir)["removed-limit"].why


def test_removing_a_hazard_needs_an_approver() -> None:
    gone = replace(LOOSER, change="hazard removed", part="steps/1", is_figure=False)
    lenient = policy(approval=())
    assert not found(gone, policy=lenient)["removed-hazard"].met
    assert found(gone, policy=lenient, after=approved("B. Reader"))["removed-hazard"].met


def test_a_tightened_limit_asks_for_a_notice() -> None:
    one = found(TIGHTER)["notice"]
    assert one.met
    assert "no edition is out" in one.why
    issued: dict[str, Any] = {"before": out(book("7500 rpm"), OUT), "after": out(book(), OUT)}
    assert "due with the next edition" in found(TIGHTER, **issued)["notice"].why
    now = policy(notice="now")
    assert not found(TIGHTER, policy=now, **issued)["notice"].met
    issued["after"] = out(book(), OUT, SECOND)
    assert "edition 2 brings it" in found(TIGHTER, policy=now, **issued)["notice"].why
    assert "notice" not in found(TIGHTER, policy=policy(notice="no"))
    assert "notice" not in found(replace(LOOSER, has_new_source=True))


def test_changed_faces_ask_for_a_reprint() -> None:
    assert "reprint" not in found(LOOSER)
    faces = tuple(f"tern-eu/cards/{n}.pdf" for n in range(7))
    one = found(LOOSER, faces=faces)["reprint"]
    assert "7 cards" in one.why
    assert "and 2 more" in one.why
    issued: dict[str, Any] = {"before": out(book("7500 rpm"), OUT), "after": out(book(), OUT)}
    assert not found(LOOSER, faces=faces, policy=policy(reprint="now"), **issued)["reprint"].met


def test_what_is_open_stands_first() -> None:
    case = Case((LOOSER,), book("7500 rpm"), approved("B. Reader"), faces=("tern-eu/cards/a.pdf",))
    met = [one.met for one in demands(DEFAULT, case)]
    assert met == sorted(met)
    assert set(met) == {True, False}
