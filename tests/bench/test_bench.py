"""The harness measures what it says: its books are valid and as large as promised."""

from __future__ import annotations

import pytest

from placardry.loader import load
from tests.bench.generate import LINES, book
from tests.bench.timing import PYTHON, Failed, medians, seconds


def test_a_generated_book_is_valid() -> None:
    loaded, findings = load(book(3))
    assert loaded is not None
    assert findings == ()


def test_a_generated_procedure_has_its_lines() -> None:
    procedures = [data for path, data in book(3).items() if "/operation/" in path]
    assert [data.count(b"\n") for data in procedures] == [LINES] * 3


def test_a_command_that_fails_is_not_timed() -> None:
    with pytest.raises(Failed, match=r"sys\.exit"):
        seconds((PYTHON, "-c", "import sys; sys.exit(1)"))


def test_the_slower_command_takes_longer() -> None:
    quick, slow = medians(
        [(PYTHON, "-c", "pass"), (PYTHON, "-c", "import time; time.sleep(0.5)")], 3
    )
    assert quick < slow
