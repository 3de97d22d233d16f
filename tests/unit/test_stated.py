from __future__ import annotations

from fractions import Fraction

import pytest

from placardry.figures import Figure
from placardry.rounding import Kind
from placardry.stated import figures
from placardry.wording.phrases import Speaker, spoken
from tests.books import files, manual

US = files()["procedures/machines.yaml"].decode().replace("[degC, ", "[degF, psi, US gal, ")


def stated(text: str, id: str, part: str = "") -> Figure:
    return figures(manual(machines=US, more=text))[id, part]


FACT = "document: marl-manual\nfacts:\n  it: {{{}, name: it, source: page 3}}\n"


@pytest.mark.parametrize(
    ("given", "kind", "shown"),
    [
        ("maximum: 11 L", Kind.MAXIMUM, "US gal - 2.9 -, L - 11 -"),
        ("minimum: 11 L", Kind.MINIMUM, "US gal 3.0 - -, L 11 - -"),
        ("nominal: 11 L", Kind.NOMINAL, "US gal - - 2.9, L - - 11"),
        ("range: 1.8 to 2.4 bar", Kind.RANGE, "psi 27 34 -, bar 1.8 2.4 -"),
        ("avoid: 1.8 to 2.4 bar", Kind.AVOID, "psi 26 35 -, bar 1.8 2.4 -"),
        ("rise: 10 to 20 degC", Kind.CHANGE, "degF 18 36 -, degC 10 20 -"),
        ("nominal: 25 ± 2 N·m", Kind.NOMINAL, "N*m 23 27 25"),
    ],
)
def test_each_kind_rounds_its_own_way(given: str, kind: Kind, shown: str) -> None:
    figure = stated(FACT.format(given), "it")
    assert figure.kind is kind
    expected = [one.rsplit(" ", 3) for one in shown.split(", ")]
    assert list(figure.shown) == [unit for unit, *_ in expected], "the market's unit comes first"
    for unit, *ends in expected:
        one = figure.shown[unit]
        assert (one.low, one.high, one.value) == tuple(
            None if end == "-" else Fraction(end) for end in ends
        )


@pytest.mark.parametrize(
    ("market", "given", "units"),
    [
        ("[ft]", "range: 8 to 12 mm", ["mm"]),
        ("[m]", "nominal: 57 mm", ["mm"]),
        ("[ft, in]", "range: 8 to 12 mm", ["in", "mm"]),
        ("[US gal]", "nominal: 20 mL", ["mL"]),
        ("[ft]", "maximum: 2400 m", ["ft", "m"]),
        ("[bar]", "minimum: 180 kPa", ["bar", "kPa"]),
    ],
)
def test_a_market_s_unit_of_another_size_does_not_stand_for_a_figure(
    market: str, given: str, units: list[str]
) -> None:
    # Source: common practice, no source.
    machines = files()["procedures/machines.yaml"].decode()
    machines = machines.replace("[degC, bar, L, km/h, m]", market)
    figure = figures(manual(machines=machines, more=FACT.format(given)))["it", ""]
    assert list(figure.shown) == units


def test_neighbouring_bands_share_each_rounded_cut() -> None:
    found = figures(manual(machines=US))
    green, yellow, red = (found["coolant", colour] for colour in ("green", "yellow", "red"))
    # Source: 14 CFR 25.1549(c): no gap and no overlap between the arcs.
    for unit in ("degC", "degF"):
        assert green.shown[unit].high == yellow.shown[unit].low
        assert yellow.shown[unit].high == red.shown[unit].high
    # 60 °C is 140 °F; 80 °C is 176 °F; 90 °C is 194 °F: exact in whole degrees.
    assert [green.shown["degF"].low, yellow.shown["degF"].low, red.shown["degF"].high] == [
        140,
        176,
        194,
    ]
    assert red.kind is Kind.MAXIMUM


def test_a_cut_moves_to_the_side_that_shortens_the_safer_band() -> None:
    scale = """\
    document: marl-manual
    parameters:
      voltage: {name: voltage, units: {V: 0.5}}
    scales:
      battery:
        parameter: voltage
        bands: [red, yellow from 11.7 V, green from 12.3 V, yellow from 14.6 V, red from 15.2 V]
        source: page 9
        exceeded: Land.
    """
    found = figures(manual(more=__import__("textwrap").dedent(scale)))
    green = found["battery", "green"].first
    assert (green.low, green.high) == (Fraction("12.5"), Fraction("14.5"))
    assert found["battery", "low-red"].first.low == 12
    assert found["battery", "high-red"].first.high == 15


def test_an_alarm_is_set_on_the_grid_of_its_instrument() -> None:
    instrument = files()["procedures/instrument.yaml"].decode()
    stored = instrument.replace("alarm-grid: 1 degC", "alarm-grid: 5 degF").replace(
        "alarm-range: 50 to 120 degC", "alarm-range: 120 to 250 degF"
    )
    alarms = files()["procedures/alarms.yaml"].decode()
    figure = figures(manual(instrument=stored, alarms=alarms.replace("88 degC", "85 degC")))
    shown = figure["coolant-alarm", ""].shown
    # 85 °C is exactly 185 °F, on the grid.
    assert list(shown) == ["degF", "degC"]
    assert [shown[unit].value for unit in shown] == [185, 85]


def test_a_formula_publishes_its_safe_end() -> None:
    text = """\
document: marl-manual
facts:
  tank: {range: 10 to 11 L, name: tank, source: page 3}
  flow: {range: 3.5 to 4 L/h, name: flow, source: page 3}
derived:
  endurance: {name: endurance, formula: tank / flow, unit: h, unsafe: high}
"""
    machine = manual(more=text, words="procedure: p\ntitle: P\nchapter: operation\nwhen: now\n"
                     "steps:\n  - do: Land within {endurance}.\n")  # fmt: skip
    speaker = Speaker(machine)
    # 10 L at 4 L/h last 2.5 h; nothing longer may be promised.
    assert figures(machine)["endurance", ""].exact.values == (None, Fraction(5, 2), None)
    from placardry.book.record import Text

    assert spoken(speaker.text(Text("Land within {endurance}."))) == "Land within about 2.5\u00a0h."
