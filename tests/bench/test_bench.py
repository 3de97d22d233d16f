"""The harness measures what it says: its books are valid and as large as promised."""

from __future__ import annotations

import time

import pytest

from placardry.loader import load
from tests.bench.generate import LINES, book
from tests.bench.timing import PYTHON, Failed, least, seconds


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
    quick, slow = least([(PYTHON, "-c", "pass"), (PYTHON, "-c", "import time; time.sleep(0.5)")], 3)
    assert quick < slow


def test_a_function_is_timed_in_this_process() -> None:
    assert 0.01 <= seconds(lambda: time.sleep(0.01)) < 1


def test_both_makers_set_the_same_cards() -> None:
    # In a process of its own: a process in which Typst has begun its threads must not be forked.
    assert seconds((PYTHON, "-m", "tests.bench.cards")) > 0
