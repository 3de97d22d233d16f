"""Publishing: refusals, the swap, the merged files; the writers have tests of their own."""

from __future__ import annotations

import json
import threading
from pathlib import Path

import pytest

from placardry import publish, swap
from placardry.errors import EnvironmentFault, PlacardryError
from placardry.files import write_tree
from placardry.manual_output import render
from placardry.prepared import prepare
from tests.books import files

CARD = """\
card: limits
title: Limits
size: A6 portrait
place: on the panel
shows:
  - {heading: Water, scales: [coolant]}
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    write_tree(root, files(card=CARD))
    return root


@pytest.fixture(scope="session")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("published")
    write_tree(root / "book", files(card=CARD))
    _, findings = publish.build(root / "book", root / "out", workers=1)
    assert findings == ()
    return root / "out"


def test_a_build_has_the_shape_of_its_contract(published: Path) -> None:
    for path in (
        "index.html",
        "register.json",
        "register.csv",
        "manifest.json",
        "tern-eu/index.html",
        "tern-eu/manual.pdf",
        "tern-eu/cards/limits.pdf",
        "tern-eu/register.json",
        "tern-eu/register.csv",
        "tern-eu/manifest.json",
    ):
        assert (published / path).is_file(), path
    register = json.loads((published / "register.json").read_text("utf-8"))
    assert {one["manual"] for one in register["figures"]} == {"tern-eu"}
    red = next(one for one in register["figures"] if (one["id"], one["part"]) == ("coolant", "red"))
    assert "cards/limits.pdf" in red["used_in"]
    assert "limits.html" in red["used_in"]
    listed = json.loads((published / "manifest.json").read_text("utf-8"))["files"]
    there = {
        path.relative_to(published).as_posix() for path in published.rglob("*") if path.is_file()
    }
    assert {one["path"] for one in listed} == there - {"manifest.json"}


def test_nothing_is_published_from_a_book_with_an_error(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_tree(out, {"manifest.json": b"{}", "index.html": b"the last good one"})
    scale = book / "procedures/coolant.yaml"
    scale.write_text(scale.read_text("utf-8").replace("90 degC", "70 degC"), "utf-8")
    _, findings = publish.build(book, out, workers=1)
    assert findings
    assert (out / "index.html").read_bytes() == b"the last good one"


def test_a_fault_while_writing_leaves_the_last_good_output(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write_tree(out, {"manifest.json": b"{}", "index.html": b"the last good one"})

    def broken(root: Path, artifacts: object) -> None:
        raise EnvironmentFault("the disk is full")

    monkeypatch.setattr(swap, "write_tree", broken)
    with pytest.raises(EnvironmentFault, match="full"):
        publish.build(book, out, workers=1)
    assert (out / "index.html").read_bytes() == b"the last good one"
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_a_folder_of_somebody_else_is_not_replaced(book: Path, tmp_path: Path) -> None:
    mine = tmp_path / "holiday"
    write_tree(mine, {"picture.png": b"the sea"})
    with pytest.raises(EnvironmentFault, match="--out"):
        publish.build(book, mine, workers=1)
    assert (mine / "picture.png").read_bytes() == b"the sea"


def test_an_unknown_manual_is_refused_with_the_nearest(book: Path, tmp_path: Path) -> None:
    with pytest.raises(PlacardryError, match="did you mean `tern-eu`"):
        publish.build(book, tmp_path / "out", ["tern-us"], workers=1)


def test_the_same_book_gives_the_same_bytes(published: Path, book: Path, tmp_path: Path) -> None:
    publish.build(book, tmp_path / "elsewhere with spaces" / "out", workers=1)
    other = tmp_path / "elsewhere with spaces" / "out"
    for path in sorted(published.rglob("*")):
        if path.is_file():
            assert (other / path.relative_to(published)).read_bytes() == path.read_bytes(), path


def test_a_card_that_does_not_fit_stops_the_build(book: Path, tmp_path: Path) -> None:
    long = CARD.replace("A6 portrait", "label 60x25") + '  - {text: "' + "word " * 200 + '"}\n'
    (book / "procedures/card.yaml").write_text(long, "utf-8")
    _, findings = publish.build(book, tmp_path / "out", workers=1)
    assert "card-overflows" in {one.rule.name for one in findings}
    assert not (tmp_path / "out").exists()


def test_one_manual_can_be_rendered_alone(book: Path) -> None:
    prepared = prepare(book)
    made, findings = render(prepared.manuals[0], prepared.files, (), None)
    assert findings == ()
    assert made["cards/limits.pdf"].startswith(b"%PDF")


@pytest.mark.skipif(
    not Path("/proc/self/task").is_dir(), reason="only Linux forks and lists threads"
)
def test_a_process_with_threads_is_not_forked() -> None:
    done = threading.Event()
    thread = threading.Thread(target=done.wait)
    thread.start()
    try:
        assert publish._way_to_start() == "spawn"
    finally:
        done.set()
        thread.join()
