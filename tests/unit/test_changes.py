"""What changed between two books: edits of the specimen, each with the changes it must give."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest

from placardry.book import KINDS
from placardry.changes import Change, Side, changes
from placardry.changes.affected import affected
from placardry.changes.state import from_plain, state_of, to_plain
from placardry.changes.trees import differences, tree
from placardry.loader import load
from placardry.resolve import resolve
from placardry.rules.specimen import SPECIMEN
from placardry.stated import figures

FACTS = """\
conditions:
  full: {short: at full speed, engine-speed: above 6000 rpm}
  fast: {short: at speed, engine-speed: above 5000 rpm}
limits:
  hot: {parameter: coolant-temperature, maximum: 85 degC, condition: full, within: 5 min}
facts:
  wait: {minimum: 10 s, name: wait}
  torque: {nominal: 25 ± 2 N·m, name: torque}
  usual: {typical: 60 to 70 degC, name: usual}
derived:
  double: {name: double torque, formula: torque * 2, unit: N·m, unsafe: high}
"""
STEPS = """\
procedure: start
title: Start
chapter: operation
when: before flight with {double}
steps:
  - hazard:
      signal: warning
      hazard: Turning propeller.
      consequence: It can kill.
      avoid: Keep clear.
  - do: Look around.
  - set: {master: on}
  - wait: wait
"""
PATHS = {"facts": "procedures/facts.yaml", "start": "procedures/start.yaml"}


def side(files: dict[str, str], cards: dict[tuple[str, str], str] | None = None) -> Side:
    book, findings = load({path: text.encode() for path, text in files.items()})
    assert book is not None, findings
    assert not findings
    return Side(book=book, manuals=resolve(book)[0], cards=cards or {})


BOOK = {**SPECIMEN, PATHS["facts"]: FACTS, PATHS["start"]: STEPS}
BEFORE = side(BOOK)


def edited(old: str, new: str) -> dict[str, str]:
    holding = [path for path, text in BOOK.items() if old in text]
    assert len(holding) == 1, f"`{old}` stands in {holding}"
    path = holding[0]
    return {**BOOK, path: BOOK[path].replace(old, new, 1)}


def said(found: tuple[Change, ...]) -> set[str]:
    return {
        f"{one.kind}: {one.of}{'.' + one.part if one.part else ''} {one.direction}" for one in found
    }


ENTRY = "{machine: tern, market: eu, language: en}"
HOT = FACTS[FACTS.index("  hot: ") : FACTS.index("facts:")].strip("\n")
DOUBLE = "value: derived/double loosened"
# (old text, new text, all that must be said of it)
CASES = [
    ("maximum: 7500 rpm", "maximum: 7600 rpm", {"value: limit/engine-speed-maximum loosened"}),
    ("maximum: 7500 rpm", "maximum: 7400 rpm", {"value: limit/engine-speed-maximum tightened"}),
    ("maximum: 7500 rpm", "minimum: 7500 rpm", {"value: limit/engine-speed-maximum undecided"}),
    (
        "red from 90 degC",
        "red from 91 degC",
        {"value: scale/coolant.red loosened", "value: scale/coolant.yellow loosened"},
    ),
    (
        "yellow from 80 degC",
        "yellow from 79 degC",
        {"value: scale/coolant.yellow tightened", "value: scale/coolant.green tightened"},
    ),
    ("set-point: 88 degC", "set-point: 89 degC", {"value: alarm/coolant-alarm loosened"}),
    ("fires: at-or-above", "fires: above", {"value: alarm/coolant-alarm loosened"}),
    ("maximum: 85 degC", "maximum: 185 degF", {"re-expressed: limit/hot neutral"}),
    ("maximum: 85 degC", "maximum: 85.0 degC", {"re-expressed: limit/hot neutral"}),
    ("maximum: 85 degC", "maximum:   '85 °C'", set()),
    ("condition: full", "condition: fast", {"condition widened: limit/hot tightened"}),
    ("condition: full, ", "", {"condition widened: limit/hot tightened"}),
    (
        "engine-speed: above 6000 rpm",
        "engine-speed: above 6500 rpm",
        {
            "condition narrowed: limit/hot loosened",
            "value: condition/full.engine-speed undecided",
        },
    ),
    ("within: 5 min", "within: 6 min", {"value: limit/hot.within loosened"}),
    (", within: 5 min", "", {"removed: limit/hot.within loosened"}),
    (
        "minimum: 10 s",
        "minimum: 12 s",
        {"value: fact/wait tightened"},
    ),
    (
        "25 ± 2 N·m",
        "25 ± 1 N·m",
        {"value: fact/torque tightened", DOUBLE},
    ),
    (
        "25 ± 2 N·m",
        "26 ± 2 N·m",
        {"value: fact/torque undecided", DOUBLE},
    ),
    ("60 to 70 degC", "60 to 75 degC", {"value: fact/usual neutral"}),
    ("source: page 5", "source: page 6", {"re-sourced: alarm/coolant-alarm neutral"}),
    ("Reduce power.", "Add power.", {"reworded: limit/engine-speed-maximum.exceeded undecided"}),
    ("title: Fire", "title: A fire", {"reworded: procedure/fire.title neutral"}),
    ("signal: warning", "signal: danger", {"hazard changed: procedure/start.steps.0 tightened"}),
    (
        STEPS[STEPS.index("  - hazard") : STEPS.index("  - do")],
        "",
        {"hazard removed: procedure/start.steps.0 loosened"},
    ),
    ("  - do: Look around.\n", "", {"step removed: procedure/start.steps.1 undecided"}),
    ("Look around.", "Look up.", {"step reworded: procedure/start.steps.1 undecided"}),
    (
        "  - do: Look around.\n  - set: {master: on}\n",
        "  - set: {master: on}\n  - do: Look around.\n",
        {"step moved: procedure/start.steps.1 undecided"},
    ),
    ("  - wait: wait\n", "", {"step removed: procedure/start.steps.3 undecided"}),
    ("engine-speed-maximum:", "speed-maximum:", {"renamed: limit/speed-maximum neutral"}),
    (
        "engine-speed-maximum:\n    parameter: engine-speed\n    maximum: 7500 rpm",
        "speed-maximum:\n    parameter: engine-speed\n    maximum: 7600 rpm",
        {"renamed: limit/speed-maximum neutral", "value: limit/speed-maximum loosened"},
    ),
    (
        "units: {rpm: 10}",
        "units: {rpm: 100}",
        {
            "changed: parameter/engine-speed.units.rpm neutral",
            "published: instrument/wren.speed-range neutral",
        },
    ),
    ("page 8", "page 9", {"re-sourced: task/coolant-level neutral"}),
    ("each: flying-day", "each: flight", {"changed: task/coolant-level.each undecided"}),
    (
        "resolution: 1 degC",
        "resolution: 2 degC",
        {"value: instrument/wren.coolant-resolution undecided"},
    ),
    (
        "label: WATER",
        "label: H2O",
        {"changed: instrument/wren.screens.main.fields.0.label undecided"},
    ),
    (
        "publisher: Specimen Flight",
        "publisher: Other",
        {"reworded: book/specimen.publisher undecided"},
    ),
    (
        "Keep the coolant inside",
        "Leave the coolant outside",
        {"step reworded: page/welcome.passages.0 undecided"},
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), CASES)
def test_an_edit_is_said(old: str, new: str, expected: set[str]) -> None:
    assert said(changes(BEFORE, side(edited(old, new)))) == expected


def test_nothing_is_no_change() -> None:
    assert changes(BEFORE, side(BOOK)) == ()


def test_a_file_that_moved_is_only_moved() -> None:
    files = dict(BOOK)
    files["procedures/emergency/fire.yaml"] = files.pop("procedures/fire.yaml")
    assert said(changes(BEFORE, side(files))) == {
        "moved: file/procedures/emergency/fire.yaml neutral"
    }


def test_a_lost_limit_is_loosened_and_a_new_one_tightened() -> None:
    without = side(
        edited(
            HOT,
            "  {}",
        )
    )
    assert "removed: limit/hot loosened" in said(changes(BEFORE, without))
    assert "added: limit/hot tightened" in said(changes(without, BEFORE))


def test_the_same_change_on_several_manuals_is_one() -> None:
    two = edited(
        ENTRY,
        ENTRY + "\n  tern-again: " + ENTRY,
    )
    path = "procedures/coolant.yaml"
    after = {**two, path: two[path].replace("7500 rpm", "7600 rpm")}
    (one,) = changes(side(two), side(after))
    assert one.manuals == ("tern-again", "tern-eu")
    assert one.machines == ("tern",)
    assert str(one.size) == "100 rpm"
    assert one.share is not None
    assert float(one.share) == pytest.approx(100 / 7500)
    assert one.spans[1] is not None
    assert one.spans[1].path == path


def test_what_comes_through_another_record_names_it() -> None:
    found = {one.of: one for one in changes(BEFORE, side(edited("25 ± 2", "26 ± 2")))}
    assert found["derived/double"].causes == ("fact/torque",)
    assert found["fact/torque"].causes == ()


def test_a_display_step_changes_what_is_published() -> None:
    before = edited("maximum: 7500 rpm", "maximum: 7450 rpm")
    path = "procedures/parameters.yaml"
    after = {**before, path: before[path].replace("{rpm: 10}", "{rpm: 100}")}
    (one,) = (x for x in changes(side(before), side(after)) if x.type == "limit")
    assert (str(one.kind), one.causes) == ("published", ("parameter/engine-speed",))


def test_a_limit_that_applies_to_fewer_machines_is_loosened() -> None:
    after = edited("  hot: {", "  hot: {applies: {market: us}, ")
    path = "procedures/machines.yaml"
    us = "markets:\n  us: {name: America, units: [degF], rules: Ask.}\n"
    both = {**BOOK, path: BOOK[path].replace("markets:\n", us)}
    found = changes(side(both), side({**after, path: both[path]}))
    assert "applicability narrowed: limit/hot loosened" in said(found)


def test_a_changed_face_is_said() -> None:
    old, new = side(BOOK, {("tern-eu", "card"): "a"}), side(BOOK, {("tern-eu", "card"): "b"})
    assert said(changes(old, new)) == {"face: card/card neutral"}


def test_a_state_is_kept_as_json() -> None:
    for manual in BEFORE.manuals:
        for figure in figures(manual).values():
            state = state_of(figure, manual)
            kept = from_plain(json.loads(json.dumps(to_plain(state))))
            assert kept == state


@pytest.mark.parametrize("kind", KINDS)
def test_no_key_of_a_record_is_ignored(kind: str) -> None:
    # An unequal value of any field but the id must be seen by the tree that is compared.
    for field in dataclasses.fields(KINDS[kind]):
        if not field.compare or field.name == "id":
            continue
        record = _Lax(KINDS[kind], field.name)
        assert list(differences(tree(record.one), tree(record.other))), (kind, field.name)


class _Lax:
    """Two records of a class that differ in one field alone."""

    def __init__(self, cls: Any, name: str) -> None:
        names = [one.name for one in dataclasses.fields(cls)]
        values = dict.fromkeys(names, "same")
        self.one: Any = object.__new__(cls)
        self.other: Any = object.__new__(cls)
        vars(self.one).update(values)
        vars(self.other).update({**values, name: "other"})


def test_the_most_dangerous_comes_first() -> None:
    files = edited("maximum: 7500 rpm", "maximum: 7600 rpm")
    files[PATHS["facts"]] = FACTS.replace("minimum: 10 s", "minimum: 12 s")
    directions = [str(one.direction) for one in changes(BEFORE, side(files))]
    assert directions[0] == "loosened"
    assert directions == sorted(directions)


def test_a_rename_is_followed_through_what_refers_to_it() -> None:
    files = {
        path: text.replace("full", "flat-out").replace("hot", "warm") for path, text in BOOK.items()
    }
    files[PATHS["facts"]] = files[PATHS["facts"]].replace("at flat-out speed", "at full speed")
    assert said(changes(BEFORE, side(files))) == {
        "renamed: condition/flat-out neutral",
        "renamed: limit/warm neutral",
        "reworded: task/coolant-level.about neutral",
    }


def test_a_lost_limit_is_not_taken_for_a_new_one_of_another_kind() -> None:
    new = HOT.replace("hot:", "cold:").replace("maximum", "minimum")
    assert {"removed: limit/hot loosened", "added: limit/cold tightened"} <= said(
        changes(BEFORE, side(edited(HOT, new)))
    )


def test_only_the_figures_that_may_differ_are_made() -> None:
    manual = BEFORE.manuals[0]
    made = affected(manual, frozenset([("fact", "wait")]))
    assert {id for id, _ in made} == {"wait"}
    through = affected(manual, frozenset([("fact", "torque")]))
    assert {id for id, _ in through} == {"torque", "double"}
    everything = affected(manual, frozenset([("market", "eu")]))
    assert everything == dict(figures(manual))
