"""What changed between two books: edits of the specimen, each with the changes it must give."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest

from placardry.book import KINDS
from placardry.book.translations import text_digest
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


LAND = """\
procedure: land
title: Land
chapter: operation
when: at the end of a flight
steps:
  - do: Look around.
  - do: Close the throttle.
  - do: Flare.
"""
GERMAN = "  tern-de: {machine: tern, market: eu, language: de}\n"


def _german(file: str, *texts: tuple[str, str]) -> str:
    rows = "".join(
        f'  steps/{at}/do: {{text: "{text}", of: "{text_digest(of)}"}}\n'
        for at, (of, text) in enumerate(texts)
    )
    return f"translates: procedures/{file}.yaml\ntexts:\n{rows}"


def _in_german(**files: str) -> Side:
    """The specimen in two languages, with procedures and their translations."""
    where = {name: f"procedures/{name.replace('de_', 'translations/de/')}.yaml" for name in files}
    path = "procedures/machines.yaml"
    given = {**SPECIMEN, path: SPECIMEN[path] + GERMAN}
    given |= {where[name]: text for name, text in files.items()}
    book, _ = load({path: text.encode() for path, text in given.items()})
    assert book is not None
    return Side(book=book, manuals=resolve(book)[0])


def test_a_translation_is_of_its_own_file() -> None:
    """Each procedure has its first step; what one says in German is not what another does."""
    leave = _german("leave", ("x", "Verlassen Sie das Gerät."))
    land = _german("land", ("Look around.", "Sehen Sie sich um."))
    other = land.replace("Sehen Sie sich um", "Sehen Sie sich nicht um")
    old = _in_german(land=LAND, de_land=land, de_leave=leave)
    (one,) = changes(old, _in_german(land=LAND, de_land=other, de_leave=leave))
    assert (one.of, str(one.kind), str(one.direction)) == (
        "translation/de/land/steps/0/do", "translated", "undecided",
    )  # fmt: skip
    assert (one.before, one.after) == ("Sehen Sie sich um.", "Sehen Sie sich nicht um.")
    assert one.manuals == ("tern-de",)


def test_a_step_that_goes_takes_its_own_translation_alone() -> None:
    texts = [("Look around.", "Sehen Sie sich um."), ("Close the throttle.", "Gas schließen."),
             ("Flare.", "Abfangen.")]  # fmt: skip
    old = _in_german(land=LAND, de_land=_german("land", *texts))
    shorter = LAND.replace("  - do: Look around.\n", "")
    found = said(changes(old, _in_german(land=shorter, de_land=_german("land", *texts[1:]))))
    assert found == {
        "step removed: procedure/land.steps.0 undecided",
        "removed: translation/de/land/steps/0/do neutral",
    }
    swapped = [texts[0], (texts[1][0], texts[2][1]), (texts[2][0], texts[1][1])]
    found = said(changes(old, _in_german(land=LAND, de_land=_german("land", *swapped))))
    assert found == {
        "translated: translation/de/land/steps/1/do undecided",
        "translated: translation/de/land/steps/2/do undecided",
    }


def test_a_translation_follows_its_original_to_another_file() -> None:
    land = _german("land", ("Look around.", "Sehen Sie sich um."))
    moved = _german("down", ("Look around.", "Sehen Sie sich um."))
    old, new = _in_german(land=LAND, de_land=land), _in_german(down=LAND, de_down=moved)
    assert said(changes(old, new)) == {"moved: file/procedures/down.yaml neutral"}


def test_a_step_changes_on_the_machines_of_its_own_statement() -> None:
    """One id, two procedures: each machine has its own."""
    path = "procedures/machines.yaml"
    tern, heron = (f"  {one}: {{name: {one}, model: {one}, airframe: frame, engine: marl, "
                   "panel: tern-panel}\n" for one in ("tern", "heron"))  # fmt: skip
    start, rest = SPECIMEN[path].partition("machines:\n")[::2]
    own = f"{start}machines:\n{heron}{tern}{rest.partition(chr(10))[2]}"
    own += f"  heron-eu: {ENTRY.replace('tern', 'heron')}\n"
    files = {
        **SPECIMEN,
        path: own,
        **{
            f"procedures/{one}.yaml": LAND.replace("title", f"applies: {{machine: {one}}}\ntitle")
            for one in ("tern", "heron")
        },
    }
    shorter = files["procedures/tern.yaml"].replace("  - do: Flare.\n", "")
    (one,) = changes(side(files), side({**files, "procedures/tern.yaml": shorter}))
    assert (str(one.kind), one.machines, one.manuals) == ("step removed", ("tern",), ("tern-eu",))
    shared = {path: text for path, text in files.items() if path != "procedures/heron.yaml"}
    flare = "  - {do: Flare., applies: {machine: heron}}\n"
    all_ = LAND.replace("  - do: Flare.\n", flare)
    old, new = (
        {**shared, "procedures/tern.yaml": text} for text in (all_, all_.replace(flare, ""))
    )
    (one,) = changes(side(old), side(new))
    assert (str(one.kind), one.machines) == ("step removed", ("heron",))
    (one,) = changes(side(new), side(old))
    assert (str(one.kind), one.machines) == ("step added", ("heron",))


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
