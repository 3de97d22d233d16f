"""Gauge strips: which colour lies where, true to scale, every numeral traced and conditioned."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree.ElementTree import Element, fromstring

import pytest

from placardry.audit.claims import claims
from placardry.audit.pages import read
from placardry.book.figures import Scale
from placardry.pages import element_tree, figures_on, pages
from placardry.pages.gauge import strip
from placardry.pages.inline import Inline
from placardry.pages.marking import Marking, marking
from placardry.pages.places import Places
from placardry.wording.phrases import Speaker
from tests.manuals import RICH, manual_of, speaker_of, told

OPEN = None
PARAMETERS = """\
  oil-pressure: {name: oil pressure, units: {bar(g): 0.1, psi(g): 1}, plausible: 0 to 12 bar(g)}
  fuel-quantity: {name: fuel, units: {L: 0.5, US gal: 0.1}, plausible: 0 to 60 L}
  battery-voltage: {name: battery voltage, units: {V: 0.1}, plausible: 0 to 20 V}
"""


def speaker_with(text: str) -> Speaker:
    """The rich book with some more limits, and gauge pressure in its market."""
    machines = RICH["procedures/machines.yaml"].replace("bar, L", "bar, bar(g), L")
    return speaker_of(
        {
            **RICH,
            "procedures/machines.yaml": machines,
            "procedures/parameters.yaml": RICH["procedures/parameters.yaml"] + PARAMETERS,
            "procedures/gauge.yaml": f"document: marl-manual\n{text}",
        }
    )


def scale_of(parameter: str, bands: str, more: str = "") -> Speaker:
    return speaker_with(
        f"scales:\n  gauge:\n    parameter: {parameter}\n    bands: [{bands}]\n"
        f"    exceeded: Land.\n    source: page 4\n{more}"
    )


def drawn(speaker: Speaker, name: str = "gauge") -> Element:
    write = Inline(speaker, Places(speaker.manual), "limits.md")
    made = strip(write, speaker.manual.get(Scale, name))
    return fromstring(made)  # noqa: S314 -- our own, just written


# Source: 14 CFR 25.1549, in short: (a) each maximum and, where there is one, minimum limit is a red
# line; (b) the normal range is green and does not extend beyond the limits; (c) the precautionary
# range is yellow; (d) a range restricted because of vibration is a red arc. Figures are invented.
SCALES = [
    (
        "coolant-temperature",
        "green from 60 degC, yellow from 80 degC, red from 90 degC",
        [("green", 60, 80), ("yellow", 80, 90)],
        [(90, "above")],
    ),
    (
        "oil-pressure",
        "red, yellow from 1.5 bar(g), green from 2 bar(g), yellow from 5 bar(g), red from 6 bar(g)",
        [("yellow", 1.5, 2), ("green", 2, 5), ("yellow", 5, 6)],
        [(1.5, "below"), (6, "above")],
    ),
    (
        "fuel-quantity",
        "red, yellow from 3 L, green from 6 L",
        [("yellow", 3, 6), ("green", 6, OPEN)],
        [(3, "below")],
    ),
    (
        "battery-voltage",
        "red, green from 12.5 V, red from 15 V",
        [("green", 12.5, 15)],
        [(12.5, "below"), (15, "above")],
    ),
    (
        "engine-speed",
        "green from 1800 rpm, avoid from 3200 rpm, green from 3900 rpm, red from 7900 rpm",
        [("green", 1800, 3200), ("avoid", 3200, 3900), ("green", 3900, 7900)],
        [(7900, "above")],
    ),
    (
        "coolant-temperature",
        "yellow, green from 60 degC",
        [("yellow", OPEN, 60), ("green", 60, OPEN)],
        [],
    ),
]


def arcs_of(marks: Marking) -> list[tuple[str, float | None, float | None]]:
    """Each band as (colour, low, high)."""
    return [(one.colour, number(one.low), number(one.high)) for one in marks.bands]


def number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


@pytest.mark.parametrize(("parameter", "bands", "arcs", "lines"), SCALES)
def test_each_colour_lies_where_the_regulation_puts_it(
    parameter: str,
    bands: str,
    arcs: list[tuple[str, float | None, float | None]],
    lines: list[tuple[float, str]],
) -> None:
    speaker = scale_of(parameter, bands)
    found = marking(speaker, speaker.manual.get(Scale, "gauge"))
    assert arcs_of(found) == arcs
    assert [(float(one.at), str(one.beyond)) for one in found.lines] == lines
    for lower, upper in zip(found.bands, found.bands[1:], strict=False):
        assert lower.high == upper.low, "a gap, or an overlap"
    # (b): no green beyond a limit.
    for line in found.lines:
        for band in (one for one in found.bands if one.colour == "green"):
            end = band.high if line.beyond == "above" else band.low
            assert end is not None
            assert end <= line.at if line.beyond == "above" else end >= line.at


AVOID = """\
conditions:
  running: {short: with the engine running, engine: running}
  stopped: {short: with the engine stopped, engine: stopped}
limits:
  vibration:
    parameter: engine-speed
    name: vibration range
    avoid: 3200 to 3900 rpm
    condition: CONDITION
    source: page 4
    exceeded: Move the throttle.
"""
SPEED = "green from 1800 rpm, yellow from 7500 rpm, red from 7900 rpm"


def test_a_range_to_be_avoided_is_a_red_arc_on_the_gauge_of_its_parameter() -> None:
    speaker = scale_of("engine-speed", SPEED, AVOID.replace("CONDITION", "running"))
    found = marking(speaker, speaker.manual.get(Scale, "gauge"))
    assert ("avoid", 3200, 3900) in arcs_of(found)
    text = " ".join(drawn(speaker).itertext())
    assert "Vibration range, red: avoid, with the engine running" in text
    assert "3200 to 3900" in text


def test_what_can_never_hold_with_a_scale_is_not_on_its_gauge() -> None:
    more = AVOID.replace("CONDITION", "stopped")
    speaker = scale_of("engine-speed", SPEED + "]\n    condition: [running", more)
    found = marking(speaker, speaker.manual.get(Scale, "gauge"))
    assert "avoid" not in [one.colour for one in found.bands]


def percent(text: str | None) -> float:
    assert text is not None
    assert text.endswith("%")
    return float(text[:-1])


@pytest.mark.parametrize(("parameter", "bands"), [row[:2] for row in SCALES])
def test_a_strip_is_true_to_scale(parameter: str, bands: str) -> None:
    speaker = scale_of(parameter, bands)
    marks = marking(speaker, speaker.manual.get(Scale, "gauge"))
    root = drawn(speaker)
    own = [one for one in root.iter("a") if one.get("class") != "unit-other"]
    places = [percent(one[0].get("x")) for one in own]
    values = [float(one.at) for one in marks.numerals]
    assert places == sorted(places)
    assert len(places) == len(values)
    if len(values) > 1:
        slope = (places[-1] - places[0]) / (values[-1] - values[0])
        for place, value in zip(places, values, strict=True):
            assert place == pytest.approx(places[0] + slope * (value - values[0]), abs=0.02)
    at = dict(zip(values, places, strict=True))
    for line, mark in zip(
        marks.lines, (one for one in root[1].iter("line") if one.get("class") == "limit"),
        strict=True,
    ):  # fmt: skip
        assert percent(mark.get("x1")) == at[float(line.at)]
    found = {
        (one.get("class"), percent(one.get("x")), percent(one.get("width")))
        for one in root[1].iter("rect")
    }
    for band in marks.bands:
        left = 0.0 if band.low is None else at[float(band.low)]
        right = 100.0 if band.high is None else at[float(band.high)]
        assert any(
            colour == band.colour and x == left and abs(x + width - right) < 0.02
            for colour, x, width in found
        )


def test_a_second_unit_stands_at_the_same_cuts_within_its_step() -> None:
    speaker = scale_of("oil-pressure", SCALES[1][1])
    root = drawn(speaker)
    links = list(root.iter("a"))
    assert [one.get("class") for one in links] == ["unit-own"] * 4 + ["unit-other"] * 4
    texts = ["".join(one.itertext()) for one in links]
    # 1 bar is 14.503 77 psi (NIST SP 811 B.8: 1 psi = 6.894 757 kPa); cuts shorten the safer band.
    assert [one.split("\u00a0")[0] for one in texts] == [
        *("1.5", "2.0", "5.0", "6.0"), *("22", "30", "72", "87"),
    ]  # fmt: skip
    below, above = links[:4], links[4:]
    assert [one[0].get("x") for one in below] == [one[0].get("x") for one in above]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (1, "red: limit, yellow: caution, green: normal, yellow: caution, red: limit"),
        (3, "red: limit, green: normal, red: limit"),
        (4, "green: normal, red: avoid, green: normal, red: limit"),
    ],
)
def test_the_name_of_a_strip_says_its_colours_in_order_and_no_figure(row: int, words: str) -> None:
    root = drawn(scale_of(*SCALES[row][:2]))
    name = root[1].get("aria-label") or ""
    assert name == f"From low to high: {words}"
    assert not re.search(r"[0-9]", name)


def test_every_numeral_leads_to_its_row_and_stands_with_its_condition() -> None:
    speaker = scale_of(
        "engine-speed",
        SPEED + "]\n    condition: [full-power",
        AVOID.replace("CONDITION", "running"),
    )
    write = Inline(speaker, Places(speaker.manual), "limits.md")
    html = str(strip(write, speaker.manual.get(Scale, "gauge")))
    _, blocks = read("limits.html", html.encode())
    found = list(claims(blocks, "en", "tern-eu"))
    assert {one.anchor for one in found} == {
        *("gauge.green", "gauge.yellow", "gauge.red", "vibration")
    }
    for claim in found:
        assert claim.figure is not None
        held = "with the engine running" if claim.anchor == "vibration" else "at full throttle"
        assert held in claim.group


def test_every_scale_has_its_strip_among_the_limits_and_where_it_is_read() -> None:
    speaker = scale_of("coolant-temperature", SCALES[5][1])
    made = {one.path: one for one in pages(speaker)}
    count = made["limits.md"].markdown.count('<figure class="gauge">')
    assert count == len(speaker.manual.of(Scale)) == 2
    # The display measures it too; its page counts as a place where those figures are used.
    assert made["instruments/wren.md"].markdown.count('href="../register.html#gauge.') == 2
    assert "gauge.yellow" in set(figures_on(made["instruments/wren.md"]))


def test_print_has_its_tables_instead() -> None:
    page = next(one for one in pages(speaker_of()) if one.path == "limits.md")
    tree = element_tree(page.markdown)
    assert "gauge" in page.markdown
    assert not [one for one in tree.iter() if one.tag in ("figure", "svg", "span")]
    assert "<" not in "".join(tree.itertext())
    assert all("".join(one.itertext()).strip() for one in tree.iter("p"))


def test_nothing_an_author_typed_is_markup_of_a_strip() -> None:
    hostile = "</figure><script>x</script> \"'&lt; `a` {x}\n\nb".replace("{x}", "{{x}}")
    root = drawn(Speaker(told(manual_of(RICH), hostile)), "coolant")
    assert not [one for one in root.iter() if one.tag == "script"]
    assert "</figure><script>" in "".join(root.itertext())
