from __future__ import annotations

from placardry.book.figures import Fact, Limit, Parameter
from placardry.book.procedures import Procedure
from placardry.resolve import resolve
from tests.books import files, judged, said

TWO_MACHINES = (
    files()["procedures/machines.yaml"]
    .decode()
    .replace(
        "engines:\n",
        "options:\n  light: {name: light}\nengines:\n"
        "  tarn:\n    name: Tarn\n    cooling: air\n    starting: recoil\n"
        "    ignition-circuits: 1\n    pulses-per-revolution: 1\n",
    )
    .replace(
        "machines:\n",
        "machines:\n  wren: {name: Wren, model: Wren, airframe: frame, engine: tarn,"
        " panel: tern-panel, options: {light: fitted}}\n",
    )
    .replace("manuals:\n", "manuals:\n  wren-eu: {machine: wren, market: eu, language: en}\n")
)


def test_one_name_says_what_holds_on_each_machine() -> None:
    prepared = judged(
        machines=TWO_MACHINES,
        facts="""\
        document: marl-manual
        facts:
          plug-gap:
            - {nominal: 0.5 mm, name: plug gap, source: page 3, applies: {engine: marl}}
            - {nominal: 0.6 mm, name: plug gap, source: page 3, applies: {engine: tarn}}
        """,
    )
    assert {one.id: str(one.get(Fact, "plug-gap").nominal) for one in prepared.manuals} == {
        "tern-eu": "0.5 mm",
        "wren-eu": "0.6 mm",
    }


def test_two_statements_that_meet_are_a_clash_with_both_places() -> None:
    prepared = judged(
        facts="""\
        document: marl-manual
        facts:
          plug-gap:
            - {nominal: 0.5 mm, name: plug gap, source: page 3}
            - {nominal: 0.6 mm, name: plug gap, source: page 3, applies: {engine: marl}}
        """
    )
    assert [rule for rule, _ in said(prepared)] == ["repeated-record"]
    assert prepared.findings[0].related


def test_options_decide_by_what_is_on_the_machine() -> None:
    prepared = judged(
        machines=TWO_MACHINES,
        facts="""\
        document: marl-manual
        facts:
          lamp: {nominal: 5 W, name: lamp, source: page 3, applies: {option: light}}
          hole: {nominal: 57 mm, name: hole, source: page 3, applies: {without-option: light}}
        """,
    )
    held = {one.id: set(one.of(Fact)) for one in prepared.manuals}
    assert held == {"tern-eu": {"hole"}, "wren-eu": {"lamp"}}


def test_a_reference_that_leads_out_is_found_and_its_record_left_out() -> None:
    prepared = judged(
        machines=TWO_MACHINES,
        facts="""\
        document: marl-manual
        facts:
          lamp: {nominal: 5 W, name: lamp, source: page 3, applies: {option: light}}
        """,
        words="procedure: look\ntitle: Look\nchapter: operation\nwhen: at dusk\n"
        "steps:\n  - wait: lamp\n  - do: Look again.\n",
    )
    assert prepared.book is not None
    manuals, strays = resolve(prepared.book)
    assert [(one.manual, one.written, one.typed) for one in strays] == [("tern-eu", "lamp", True)]
    assert {one.id: "look" in one.of(Procedure) for one in manuals} == {
        "tern-eu": False,
        "wren-eu": True,
    }


def test_steps_for_other_machines_are_left_out() -> None:
    prepared = judged(
        machines=TWO_MACHINES,
        words="procedure: look\ntitle: Look\nchapter: operation\nwhen: at dusk\n"
        "steps:\n  - {do: Light it., applies: {option: light}}\n  - do: Look.\n",
    )
    steps = {one.id: len(one.get(Procedure, "look").steps) for one in prepared.manuals}
    assert steps == {"tern-eu": 1, "wren-eu": 2}


def test_what_nothing_uses_is_not_in_a_manual() -> None:
    prepared = judged(
        more="parameters:\n  fuel: {name: fuel, units: {L: 1}}\n",
    )
    (manual,) = prepared.manuals
    assert "fuel" not in manual.of(Parameter)
    assert set(manual.of(Limit)) == {"engine-speed-maximum"}
