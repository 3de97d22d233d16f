"""What is taken out of a published file is found, though all manifests were made anew."""

from __future__ import annotations

import json

import pytest

from placardry import audit
from placardry.audit.told import Told
from tests.audit.conftest import MANUAL
from tests.audit.edits import Entries
from tests.audit.removals import anchors_in, pages_of, taken_out
from tests.audit.test_folder import Files, remade

PAGE, PRINTED, CARD = (
    f"{MANUAL}/{name}" for name in ("limits.html", "manual.pdf", "cards/limits.pdf")
)
SHEET = f"{MANUAL}/cards/sheet-a4.pdf"


def told(files: Files, path: str, data: bytes) -> list[Told]:
    """What is found where one file was changed."""
    return list(audit.audit(remade({**files, path: data})).told)


def said(found: list[Told]) -> set[tuple[str, str]]:
    """Each finding as (rule, file)."""
    return {(one.finding.rule.name, one.finding.span.path) for one in found}


@pytest.mark.parametrize("tag", ["tr", "li", "p"])
def test_a_row_an_item_and_a_sentence_of_a_page_are_missed(
    tag: str, files: Files, entries: Entries
) -> None:
    """In the place where alone the page has a figure."""
    path, spot = next(
        (path, spot)
        for path in sorted(files)
        for spot in taken_out(path, files[path], entries)
        if path.endswith(".html") and spot.text == tag and not path.endswith("due.html")
        and not spot.anchors & anchors_in((spot.make("") or b"").decode())
    )  # fmt: skip
    found = told(files, path, spot.make("") or b"")
    assert said(found) == {("figure-missing", path)}
    assert {one.figure for one in found} == spot.anchors
    assert all(one.expected and not one.found for one in found)


def test_a_figure_that_stands_elsewhere_too_is_missed_by_the_search_index(
    files: Files, entries: Entries
) -> None:
    spot = next(
        spot
        for spot in taken_out(PAGE, files[PAGE], entries)
        if spot.anchors <= anchors_in((spot.make("") or b"").decode())
    )
    assert said(told(files, PAGE, spot.make("") or b"")) == {("search-differs", PAGE)}


def test_a_line_of_a_card_is_missed_there_alone(files: Files, entries: Entries) -> None:
    (spot, *_) = [one for one in taken_out(CARD, files[CARD], entries) if "page" not in one.text]
    found = told(files, CARD, spot.make("") or b"")
    assert said(found) == {("figure-missing", CARD)}
    assert {one.figure for one in found} <= spot.anchors


@pytest.mark.parametrize("path", [PRINTED, SHEET])
def test_every_figure_of_a_page_taken_out_of_a_pdf_is_missed(path: str, files: Files) -> None:
    spots = sorted(pages_of(files[path]), key=lambda spot: -len(spot.anchors))
    for spot in (spots[0], spots[-1]):
        found = told(files, path, spot.make("") or b"")
        assert said(found) == {("figure-missing", path)}
        assert {one.figure for one in found} == spot.anchors


def test_a_row_taken_out_of_the_register_is_told_of_there_alone(
    files: Files, entries: Entries
) -> None:
    for path in (f"{MANUAL}/register.json", f"{MANUAL}/register.csv"):
        alone = {one.partition("/")[2]: data for one, data in files.items() if "/" in one}
        spot = next(iter(taken_out(path, files[path], entries)))
        name = path.partition("/")[2]
        for held, there in ((files, path), (alone, name)):
            found = told(held, there, spot.make("") or b"")
            assert said(found) == {("registers-disagree", there)}
            assert {one.figure for one in found} == spot.anchors


def test_a_whole_file_that_prints_figures_is_missed(files: Files) -> None:
    left = {path: data for path, data in files.items() if path != CARD}
    assert said(list(audit.audit(remade(left)).told)) == {("file-missing", CARD)}
    (one,) = audit.audit(left).told  # not by the register as well as by the manifest
    assert one.finding.message == f"`{MANUAL}/manifest.json` lists this file, which is not there"


def test_a_file_that_no_row_names_any_more_holds_figures_too_many(files: Files) -> None:
    """A forger of all copies of the register; the page of the register names no files."""
    forged = dict(files)
    for path in ("register.json", f"{MANUAL}/register.json"):
        whole = json.loads(files[path])
        for row in whole["figures"]:
            if (row["id"], row["part"]) == ("head", "red"):
                row["used_in"].remove("cards/limits.pdf")
        forged[path] = json.dumps(whole, indent=1, ensure_ascii=False).encode()
    for path in ("register.csv", f"{MANUAL}/register.csv"):
        lines = files[path].decode().split("\n")
        at = next(at for at, line in enumerate(lines) if ",head,red," in line)
        lines[at] = lines[at].replace(" cards/limits.pdf", "").replace("cards/limits.pdf ", "")
        forged[path] = "\n".join(lines).encode()
    (one,) = audit.audit(remade(forged)).told
    assert (one.finding.rule.name, one.finding.span.path) == ("figure-not-in-used-in", CARD)
    assert one.figure == "head.red"


def test_a_forged_used_in_is_told_of_as_such(files: Files) -> None:
    path = f"{MANUAL}/register.json"
    whole = json.loads(files[path])
    row = next(one for one in whole["figures"] if (one["id"], one["part"]) == ("head", "red"))
    row["used_in"] = [*row["used_in"], "cards/fuel-label.pdf"]
    forged = json.dumps(whole, indent=1, ensure_ascii=False).encode()
    assert said(told(files, path, forged)) == {("registers-disagree", path)}
