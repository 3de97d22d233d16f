"""One manual of the demo, published once for all tests of the audit."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from placardry import audit, publish
from tests.audit.edits import Entries

ROOT = Path(__file__).parents[2]
MANUAL = "teasel-eu"


@pytest.fixture(scope="session")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What `placardry build --manual teasel-eu` publishes, by path."""
    out = tmp_path_factory.mktemp("audited") / "site"
    _, findings = publish.build(ROOT, out, [MANUAL])
    assert [f"{one.span} {one.message}" for one in findings] == []
    return read(out)


@pytest.fixture(scope="session")
def published(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What `placardry build` publishes of the whole demo."""
    out = tmp_path_factory.mktemp("audited") / "site"
    _, findings = publish.build(ROOT, out)
    assert [f"{one.span} {one.message}" for one in findings] == []
    return read(out)


@pytest.fixture(scope="session")
def registers(files: dict[str, bytes]) -> audit.Registers:
    """The registers of that folder, read once."""
    return audit.registers_of(files)


@pytest.fixture(scope="session")
def entries(files: dict[str, bytes]) -> Entries:
    """The rows of the manual's register by `id.part`."""
    return entries_of(files, MANUAL)


def entries_of(files: dict[str, bytes], manual: str) -> Entries:
    """The rows of a manual's register by `id.part`."""
    rows = json.loads(files[f"{manual}/register.json"])["figures"]
    return {f"{row['id']}.{row['part']}" if row["part"] else row["id"]: row for row in rows}


def read(folder: Path) -> dict[str, bytes]:
    """All files of a folder by their path inside it."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
