"""Every honest scale can be published: none is told of by the audit that each build ends with."""

from __future__ import annotations

import pytest

from placardry import publish
from placardry.files import write_tree
from tests.books import files

# By parameter: its units and what is plausible, and its scales. Figures are invented.
SCALES = {
    "avoid-inside": "red, green from 20 degC, avoid from 50 degC, green from 60 degC, "
    "red from 90 degC",
    "avoid-twice": "red, avoid from 10 degC, green from 20 degC, avoid from 80 degC, "
    "red from 90 degC",
    "avoid-lowest": "avoid, green from 20 degC, red from 90 degC",
    "avoid-highest": "green from 20 degC, avoid from 90 degC",
    "avoid-thrice": "green from 0 degC, avoid from 1 degC, green from 3 degC, avoid from 4 degC, "
    "green from 5 degC, avoid from 6 degC",
    "avoid-beside-yellow": "yellow, avoid from 20 degC, yellow from 30 degC, green from 40 degC, "
    "yellow from 50 degC, avoid from 70 degC",
    "avoid-from": "avoid from 10 degC, green from 20 degC, red from 90 degC",
    "below-alone": "red, green from 20 degC",
    "above-alone": "green, red from 20 degC",
    "no-red": "yellow, green from 20 degC",
    "five-bands": "red, yellow from 1 degC, green from 2 degC, yellow from 130 degC, "
    "red from 140 degC",
    "negative": "red, yellow from -40 degC, green from -20 degC, yellow from -5 degC, "
    "red from -1 degC",
    "ratio": "red, yellow from 10 %, green from 20 %, avoid from 60 %, green from 70 %",
}
BY_CONDITION = """\
document: marl-manual
conditions:
  fast: {short: at 2026-05-01 speed, engine-speed: above 5000 rpm}
  slow: {short: at low speed, engine-speed: at most 5000 rpm}
scales:
  fast-oil:
    parameter: oil
    name: oil & <b>air</b>, hot
    condition: fast
    bands: [green from 60 degC, avoid from 70 degC, green from 75 degC, red from 90 degC]
    source: page 4
    exceeded: Land.
  slow-oil:
    parameter: oil
    condition: slow
    bands: [yellow from 50 degC, green from 60 degC, red from 80 degC]
    source: page 4
    exceeded: Land.
limits:
  first-tremble:
    {parameter: oil, name: "tremble, first", avoid: 61 to 63 degC, source: page 4, exceeded: Land.}
  second-tremble:
    parameter: oil
    name: second tremble
    condition: slow
    avoid: 62 to 65 degC
    source: page 4
    exceeded: Land.
"""


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[str], str]:
    """The findings of a build of all these scales, and its page of limits."""
    parameters = files()["procedures/parameters.yaml"].decode()
    degrees, ratio = (
        "{degC: 1, degF: 1}, plausible: -60 to 200 degC",
        '{"%": 1}, plausible: 0 to 100 %',
    )
    scales = "document: marl-manual\nscales:\n"
    for name in (*SCALES, "oil"):
        given = ratio if name == "ratio" else degrees
        parameters += f"  {name}: {{name: {name.replace('-', ' ')}, units: {given}}}\n"
    for name, bands in SCALES.items():
        scales += f"  of-{name}: {{parameter: {name}, bands: [{bands}], "
        scales += "source: page 4, exceeded: Land.}\n"
    root = tmp_path_factory.mktemp("scales")
    book = files(parameters=parameters, scales=scales, conditions=BY_CONDITION)
    write_tree(root / "book", book)
    _, findings = publish.build(root / "book", root / "out", workers=1)
    said = [f"{one.span} {one.message}" for one in findings]
    page = root / "out" / "tern-eu" / "limits.html"
    return said, page.read_text("utf-8") if page.exists() else ""


@pytest.mark.parametrize("name", [*(f"of-{one}" for one in SCALES), "fast-oil", "slow-oil"])
def test_an_honest_scale_is_published(name: str, told: tuple[list[str], str]) -> None:
    findings, page = told
    assert [one for one in findings if f"{name}." in one] == []
    assert f'href="register.html#{name}.' in page


def test_nothing_is_found_in_a_book_of_honest_scales(told: tuple[list[str], str]) -> None:
    assert told[0] == []
