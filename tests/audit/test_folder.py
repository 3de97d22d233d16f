"""A published folder as a whole: its list of files, its copies, a manual that was handed over."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Callable, Mapping

import pypdf
import pytest
from pypdf.annotations import AnnotationDictionary, FreeText, Text

from placardry import audit
from tests.audit.conftest import MANUAL

Files = Mapping[str, bytes]
PAGE = f"{MANUAL}/limits.html"
CARD = f"{MANUAL}/cards/limits.pdf"


def told(files: Files) -> list[tuple[str, str]]:
    """Each finding as (rule, file)."""
    return [(one.finding.rule.name, one.finding.span.path) for one in audit.audit(files).told]


KEPT = ("register.json", "editions.json", "register.csv", "register.html", "manifest.json",
        "limits.html", "limits.pdf", "index.html")  # fmt: skip


def light(files: Files) -> dict[str, bytes]:
    """A few of the files, with manifests that list no others."""
    return remade(narrowed(files, KEPT))


def narrowed(files: Files, kept: tuple[str, ...]) -> dict[str, bytes]:
    """A few of the files, with registers that name no others."""
    made = {path: data for path, data in files.items() if path.endswith(kept)}
    for path in made:
        if path.endswith("register.json"):
            whole = json.loads(made[path])
            for row in whole["figures"]:
                row["used_in"] = [one for one in row["used_in"] if one.endswith(kept)]
            made[path] = (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()
        elif path.endswith("register.csv"):
            head, *rows = csv.reader(io.StringIO(made[path].decode()))
            for row in rows:
                row[-1] = " ".join(one for one in row[-1].split() if one.endswith(kept))
            out = io.StringIO()
            csv.writer(out, lineterminator="\n").writerows([head, *rows])
            made[path] = out.getvalue().encode()
    return made


def remade(files: Files) -> dict[str, bytes]:
    """The files with every manifest made anew, as a forger would."""
    made = dict(files)
    for path in sorted((one for one in files if one.endswith("manifest.json")), key=len)[::-1]:
        whole = json.loads(made[path])
        folder = path.removesuffix("manifest.json")
        rows = [row for row in whole["files"] if folder + row["path"] in made]
        for row in rows:
            data = made[folder + row["path"]]
            row.update(bytes=len(data), sha256=hashlib.sha256(data).hexdigest())
        made[path] = (json.dumps({**whole, "files": rows}, indent=1) + "\n").encode()
    return made


@pytest.fixture(scope="session")
def folder(files: dict[str, bytes]) -> dict[str, bytes]:
    """A part of the published folder."""
    return light(files)


def test_nothing_is_found_in_an_untouched_build(files: dict[str, bytes]) -> None:
    found = audit.audit(files)
    assert [one.finding.message for one in found.told] == []
    assert found.total > 1000
    bare = {path: data for path, data in files.items() if not path.endswith("manifest.json")}
    assert told(bare) == []


def test_a_manual_handed_over_alone_is_traced(folder: dict[str, bytes]) -> None:
    start = f"{MANUAL}/"
    alone = {path.removeprefix(start): data for path, data in folder.items() if start in path}
    assert told(alone) == []
    forged = {**alone, "limits.html": forged_page(alone["limits.html"])}
    assert {path for _, path in told(remade(forged))} == {"limits.html"}


def forged_page(page: bytes) -> bytes:
    """The page with another red line in it."""
    made = page.replace(b">210&nbsp;", b">240&nbsp;")
    assert made != page
    return made


def test_the_manifest_names_a_changed_file(folder: dict[str, bytes]) -> None:
    changed = {**folder, PAGE: forged_page(folder[PAGE])}
    assert ("file-changed", PAGE) in told(changed)
    assert {path for _, path in told(changed)} == {PAGE}


def test_a_forger_who_mends_the_manifests_is_found(folder: dict[str, bytes]) -> None:
    forged = remade({**folder, PAGE: forged_page(folder[PAGE])})
    found = audit.audit(forged).told
    assert {one.finding.span.path for one in found} == {PAGE}
    assert {one.finding.rule.name for one in found} == {"figure-with-wrong-value"}
    assert {one.figure for one in found} == {"head.red"}
    assert [one.found for one in found] == ["240 °C"]
    assert "210 °C" in found[0].expected


def test_a_figure_changed_in_the_register_is_outvoted(folder: dict[str, bytes]) -> None:
    path = f"{MANUAL}/register.json"
    whole = json.loads(folder[path])
    row = next(one for one in whole["figures"] if (one["id"], one["part"]) == ("head", "red"))
    row["exact"]["high"], row["written"] = "240/1", "240 degC"
    row["published"]["degC"]["high"], row["shown"]["degC"] = "240", "240\N{NO-BREAK SPACE}°C"
    forged = remade({**folder, path: (json.dumps(whole, indent=1) + "\n").encode()})
    found = audit.audit(forged).told
    assert {(one.finding.span.path, one.figure) for one in found} == {(path, "head.red")}


def test_a_file_added_is_named(folder: dict[str, bytes]) -> None:
    path = f"{MANUAL}/cards/old-limits.pdf"
    assert told({**folder, path: folder[CARD]}) == [("file-not-in-manifest", path)]


def test_a_file_removed_is_named(folder: dict[str, bytes]) -> None:
    left = {path: data for path, data in folder.items() if path != CARD}
    assert told(left) == [("file-missing", CARD)]


def test_a_file_renamed_is_missing_and_not_listed(folder: dict[str, bytes]) -> None:
    path = f"{MANUAL}/cards/limit.pdf"
    renamed = {path if one == CARD else one: data for one, data in folder.items()}
    assert sorted(told(renamed)) == [("file-missing", CARD), ("file-not-in-manifest", path)]


def test_editions_that_nothing_tells_of_are_told_of_once(files: dict[str, bytes]) -> None:
    kept = ("register.json", "register.csv", "register.html", "check.html", "editions.html")
    left = narrowed(files, kept)
    assert told(left) == [("malformed-output", "editions.json")]


def test_a_card_in_the_file_of_another_is_found(folder: dict[str, bytes]) -> None:
    other = f"{MANUAL}/cards/fuel-label.pdf"
    swapped = {one: data for one, data in folder.items() if not one.endswith("manifest.json")}
    assert told({**swapped, other: folder[CARD]}) == [("editions-disagree", other)]


@pytest.mark.parametrize("kind", [FreeText, Text])
def test_a_note_on_a_page_is_read(
    kind: Callable[..., AnnotationDictionary], files: dict[str, bytes], registers: audit.Registers
) -> None:
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(files[CARD]))
    writer.add_annotation(0, kind(text="At most 240 °C", rect=(20, 20, 200, 60)))
    out = io.BytesIO()
    writer.write(out)
    found = audit.audit_file(CARD, out.getvalue(), registers).told
    assert [one.finding.rule.name for one in found] == ["part-of-no-build"]
    assert "240 °C" in found[0].finding.message


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Superseded by", "Current as of"),
        ("the code (<[^>]*>)?H4T6-CCA7", "the code ARYY-KCXR"),
        ("before the next flight", "at leisure"),
        ('"ARYY-KCXR" data-urgent', '"ARYY-KCXR"'),
        ("Engine too hot –", "Fire –"),
    ],
)
def test_what_is_told_of_a_code_is_how_it_stands(
    old: str, new: str, files: dict[str, bytes], registers: audit.Registers
) -> None:
    path = f"{MANUAL}/check.html"
    forged = re.sub(old, new, files[path].decode(), count=1)
    assert forged != files[path].decode()
    found = audit.audit_file(path, forged.encode(), registers).told
    assert {one.finding.rule.name for one in found} == {"editions-disagree"}


def test_a_mark_that_was_taken_away_is_told_once(
    files: dict[str, bytes], registers: audit.Registers
) -> None:
    path = f"{MANUAL}/check.html"
    forged = files[path].replace(b'"ARYY-KCXR" data-urgent', b'"ARYY-KCXR"')
    (one,) = audit.audit_file(path, forged, registers).told
    assert one.finding.message.startswith("`ARYY-KCXR` lacks the mark `data-urgent`")


def test_a_folder_may_be_copied_under_another_name(folder: dict[str, bytes]) -> None:
    """The top folder has no name of its own; one of two copies of a manual is a stray."""
    copied = dict(folder)
    start = f"{MANUAL}/"
    for path, data in folder.items():
        if path.startswith(start):
            copied[f"old-{path}"] = data
    found = told(copied)
    assert found
    assert all(path.startswith("old-") for _, path in found)
