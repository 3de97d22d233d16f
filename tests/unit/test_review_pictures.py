"""Pictures of the cards that a change touches, and which pages and cards those are."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image

from placardry.prepared import Prepared, judge
from placardry.review.pictures import GONE, MOST_BYTES, NEW, Pictures, pictures
from placardry.review.touched import Touched, touched
from tests.books import files

CARD = """\
card: engine-limits
title: Engine limits
size: A6 landscape
place: on the panel
audience: owner
shows:
  - {scales: [coolant]}
  - {limits: [engine-speed-maximum]}
"""
OTHER = """\
card: leaving
title: Leaving
size: A6 landscape
place: on the panel
audience: owner
shows:
  - {procedure: leave}
"""


def book(old: str = "", new: str = "", **more: str) -> Prepared:
    given = files(card=CARD, other=OTHER, **more)
    path = "procedures/coolant.yaml"
    assert old.encode() in given[path]
    found = judge({**given, path: given[path].replace(old.encode(), new.encode())})
    assert [f"{one.span} {one.message}" for one in found.findings] == []
    return found


@pytest.fixture(scope="module")
def edited() -> Touched:
    return touched(book(), book("7500 rpm", "7600 rpm"), ["tern-eu"])


@pytest.fixture(scope="module")
def drawn(edited: Touched) -> Pictures:
    (one,) = pictures(edited.faces)
    return one


def opened(data: bytes | None) -> Any:
    assert data is not None
    return Image.open(io.BytesIO(data)).convert("RGB")


def test_only_the_card_with_the_figure_is_touched(edited: Touched) -> None:
    assert [one.path for one in edited.faces] == ["tern-eu/cards/engine-limits.pdf"]
    assert "engine-speed-maximum" in edited.faces[0].anchors
    figures = frozenset(["engine-speed-maximum"])
    pages, faces = edited.of("engine-speed-maximum", "", ["tern-eu"], figures)
    assert pages
    assert faces == edited.faces
    assert edited.of("coolant.red", "", ["other"], figures) == ((), ())
    assert all("register" not in one.path for one in edited.pages)


def test_only_the_machines_asked_for_are_written() -> None:
    assert touched(book(), book("7500 rpm", "7600 rpm"), []) == Touched()


def test_the_same_book_touches_nothing() -> None:
    found = touched(book(), book(), ["tern-eu"])
    assert (found.pages, found.faces) == ((), ())


def test_a_card_has_three_pictures_that_a_comment_takes(drawn: Pictures) -> None:
    assert sorted(drawn.files) == [
        f"cards/tern-eu-engine-limits-{what}.png" for what in ("after", "before", "difference")
    ]
    for data in drawn.files.values():
        assert data.startswith(b"\x89PNG")
        assert len(data) < MOST_BYTES
    # 148 mm at 110 pixels an inch.
    assert opened(drawn.after).width == pytest.approx(148 / 25.4 * 110, abs=1)


def test_the_difference_marks_what_went_and_what_came(drawn: Pictures) -> None:
    assert 1 <= drawn.places <= 3
    colours = opened(drawn.difference).getcolors(2**24)
    dark = {colour for count, colour in colours if sum(colour) < 380 and count > 3}

    def near(wanted: tuple[int, int, int]) -> bool:
        return any(sum(abs(a - b) for a, b in zip(one, wanted, strict=True)) < 90 for one in dark)

    assert near(NEW)
    assert near(GONE)


def test_the_difference_is_told_without_colour_too(drawn: Pictures) -> None:
    """In grey, the frames still stand out from the paled face."""
    grey = opened(drawn.difference).convert("L")
    runs = 0
    for y in range(grey.height):
        row = grey.crop((0, y, grey.width, y + 1)).tobytes()
        runs = max(runs, max(map(len, bytes(int(one < 110) for one in row).split(b"\0"))))
    assert runs > 12  # a line of a frame, longer than any stroke of a letter


def test_a_new_card_has_one_picture() -> None:
    alone = files(other=OTHER)
    (face,) = touched(judge(alone), book(), ["tern-eu"]).faces
    (one,) = pictures([face])
    assert list(one.files) == ["cards/tern-eu-engine-limits-after.png"]
