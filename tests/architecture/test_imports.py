"""Imports go down, each outside library has its homes, the command line starts light."""

from __future__ import annotations

import ast
import logging
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TypeGuard

import pytest
from importlinter.cli import lint_imports

from tests.architecture.source import ROOT, Module, modules

# Who may import what is not ours. The rest of the house never sees these libraries.
HOMES = {
    "jinja2": {"pages", "review", "site"},
    "markdown": {"pages", "site", "paper"},
    "material": {"site"},
    "mkdocs": {"site", "preview"},
    "pint": {"factors"},
    "segno": {"pages", "paper"},
    "typst": {"paper"},
    "yaml": {"yaml_reader", "yaml_faults"},
}
# What a book's owner must not wait for when nothing of it is needed.
SLOW = ("jinja2", "markdown", "mkdocs", "pint", "typst")


def imported(module: Module) -> Iterator[str]:
    """The outermost names that a module imports, at its top or inside its functions."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module.split(".")[0]


@pytest.fixture(autouse=True)
def _loggers() -> Iterator[None]:
    """Import Linter switches off every logger that is already there; later tests listen to some."""
    known = [one for one in logging.Logger.manager.loggerDict.values() if _speaks(one)]
    yield
    for one in known:
        one.disabled = False


def _speaks(one: object) -> TypeGuard[logging.Logger]:
    return isinstance(one, logging.Logger) and not one.disabled


def test_imports_go_down(capsys: pytest.CaptureFixture[str]) -> None:
    failed = lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True)
    assert not failed, capsys.readouterr().out


def test_the_contract_sees_an_import_that_goes_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    package = tmp_path / "small_house"
    package.mkdir()
    for name, text in {"__init__": "", "roof": "", "ground": "import small_house.roof\n"}.items():
        (package / f"{name}.py").write_text(text)
    settings = tmp_path / "lint.toml"
    settings.write_text(
        '[tool.importlinter]\nroot_package = "small_house"\n'
        '[[tool.importlinter.contracts]]\nname = "down"\ntype = "layers"\nexhaustive = true\n'
        'containers = ["small_house"]\nlayers = ["roof", "ground"]\n'
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    assert lint_imports(config_filename=str(settings), no_cache=True) == 1
    assert "small_house.ground -> small_house.roof" in capsys.readouterr().out


@pytest.mark.parametrize("library", HOMES)
def test_a_library_stays_at_home(library: str) -> None:
    users = {module.name for module in modules() if library in imported(module)}
    strangers = {name for name in users if name.split(".")[0] not in HOMES[library]}
    assert not strangers, f"only {sorted(HOMES[library])} may import {library}"


def test_nothing_at_run_time_comes_from_the_tests() -> None:
    for module in modules():
        only_tests = {"hypothesis", "pydantic", "pypdf", "pytest", "tests"}
        assert not only_tests.intersection(imported(module)), module.name


@pytest.mark.parametrize("name", SLOW)
def test_the_command_line_starts_without(name: str) -> None:
    question = f"import sys, placardry.cli; print({name!r} in sys.modules)"
    answer = subprocess.run(
        [sys.executable, "-c", question], capture_output=True, text=True, check=True
    )
    assert answer.stdout.strip() == "False"
