"""The choice of units: what may be hidden, what never, and what stands with it."""

from __future__ import annotations

import json

import pytest

from placardry.pages import element_tree, pages
from placardry.pages.inline import Inline
from placardry.pages.places import Places
from placardry.pages.unit_choice import choices, marked
from placardry.rounding import Kind
from placardry.site.unit_script import unit_script
from placardry.wording.phrases import Speaker
from placardry.wording.unit_sides import sides
from tests.manuals import RICH, speaker_of

MACHINES = "procedures/machines.yaml"
PARAMETERS = "procedures/parameters.yaml"


def with_units(market: str, coolant: str = "{degC: 1, degF: 1}") -> Speaker:
    """The rich book for a market with these units, and a coolant temperature in those."""
    machines = RICH[MACHINES].replace("[degC, bar, L, km/h, m]", market)
    parameters = RICH[PARAMETERS].replace("{degC: 1, degF: 1}", coolant)
    return speaker_of({**RICH, MACHINES: machines, PARAMETERS: parameters})


def test_the_market_is_one_side_and_all_else_the_other() -> None:
    own, other = choices(speaker_of())
    assert (own.side, own.symbols, own.shown) == ("own", ("degC",), ("°C",))
    assert (other.side, other.symbols, other.shown) == ("other", ("degF",), ("°F",))
    own, other = choices(with_units("[degF, psi]"))
    assert (own.symbols, other.symbols) == (("degF",), ("degC",))


@pytest.mark.parametrize("coolant", ["{degC: 1}", "{degF: 1}"])
def test_one_system_of_units_leaves_no_choice(coolant: str) -> None:
    speaker = with_units("[degC]", coolant)
    assert choices(speaker) == ()
    assert "UNITS" not in unit_script(speaker).decode().replace("const", "")
    assert not any("unit-" in page.markdown for page in pages(speaker))


@pytest.mark.parametrize("market", ["[bar]", "[degC, degF]"])
def test_units_of_one_side_alone_are_never_hidden(market: str) -> None:
    assert choices(with_units(market)) == ()


def test_a_figure_with_one_unit_and_what_an_instrument_is_set_to_are_never_hidden() -> None:
    speaker = speaker_of()
    for figure in speaker.figures.values():
        hidden = sides(figure, speaker.manual)
        if len(figure.shown) == 1 or figure.kind is Kind.SET_POINT or figure.id == "wren":
            assert hidden == {}
        else:
            assert set(hidden) == set(figure.shown)
            assert set(hidden.values()) == {"own", "other"}
    assert sides(speaker.figures["coolant", "red"], speaker.manual)


def test_words_and_condition_stay_with_what_is_left() -> None:
    more = (
        "document: marl-manual\n"
        "limits:\n"
        "  warm:\n"
        "    parameter: coolant-temperature\n"
        "    range: at least 40 degC\n"
        "    condition: full-power\n"
        "    source: page 4\n"
        "    exceeded: Wait.\n"
    )
    speaker = speaker_of({**RICH, "procedures/warm.yaml": more})
    write = Inline(speaker, Places(speaker.manual), "facts.md")
    assert write.all_units(speaker.figures["warm", ""]) == (
        '<span class="unit-own">at least [40&nbsp;°C](register.md#warm)</span>'
        '<span class="unit-own unit-other"> · </span>'
        '<span class="unit-other">at least [104&nbsp;°F](register.md#warm)</span>'
        " at full throttle"
    )


def test_running_text_has_the_other_unit_in_the_place_of_its_own() -> None:
    speaker = speaker_of()
    write = Inline(speaker, Places(speaker.manual), "guide/x.md")
    said = write.prose("Keep it inside {coolant.green}, not in {coolant.yellow}.")
    assert said == (
        "Keep it inside [60 to 80&nbsp;°C](../register.md#coolant.green){: .unit-own }"
        "[ 140 to 176&nbsp;°F](../register.md#coolant.green){: .unit-instead }, not in "
        # of a caution band a text names only where it begins
        "[80&nbsp;°C](../register.md#coolant.yellow){: .unit-own }"
        "[ 176&nbsp;°F](../register.md#coolant.yellow){: .unit-instead }."
    )
    # On paper it reads as before.
    assert "".join(element_tree(said).itertext()).strip() == (
        "Keep it inside 60 to 80\u00a0°C, not in 80\u00a0°C."
    )


def test_a_condition_has_the_words_that_the_register_has() -> None:
    conditions = RICH["procedures/conditions.yaml"] + (
        "  cold: {short: 'below {cold.coolant-temperature}', coolant-temperature: below 40 degC}\n"
    )
    more = RICH["procedures/more.yaml"].replace("condition: full-power", "condition: cold")
    speaker = speaker_of(
        {**RICH, "procedures/conditions.yaml": conditions, "procedures/more.yaml": more}
    )
    assert not any(run.instead for run in speaker.held(speaker.figures["climb-speed", ""]))
    assert any(run.instead for run in speaker.text("{cold.coolant-temperature}"))


def test_a_column_is_marked_from_its_head_down() -> None:
    page = next(one for one in pages(speaker_of()) if one.path == "limits.md")
    rows = [row for row in page.markdown.splitlines() if "{: .unit-" in row]
    assert len(rows) == 4
    for row in rows:
        _, _, own, other, _ = row.split("|")
        assert own.strip().endswith("{: .unit-own }")
        assert other.strip().endswith("{: .unit-other }")


def test_a_separator_goes_with_either_side() -> None:
    assert marked(["own", "other"]) == "unit-own unit-other"
    assert marked(["other", "other"]) == "unit-other"
    assert marked([None]) == ""


def test_the_script_holds_words_and_units_alone() -> None:
    first, _, rest = unit_script(speaker_of()).decode().partition(";\n")
    given = json.loads(first.removeprefix("const UNITS = "))
    assert given["label"] == "Units"
    assert [one["name"] for one in given["choices"]] == ["°C · °F", "°C", "°F"]
    assert [one["side"] for one in given["choices"]] == ["", "own", "other"]
    assert given["choices"][2]["said"] == "Figures are shown in °F."
    assert "const UNITS" not in rest
