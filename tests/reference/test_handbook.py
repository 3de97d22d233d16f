"""Coolant, batteries, ignition checks, intervals, texts and squares against handbooks.

Each row of `data/figures.csv` and `data/intervals.csv` names its source and how far it is to be
trusted; those marked `memory` bind us no more than a memory does.
"""

from __future__ import annotations

import csv
import json
import re
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from placardry import cli
from placardry.figures import Figure
from placardry.files import write_tree
from placardry.paper.sizes import faces
from placardry.paper.square import code_square
from placardry.prepared import judge
from placardry.stated import figures
from placardry.water import SEA_PRESSURE, boiling_point
from placardry.wording.phrases import spoken
from tests import faces as book
from tests import printed
from tests.books import files, judge_page, judged
from tests.reference.rows import Row, rows
from tests.reference.test_paper import FONT, limit, x_height

INTERVALS = (Path(__file__).parent / "data/intervals.csv").read_text("utf-8")
INTERVAL = {row["id"]: row for row in csv.DictReader(INTERVALS.splitlines())}


def row_of(id: str, *topics: str) -> Row:
    found = [row for param in rows(*topics) for row in param.values if isinstance(row, Row)]
    return next(row for row in found if row.id == id)


def rules(**shown: str) -> list[str]:
    return [one.rule.name for one in judged(**shown).findings]


# Coolant: the figures of a mixture as a manual shows them, and the basis of our advice.

MIXTURE = """\
document: marl-manual
facts:
  boils: {{maximum: {} degC, parameter: coolant-temperature, name: boils at, source: page 4}}
  freezes: {{maximum: {} degC, parameter: coolant-temperature, name: freezes at, source: page 4}}
  glycol: {{typical: {} degC, parameter: coolant-temperature, name: glycol, source: page 4}}
"""
REFS = "# Notes\n\nIt boils at {boils}, freezes at {freezes} and is slush at {glycol}.\n"


@pytest.fixture(scope="module")
def mixture() -> dict[str, Figure]:
    values = [row_of(id, "coolant").expected for id in ("REF156", "REF157", "REF159")]
    fine = "parameters:\n  engine-speed: {name: engine speed, units: {rpm: 10}}\n"
    fine += "  coolant-temperature: {name: coolant temperature, units: {degF: 1}}\n"
    prepared = judged(mixture=MIXTURE.format(*values), parameters=fine)
    (manual,) = prepared.manuals
    return {id: one for (id, part), one in figures(manual).items() if part == ""}


def test_a_boiling_point_is_published_inside_what_handbooks_print(
    mixture: dict[str, Figure],
) -> None:
    # REF156: 108 degC is also sold as 225 to 226 degF (from memory); never as more.
    assert mixture["boils"].shown["degF"].high in (225, 226)


def test_a_freezing_point_is_published_no_colder_than_it_is_safe(
    mixture: dict[str, Figure],
) -> None:
    # REF157 is a maximum: a mixture may freeze below it. -36.4 degC is -33.52 degF.
    assert mixture["freezes"].shown["degF"].high == -34
    # REF159, seen: Lange's table gives -33.3 degC as -28 degF.
    assert mixture["glycol"].shown["degF"].value == -28


def test_our_advice_on_boiling_is_on_the_safe_side_of_a_mixture() -> None:
    """The rule goes by plain water, which boils before any mixture does."""
    assert boiling_point(SEA_PRESSURE) < float(row_of("REF156", "coolant").expected)


# Batteries.

CELLS = """\
document: marl-manual
parameters:
  voltage: {{name: battery voltage, units: {{V: 0.01}}, battery: {{chemistry: {}, cells: {}}}}}
limits:
  charge:
    parameter: voltage
    range: {} to {} V
    source: page 9
    exceeded: Charge it.
"""


@pytest.mark.parametrize(("cells", "fits"), [(6, True), (12, True), (5, True)])
def test_the_absorption_voltage_of_a_handbook_is_no_finding(cells: int, fits: bool) -> None:
    low, high = map(Fraction, row_of("REF170", "battery-charge").expected.split("-"))
    shown = CELLS.format("lead-acid", cells, float(low * cells), float(high * cells))
    assert ("voltage-unlike-battery" not in rules(battery=shown)) is fits


@pytest.mark.parametrize(("chemistry", "cells"), [("lead-acid", 5), ("lead-acid", 12),
                                                  ("alkaline", 6)])  # fmt: skip
def test_the_same_volts_on_other_cells_are_one(chemistry: str, cells: int) -> None:
    low, high = (
        6 * Fraction(end) for end in row_of("REF170", "battery-charge").expected.split("-")
    )
    shown = CELLS.format(chemistry, cells, float(low), float(high))
    assert "voltage-unlike-battery" in rules(battery=shown)


@pytest.mark.parametrize(("fahrenheit", "correction"), [(100, "0.008"), (90, "0.004")])
def test_a_correction_by_a_temperature_above_another(fahrenheit: int, correction: str) -> None:
    """REF171, seen: 0.004 for each 10 degF above 80 degF; a formula over a difference."""
    assert row_of("REF171", "battery-SG").expected in ("+0.008", f"+{correction}")
    formulas = (
        "document: marl-manual\nfacts:\n"
        "  per-step: {nominal: 0.4 %, name: for each step, source: page 9}\n"
        "  step: {nominal: 10 degF, name: step, source: page 9}\n"
        f"  above: {{rise: {fahrenheit - 80} degF, name: above, source: page 9}}\n"
        "derived:\n"
        "  correction: {name: correction, formula: per-step * above / step,"
        " unit: '%', unsafe: high}\n"
    )
    page = b"# Notes\n\nAdd {correction}.\n"
    (manual,) = judge({**files(gravity=formulas), "content/notes.md": page}).manuals
    assert figures(manual)["correction", ""].exact.written.value == Fraction(correction) * 100


# Ignition checks: worked examples of readings, held against the limits that they name.

CHECK = """\
document: marl-manual
limits:
  drop: {{drop: at most {} rpm, parameter: engine-speed, source: page 6, exceeded: Stop.}}
  difference: {{drop: at most {} rpm, parameter: engine-speed, name: difference, source: page 6,
               exceeded: Stop.}}
examples:
  left: {{reading: {} rpm, of: drop}}
  right: {{reading: {} rpm, of: drop}}
  apart: {{reading: {} rpm, of: difference}}
"""
SHOWN = "# Notes\n\nYou may see {left} and {right}, which are {apart} apart.\n"


def outside(most: int, apart: int, left: int, right: int) -> list[str]:
    """The examples that the check finds outside of their limits."""
    text = CHECK.format(most, apart, left, right, abs(left - right))
    found = judge({**files(ignition=text), "content/notes.md": SHOWN.encode()}).findings
    return [one.message.split("`")[1] for one in found if one.rule.name == "example-outside"]


def numbers(text: str) -> list[int]:
    return [int(one) for one in re.findall(r"\d+", text)]


def test_a_drop_below_the_maximum_passes() -> None:
    row = row_of("REF187", "ignition-check")
    left, right, most = numbers(row.input)
    assert row.expected == "pass"
    assert outside(most, most, left, right) == []
    assert outside(most, most, most + 1, right) == ["left"]


def test_the_difference_has_a_limit_of_its_own() -> None:
    row = row_of("REF188", "ignition-check")
    left, right, most, apart = numbers(row.input)
    assert numbers(row.expected) == [left - right]
    assert outside(most, apart, left, right) == []
    assert outside(most, apart, left + 9, right) == ["apart"]  # each side passes, together not


# Intervals.

TASK = """\
document: marl-manual
tasks:
  check:
    title: Look at the frame
    about: No crack is seen.
    source: page 8
"""


def due(tmp_path: Path, task: str, hours: str, on: str, done: str) -> str:
    """What `placardry due` says of the task."""
    write_tree(tmp_path, files(frame=TASK + task))
    out = tmp_path / "said"
    words = ["due", "--book", str(tmp_path), "--machine", "tern", "--hours", hours, "--on", on]
    import contextlib

    with out.open("w", encoding="utf-8") as file, contextlib.redirect_stdout(file):
        assert cli.main([*words, "--done", f"check={done}", "--format", "json"]) == 0
    found = json.loads(out.read_text("utf-8"))["due"]
    return str(next(one["state"] for one in found if one["task"] == "check"))


PAST = ("due", "overdue")


@pytest.mark.parametrize(
    ("hours", "on", "is_due"),
    [
        ("10.5", "2026-12-01", False),
        ("11", "2026-02-01", True),  # one hour of use
        ("10.5", "2028-01-10", True),  # half of a useful life of four years
    ],
)
def test_of_hours_and_years_the_earlier_counts(
    tmp_path: Path, hours: str, on: str, is_due: bool
) -> None:
    assert INTERVAL["REF185"]["expected"] == "earlier of both"
    task = "    hours: every 1 h\n    calendar: every 24 months\n"
    assert (due(tmp_path, task, hours, on, "10,2026-01-10") in PAST) is is_due


@pytest.mark.parametrize(("day", "is_over"), [(0, False), (1, True)])
def test_calendar_months_run_to_the_end_of_the_last(
    tmp_path: Path, day: int, is_over: bool
) -> None:
    months = INTERVAL["REF186"]["expected"]
    task = f"    calendar: every {months} months\n    end-of-month: yes\n"
    on = date(2028, 3, 31 + day) if day == 0 else date(2028, 4, day)
    state = due(tmp_path, task, "10", on.isoformat(), "10,2026-03-05")
    assert (state == "overdue") is is_over


# Language.


@pytest.mark.parametrize(("count", "found"), [(6, []), (7, ["long-paragraph"])])
def test_a_paragraph_has_at_most_six_sentences(count: int, found: list[str]) -> None:
    assert limit("STE", "descriptive paragraph") == 6
    words = ("One", "Another", "Some", "Any", "Each", "Every", "No")
    text = " ".join(f"{words[at]} bird sings." for at in range(count))
    assert [one.rule.name for one in judge_page(f"# Notes\n\n{text}\n").findings] == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Turn the cap.", []),
        ("Turn the cap and then lift it.", ["two-instructions"]),
        ("Turn the cap; lift it.", ["two-instructions"]),
    ],
)
def test_a_sentence_gives_one_instruction(text: str, found: list[str]) -> None:
    assert limit("STE", "instructions per sentence") == 1
    step = (
        f"procedure: look\ntitle: Look\nchapter: operation\nwhen: at dusk\nsteps:\n  - do: {text}\n"
    )
    assert rules(look=step) == found


# Paper.


def test_two_of_our_largest_faces_make_the_next_size_of_paper() -> None:
    # ISO 216: two sheets side by side are one of the next size.
    row = row_of("REF218", "paper-sheet")
    a4 = faces()["A4 portrait"]
    assert f"{a4.height} x {2 * a4.width}" == row.expected


def test_limits_on_a_card_are_set_as_large_as_their_letters_need() -> None:
    # REF233 tells the size for another font; its rule is the x-height over that of the font.
    row = row_of("REF233", "typography-derived")
    em = float(re.findall(r"x/em ([\d.]+)", row.input)[0])
    least_mm = limit("typography", "x-height") * 25.4

    def needed(x_height: float) -> float:
        return least_mm / x_height * 72 / 25.4

    assert needed(em) == pytest.approx(float(row.expected), abs=float(row.tolerance))
    speaker = book.usual()
    pdf, _ = book.printed_card(speaker, "limits")
    assert pdf is not None
    red = spoken(speaker.bare(speaker.figures["coolant", "red"])).split("\u00a0")[0]
    printed_ = printed.glyphs(pdf)[0]
    text = "".join(glyph.char for glyph in printed_)
    sizes = [printed_[found.start()].size for found in re.finditer(red, text)]
    assert max(sizes) >= needed(x_height(FONT)) - 0.05


@pytest.mark.parametrize("name", ["normal text AAA", "large text AAA"])
def test_limits_on_a_card_stand_out_as_much_as_the_enhanced_contrast_asks(name: str) -> None:
    """The darkest the draft mark may be below them, and white: black is far above both."""
    from tests.reference.test_paper import PACKAGE, contrast

    face = (PACKAGE / "paper" / "face.typ").read_text(encoding="utf-8")
    (level,) = re.findall(r"fill: luma\((\d+)\), tracking", face)
    for ground in ("ffffff", f"{int(level):02x}" * 3):
        assert contrast("000000", ground) >= limit("contrast-enhanced", name)


# Squares. Capacities by ISO/IEC 18004 table 7 (from memory): bytes that a version just holds.

CAPACITY = {"REF219": 17, "REF222": 78, "REF220": 2953}


def modules(square: str) -> list[list[bool]]:
    """Which modules of a square are dark, read from its picture."""
    (side,) = re.findall(r'viewBox="0 0 (\d+) \1"', square)
    path = re.findall(r'class="qrline"[^>]* d="([^"]+)"', square)[0]
    dark = [[False] * int(side) for _ in range(int(side))]
    across, down = 0, 0
    for command, values in re.findall(r"([Mmh])([-\d. ]+)", path):
        given = [float(one) for one in values.split()]
        if command == "M":
            across, down = int(given[0]), int(given[1])
        elif command == "m":
            across, down = across + int(given[0]), down + int(given[1])
        else:
            for at in range(int(given[0])):
                dark[down][across + at] = True
            across += int(given[0])
    return dark


@pytest.mark.parametrize("row", rows("QR"))
def test_a_square_is_no_larger_than_its_words_need(row: Row) -> None:
    words = "x" * CAPACITY[row.id]
    assert len(modules(code_square(words))) == int(row.expected)
    if row.id != "REF220":  # which is the largest there is
        assert len(modules(code_square(words + "x"))) > int(row.expected)


def read_back(dark: list[list[bool]]) -> list[str]:
    """What another program reads in a square, with the quiet zone around it."""
    import zxingcpp
    from PIL import Image

    side, zoom = len(dark) + 8, 8
    picture = Image.new("L", (side, side), 255)
    for down, line in enumerate(dark):
        for across, is_dark in enumerate(line):
            picture.putpixel((across + 4, down + 4), 0 if is_dark else 255)
    picture = picture.resize((side * zoom, side * zoom), Image.Resampling.NEAREST)
    return [one.text for one in zxingcpp.read_barcodes(picture)]


# Bytes at which the least level that we ask for is raised to each, as the square has room.
LEVELS = {"REF223": (78, "L"), "REF225": (20, "Q"), "REF226": (7, "H")}


@pytest.mark.parametrize("row", rows("QR-level"))
def test_a_square_can_be_read_when_a_part_of_it_is_lost(row: Row) -> None:
    """An edge without marks is scratched off, by a third of what the level recovers at best."""
    import segno

    count, level = LEVELS[row.id]
    words = "x" * count
    assert row.input == f"EC level {level}"
    assert segno.make(words, error="l", micro=False).error == level
    dark = modules(code_square(words))
    assert read_back(dark) == [words]
    share = float(row.expected.split()[0]) / 100
    side = len(dark)
    edge = [(down, across) for across in range(side - 1, 0, -1) for down in range(9, side)]
    for down, across in edge[: round(side**2 * share / 3)]:
        dark[down][across] = False
    assert read_back(dark) == [words]
