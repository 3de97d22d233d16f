"""Sizes, names, and who touches the world; docstrings are the business of ruff's D rules."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.architecture.source import Module, modules

USUAL = 250
MOST = 400
# Modules above the usual length: look whether one is two before you add it here.
LONG: set[str] = {
    "audit.told",
    "book.procedures",
    "decoder",
    "figures",
    "files",
    "interval",
    "markdown_reader",
    "notation",
    "recognise",
    "resolve",
    "wording.phrases",
    "wording.steps",
    "yaml_faults",
    "yaml_reader",
    "yaml_rules",
}
# Modules above the hard limit, each with the reason why it is not two.
TOO_LONG: dict[str, str] = {}

NOT_NAMES = {"utils", "util", "helpers", "helper", "common", "base", "manager", "misc"}

# Who touches disk, clock, environment or other programs. All else is a pure function.
DOORS = {
    "cli": "a door: terminal, environment, exit codes",
    "files": "reads books, writes trees",
    "paper": "Typst reads its templates and fonts from a folder",
    "preview": "a door: MkDocs",
    "publish": "a door: its one writer",
    "review": "a door: git, and folders with books",
    "site": "MkDocs builds in a folder",
    "swap": "puts finished folders in the place of the last ones",
}
METHODS = {
    *("open", "read_text", "read_bytes", "write_text", "write_bytes", "mkdir", "rmdir"),
    *("unlink", "touch", "iterdir", "rglob", "exists", "is_file", "is_dir", "cwd", "home"),
}
CALLS = re.compile(
    r"open|input|(Path|os)\.(cwd|home|getcwd|getenv|environb?|listdir|walk|scandir|stat)"
    r"|os\.environ\..+|(datetime\.)*(datetime|date)\.(now|utcnow|today)|time\.\w+"
    r"|(subprocess|tempfile|shutil|random|secrets|socket)\.\w+|uuid\.uuid[14]"
)
# The package's own data is part of the program, not of the world.
OWN_DATA = re.compile(r"\bfiles\(")


def touches(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Line and text of every expression that reaches for disk, clock or environment."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            method = isinstance(node.func, ast.Attribute) and node.func.attr in METHODS
            if (method or CALLS.fullmatch(called)) and not OWN_DATA.search(called):
                yield node.lineno, called
        elif isinstance(node, ast.Attribute) and ast.unparse(node) in {"os.environ", "sys.argv"}:
            yield node.lineno, ast.unparse(node)


def test_modules_are_short() -> None:
    long = {module.name: module.lines for module in modules() if module.lines > USUAL}
    assert set(long) == LONG | set(TOO_LONG), f"split it, or write LONG anew: {sorted(long)}"
    too_long = {name: lines for name, lines in long.items() if lines > MOST}
    assert set(too_long) == set(TOO_LONG), f"split it, or name the reason in TOO_LONG: {too_long}"


def test_names_say_what_is_inside() -> None:
    for module in modules():
        assert not NOT_NAMES.intersection(module.name.split(".")), module.name


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.name)
def test_only_doors_touch_the_world(module: Module) -> None:
    if module.floor in DOORS:
        return
    found = [f"line {line}: {what}" for line, what in touches(module.tree)]
    assert not found, f"{module.name} must be given this from outside: {found}"


@pytest.mark.parametrize(
    "code",
    [
        "open('a')",
        "path.read_text()",
        "Path('a').write_bytes(b'')",
        "datetime.now()",
        "datetime.date.today()",
        "date.today()",
        "time.time()",
        "os.environ['A']",
        "os.getenv('A')",
        "subprocess.run([])",
    ],
)
def test_the_scan_sees(code: str) -> None:
    assert list(touches(ast.parse(code)))


@pytest.mark.parametrize(
    "code", ["files('placardry').joinpath('units.txt').read_text()", "f(when.date())", "'open'"]
)
def test_the_scan_lets_pass(code: str) -> None:
    assert not list(touches(ast.parse(code)))


def test_author_text_never_becomes_a_template() -> None:
    for module in modules():
        for node in ast.walk(module.tree):
            name = node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")
            assert name not in {"from_string", "Template"}, (
                f"{module.name}, line {getattr(node, 'lineno', '?')}: templates are files of "
                "the package"
            )
