"""The demo book, read once and published once for all tests here."""

from __future__ import annotations

from pathlib import Path

import pytest

from placardry import publish
from placardry.prepared import Prepared, prepare

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def demo() -> Prepared:
    """The demo book, judged."""
    return prepare(ROOT)


@pytest.fixture(scope="session")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `placardry build` makes of the demo."""
    out = tmp_path_factory.mktemp("demo") / "site"
    _, findings = publish.build(ROOT, out)
    assert [f"{one.span} {one.message}" for one in findings] == []
    return out
