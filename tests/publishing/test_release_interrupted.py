"""An edition that is issued while the power fails: the ledger is the old one or the new one."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from placardry import ledger
from placardry.files import read_folder, write_new, write_tree
from tests.issued import Files, edited, issue, start, twice
from tests.publishing.interrupted import forked, stop_at

ENTRY = "procedures/editions/0002.json"
OLD, NEW = issue(start()), twice()


def _editions(folder: Path) -> int:
    """How many editions the book in a folder has; the ledger must hold."""
    files, findings = read_folder(folder)
    assert findings == ()
    found = ledger.read(files)
    assert found.faults == ()
    return len(found.entries)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a process of its own")
def test_a_kill_at_any_act_leaves_the_old_ledger_or_the_new_one(tmp_path: Path) -> None:
    seen = set()
    for number in range(1, 20):
        folder = tmp_path / str(number)
        write_tree(folder, OLD)

        def work(folder: Path = folder, number: int = number) -> int:
            stop_at(number, folder, lambda: os.kill(os.getpid(), signal.SIGKILL))
            write_new(folder, ENTRY, NEW[ENTRY])
            return 0

        status = forked(work)
        seen.add((status == 0, _editions(folder)))
        if status == 0:
            break
        if _editions(folder) == 1:  # and what the crash left is in nobody's way
            write_new(folder, ENTRY, NEW[ENTRY])
        assert _editions(folder) == 2
    assert seen == {(False, 1), (False, 2), (True, 2)}


def test_two_who_issue_at_once_do_not_overwrite_each_other(tmp_path: Path) -> None:
    other: Files = issue(edited(OLD, "7500 rpm", "7400 rpm"), "2026-03-01", "Other.")
    write_tree(tmp_path, OLD)
    write_new(tmp_path, ENTRY, NEW[ENTRY])
    with pytest.raises(Exception, match="there already"):
        write_new(tmp_path, ENTRY, other[ENTRY])
    assert (tmp_path / ENTRY).read_bytes() == NEW[ENTRY]
