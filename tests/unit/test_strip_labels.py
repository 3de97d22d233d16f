"""Numerals of a strip: none covers another or the line that leads to it, on any width of page."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from placardry.pages.strip_labels import GAP_PX, NUDGE_PX, WIDTH_PX, Placed, arranged, width_px


def clear(one: Placed, other: Placed, wider: float) -> bool:
    """Whether two numerals are apart on a page that is so many times as wide as the narrowest."""
    here, there = (
        (two.row, two.x * wider, two.left + two.x * (wider - 1), two.right + two.x * (wider - 1))
        for two in (one, other)
    )
    if here[0] == there[0]:
        return here[2] >= there[3] or there[2] >= here[3]
    near, far = sorted((here, there))
    return not near[2] < far[1] < near[3]


@given(
    st.lists(
        st.tuples(st.integers(15, 85).map(lambda part: part / 100), st.sampled_from("8,88,888")),
        min_size=1,
        max_size=6,
        unique_by=lambda one: one[0],
    ),
    st.sampled_from((1, 1.3, 2, 5)),
)
def test_nothing_is_covered(labels: list[tuple[float, str]], wider: float) -> None:
    placed = arranged((share, width_px(text + " °C")) for share, text in sorted(labels))
    assert len(placed) == len(labels)
    for one, other in combinations(placed, 2):
        assert clear(one, other, wider)
    for one in placed:
        assert one.right - one.left > 0
        assert one.left >= 0


def test_numerals_that_have_room_stand_in_one_row_below_their_cut() -> None:
    assert {(one.row, one.anchor) for one in arranged([(0.2, 40), (0.5, 40), (0.8, 40)])} == {
        (0, "middle")
    }


def test_two_that_are_close_turn_away_from_each_other() -> None:
    low, high = arranged([(0.5, 50), (0.55, 50)])
    assert (low.row, high.row) == (0, 0)
    assert low.right <= low.x - NUDGE_PX
    assert high.left - low.right >= GAP_PX
    assert high.right <= WIDTH_PX
