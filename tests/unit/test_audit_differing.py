"""Where two texts part, as the audit tells of it."""

from __future__ import annotations

import pytest

from placardry.audit.differing import differing


@pytest.mark.parametrize(
    ("found", "expected", "said"),
    [
        ("Cruise at 5200 to 6400 Hz. At", "Cruise at 5200 to 6400 rpm. At",
         ("5200 to 6400 Hz", "5200 to 6400 rpm")),
        ("Cruise at 5200 to 6600 rpm. At", "Cruise at 5200 to 6400 rpm. At",
         ("5200 to 6600 rpm", "5200 to 6400 rpm")),
        ("Wait 5 min (at idle).", "Wait 5 s (at idle).", ("5 min", "5 s")),
        ("Wait 5 min (not at idle).", "Wait 5 min (at idle).", ("5 min (not at idle).",
                                                              "5 min (at idle).")),
        ("Land at once now.", "Land soon.", ("Land at once now.", "Land soon.")),
    ],
)  # fmt: skip
def test_a_figure_is_told_whole_and_words_with_their_neighbours(
    found: str, expected: str, said: tuple[str, str]
) -> None:
    told = differing(found, expected, "en")
    assert (told.found, told.expected) == said
