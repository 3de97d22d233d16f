"""Acceptances: they cover a warning at one place for a time, and nothing else."""

from __future__ import annotations

import pytest

from placardry.rules.specimen import SPECIMEN
from tests.books import judged

WANTING = """
    document: marl-manual
    limits:
      idle-speed: {parameter: engine-speed, range: 2000 to 2400 rpm, source: page 9}
    facts:
      fuse: {nominal: 15 A, name: fuse}
"""


def _left(rule: str, at: str, until: str) -> list[tuple[str, str]]:
    """What is found where the book accepts one rule at one place until a day."""
    accept = f"accept: [{{rule: {rule}, at: {at}, reason: known, until: {until}}}]\n"
    book = SPECIMEN["procedures/book.yaml"] + accept
    findings = judged(more=WANTING, book=book).findings
    return sorted((one.rule.name, one.message.split(";")[0]) for one in findings)


WARNING = ("limit-without-exceeded", "`idle-speed` does not say what to do when it is not kept")
ERROR = ("figure-without-source", "`fuse` names no source")


@pytest.mark.parametrize("at", ["limit/idle-speed", "procedures/more.yaml"])
def test_a_warning_is_accepted_at_its_record_or_in_its_file(at: str) -> None:
    assert _left("limit-without-exceeded", at, "2026-12-31") == [ERROR]


@pytest.mark.parametrize(
    ("rule", "at", "until", "told"),
    [
        # The specimen is dated 2026-01-31: the last day counts, the next does not.
        (
            *("limit-without-exceeded", "limit/idle-speed", "2026-01-30"),
            "the acceptance of `limit-without-exceeded` ended on 2026-01-30",
        ),
        (
            *("limit-without-exceeded", "limit/engine-speed-maximum", "2026-12-31"),
            "nothing at `limit/engine-speed-maximum` is found by `limit-without-exceeded`",
        ),
        (
            *("no-such-rule", "limit/idle-speed", "2026-12-31"),
            "nothing at `limit/idle-speed` is found by `no-such-rule`",
        ),
        (
            *("figure-without-source", "fact/fuse", "2026-12-31"),
            "`figure-without-source` is an error, and errors cannot be accepted",
        ),
    ],
)
def test_what_accepts_nothing_is_an_error_and_hides_nothing(
    rule: str, at: str, until: str, told: str
) -> None:
    assert _left(rule, at, until) == [ERROR, WARNING, ("stale-acceptance", told)]


def test_the_last_day_counts() -> None:
    left = _left("limit-without-exceeded", "limit/idle-speed", "2026-01-31")
    assert left == [ERROR]
