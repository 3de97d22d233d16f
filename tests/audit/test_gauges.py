"""A gauge strip that is drawn otherwise than its figures say is found, once, at its figure.

The strips of the demo as they are built are the other side: `test_folder` finds nothing in them.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from placardry import audit
from placardry.audit.gauges import judged
from placardry.audit.told import Told
from tests.audit.conftest import MANUAL
from tests.audit.test_folder import Files, remade

PAGE = f"{MANUAL}/limits.html"
GREEN, YELLOW = '<rect class="green" x="20.59%"', '<rect class="yellow" x="68.72%"'


@pytest.mark.parametrize(
    ("old", "new", "figure"),
    [
        ('y="29" width="48.13%"', 'y="29" width="58.82%"', "head.green"),  # over yellow
        ('y="29" width="48.13%"', 'y="29" width="79.41%"', "head.green"),  # over red
        ('y="29" width="48.13%"', 'y="29" width="48.16%"', "head.green"),
        (GREEN, GREEN.replace("20.59", "10.00"), "head.green"),
        (YELLOW, YELLOW.replace("yellow", "green"), "head.yellow"),
        (YELLOW, YELLOW.replace("<rect", '<rect style="fill: green"'), "head.yellow"),
        (f'{GREEN} y="29"', f'{GREEN} y="5"', "head.green"),
        ('<line class="bars" x1="68.72%"', '<line class="bars" x1="70.00%"', "head.yellow"),
        ('<line class="beyond" x1="79.41%"', '<line class="beyond" x1="90.00%"', "head.red"),
        ('x1="79.41%" x2="79.41%" y1="24"', 'x1="90.00%" x2="90.00%" y1="24"', "head.red"),
        ('x2="79.41%" y1="24" y2="58"', 'x2="79.41%" y1="24" y2="24"', "head.red"),
        ('<text x="79.41%" y="75"', '<text x="68.72%" y="75"', "head.red"),
        ('unit-own" x1="79.41%" x2="79.41%"', 'unit-own" x1="85.00%" x2="85.00%"', "head.green"),
        ('<rect class="avoid" x="30.26%"', '<rect class="avoid" x="40.26%"', "speed-avoid"),
        ('<rect class="avoid" x="30.26%"', '<rect class="green" x="30.26%"', "speed-avoid"),
        ("green: normal, yellow: caution, red", "yellow: caution, green: normal, red", ""),
        ("</svg>\n<p>", '<rect class="green" x="0%" width="100%"/></svg>\n<p>', "head.green"),
    ],
)
def test_a_mark_that_was_changed_is_found(
    old: str, new: str, figure: str, files: Files, registers: audit.Registers
) -> None:
    page = files[PAGE].decode()
    assert old in page
    forged = page.replace(old, new, 1).encode()
    found = audit.audit_file(PAGE, forged, registers).told
    assert {one.finding.rule.name for one in found} == {"gauge-differs-from-register"}
    assert {one.figure for one in found} >= ({figure} if figure else {"head.green", "head.yellow"})
    assert len(found) == (1 if figure else 2)  # of an order both
    assert {one.finding.span.line for one in found} == {
        page[: page.rindex('<figure class="gauge">', 0, page.index(old))].count("\n") + 1
    }


SVG = '<svg width="100%" height="82"'
LABEL = "From low to high: green: normal, yellow: caution, red: limit"
FIGURE = '<figure class="gauge">'
KEY = '<rect class="green" x="0.00%"'


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (GREEN, f'<path class="green" d="M0 0H400V99Z"/>{GREEN}'),
        (GREEN, f'<path class="page" d="M0 0H26V26Z"/>{GREEN}'),
        (GREEN, f'<image href="strip.png"/>{GREEN}'),
        (GREEN, f'<foreignObject width="100%" height="82"></foreignObject>{GREEN}'),
        (GREEN, f"<text>normal</text>{GREEN}"),
        (GREEN, f"<style>.green{{display:none}}</style>{GREEN}"),
        (GREEN, f'<g transform="translate(9)">{GREEN}'),
        (GREEN, f'<g style="display:none">{GREEN}'),
        (GREEN, f"<rect hidden{GREEN[5:]}"),
        (GREEN, f'<rect mask="url(#m)"{GREEN[5:]}'),
        (GREEN, f'<rect clip-path="inset(9px)"{GREEN[5:]}'),
        (GREEN, f'<rect rx="9"{GREEN[5:]}'),
        (GREEN, GREEN.replace("20.59%", "20.59")),
        ('"leader unit-own" x1="20.59%"', '"leader limit" x1="20.59%"'),
        (GREEN, f'<svg x="100%" y="29" overflow="visible"></svg>{GREEN}'),
        (KEY, f'<rect style="fill:red"{KEY[5:]}'),
        (SVG, f'{SVG} style="transform:scaleX(-1)"'),
        (SVG, f"{SVG} hidden"),
        (SVG, SVG.replace("100%", "50%")),
        (FIGURE, '<figure class="gauge" style="display:none">'),
        (FIGURE, '<figure class="gaugex">'),
        (FIGURE, "<figure class='gauge  x'>"),
        (FIGURE, f'<div style="display:none">{FIGURE}'),
        (LABEL, ""),
        (LABEL, "From low to high: l, l, l"),
        (LABEL, LABEL.replace("limit", "lim")),
        (LABEL, LABEL.replace("low to high", "high to low")),
    ],
)
def test_a_strip_is_drawn_with_nothing_of_its_own(
    old: str, new: str, files: Files, registers: audit.Registers
) -> None:
    page = files[PAGE].decode()
    assert old in page
    found = list(strips_of(page.replace(old, new, 1), registers))
    assert {one.finding.rule.name for one in found} == {"gauge-differs-from-register"}
    assert "head" in {one.figure.partition(".")[0] for one in found}
    assert not list(strips_of(page, registers))


def strips_of(page: str, registers: audit.Registers) -> Iterator[Told]:
    """What is told of the strips of a page alone."""
    return judged(PAGE, page.encode(), registers[MANUAL].of(MANUAL), "en")


@pytest.mark.parametrize("mark", ["rect", "line"])
def test_a_mark_that_was_taken_out_is_found(
    mark: str, files: Files, registers: audit.Registers
) -> None:
    page = files[PAGE].decode()
    start = page.index(f"<{mark} class=", page.index('<figure class="gauge">') + 300)
    end = page.index("/>", start) + 2
    found = audit.audit_file(PAGE, (page[:start] + page[end:]).encode(), registers).told
    assert [one.finding.rule.name for one in found] == ["gauge-differs-from-register"]
    assert found[0].found == ""
    assert found[0].expected


def test_a_stretched_band_is_told_of_once_in_the_whole_folder(files: Files) -> None:
    page = files[PAGE].decode()
    forged = page.replace('y="29" width="48.13%"', 'y="29" width="58.82%"', 1).encode()
    (one,) = audit.audit(remade({**files, PAGE: forged})).told
    assert (one.finding.span.path, one.figure) == (PAGE, "head.green")
    assert (one.found, one.expected) == ("green 20.59% to 79.41%", "green 20.59% to 68.72%")
