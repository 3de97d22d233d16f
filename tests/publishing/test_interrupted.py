"""A build that is cut short leaves the last good output whole, and nothing in the way.

Source: POSIX.1-2017 `rename`, `kill` and `fcntl`; renameat2(2) for the exchange in one act.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from placardry.errors import EnvironmentFault
from placardry.files import write_tree
from placardry.swap import Place
from tests.publishing.interrupted import NEW, OLD, swapped, tree

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="stops processes as Linux does")


def became(how: str, folder: Path, *numbers: int) -> dict[str, int]:
    """What became of the published folder, by how often it was the old one, the new one or none."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.publishing.interrupted", how, folder, *map(str, numbers)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    found: dict[str, int] = json.loads(done.stdout)
    return found


def test_killed_at_every_act_on_the_disk(tmp_path: Path) -> None:
    found = became("kill", tmp_path)
    assert found.keys() == {"old", "new"}
    assert sum(found.values()) >= 20


def test_killed_where_folders_cannot_change_places_in_one_act(tmp_path: Path) -> None:
    found = became("kill-renames", tmp_path)
    assert found["none"] == 1  # between the two renames; the next build brings the old one back
    assert found["old"] + found["new"] >= 20


@pytest.mark.parametrize("error", ["ENOSPC", "EROFS", "EACCES", "EIO"])
def test_refused_at_every_act_on_the_disk(tmp_path: Path, error: str) -> None:
    found = became(error, tmp_path)
    assert found.keys() == {"old", "new"}
    assert sum(found.values()) >= 20


def test_a_disk_that_is_full_in_the_middle_of_a_file(tmp_path: Path) -> None:
    assert became("small-disk", tmp_path) == {"old": 1}


def test_a_killed_build(tmp_path: Path) -> None:
    found = became("random", tmp_path, 6, 1)
    assert found["old"] + found["new"] == 6


@pytest.mark.soak
def test_builds_killed_at_many_moments(tmp_path: Path) -> None:
    found = became("random", tmp_path, 200, 2)
    assert found["old"] + found["new"] == 200
    assert min(found["old"], found["new"]) > 0  # the moments reach from before the swap to after it


def test_workers_end_with_a_killed_build(tmp_path: Path) -> None:
    assert became("workers", tmp_path) == {"ended": 1}


def test_many_builds_at_once_do_not_mix(tmp_path: Path) -> None:
    assert became("crowd", tmp_path) == {"whole": 6}


def test_a_second_build_is_told_of_the_first(tmp_path: Path) -> None:
    out = tmp_path / "site"
    with Place(out) as first:
        first.write(NEW)
        with pytest.raises(EnvironmentFault, match="another build is writing"):
            swapped(out, OLD)  # in this process
        done = subprocess.run(
            [sys.executable, "-m", "tests.publishing.interrupted", "small-disk", tmp_path],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert "another build is writing" in done.stderr
        first.swap()
    assert tree(out) == NEW
    swapped(out, OLD)
    assert tree(out) == OLD
    assert list(tmp_path.iterdir()) == [out]


def test_what_an_earlier_crash_left_is_cleared(tmp_path: Path) -> None:
    out = tmp_path / "site"
    write_tree(
        tmp_path / ".site.build", {"lock": b"", "new/half.html": b"", "old/index.html": b"o"}
    )
    with Place(out):
        assert tree(out) == {"index.html": b"o"}
    assert list(tmp_path.iterdir()) == [out]


def test_a_folder_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(EnvironmentFault, match="cannot write beside"):
        swapped(tmp_path / "file" / "site", NEW)


def test_a_folder_with_a_file_in_use_can_be_replaced_from_a_thread(tmp_path: Path) -> None:
    out = tmp_path / "site"
    swapped(out, OLD)
    with (out / "index.html").open("rb") as reader:
        thread = threading.Thread(target=swapped, args=(out, NEW))
        thread.start()
        thread.join()
        assert reader.read() == b"old"
    assert tree(out) == NEW
