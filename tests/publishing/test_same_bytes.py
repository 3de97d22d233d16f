"""The same book and lock file give the same bytes, wherever and however they are built."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from placardry.files import write_tree
from tests.publishing.elsewhere import BOOK
from tests.publishing.interrupted import tree


def built(folder: Path, seed: int, **environment: str) -> dict[str, bytes]:
    folder.mkdir(parents=True)
    files = dict(reversed(BOOK.items())) if seed % 2 else BOOK
    write_tree(folder / "book", files)
    done = subprocess.run(
        [sys.executable, "-m", "tests.publishing.elsewhere", folder / "book", folder / "out",
         str(seed)],
        env={**os.environ, **environment}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    varied = json.loads(done.stdout)
    assert varied["disordered"] > 0
    assert varied["processes"] == 1 + seed % 2
    return tree(folder / "out")


@pytest.fixture(scope="session")
def here(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("same") / "here"
    return built(folder, 2, TZ="UTC", LC_ALL="C.UTF-8", PYTHONHASHSEED="0")


@pytest.mark.parametrize(
    ("place", "seed", "environment"),
    [
        ("over there", 3, {"TZ": "Pacific/Auckland", "LC_ALL": "C", "PYTHONHASHSEED": "7"}),
        ("là-bas", 4, {"TZ": "America/St_Johns", "LC_ALL": "tr_TR.UTF-8", "PYTHONHASHSEED": "99"}),
    ],
)
def test_another_place_zone_locale_day_order_seed_and_number_of_workers(
    here: dict[str, bytes], tmp_path: Path, place: str, seed: int, environment: dict[str, str]
) -> None:
    there = built(tmp_path / place / "deep", seed, **environment)
    assert "tern-us/manual.pdf" in here
    assert there.keys() == here.keys()
    assert [path for path in here if there[path] != here[path]] == []
