"""A panel that several machines share, with what only some of them have."""

from __future__ import annotations

from placardry.book.controls import Panel
from placardry.pages import drawings, pages
from placardry.pages.drawing import DRAWING
from placardry.prepared import Prepared
from placardry.stated import figures
from placardry.wording.phrases import Speaker
from tests.books import judged

LAMP = """\
options:
  lamp: {name: lamp, about: A lamp over the map.}
controls:
  lamp-switch:
    name: lamp switch
    label: LAMP
    kind: switch
    applies: {option: lamp}
    needs: {master: on}
    rests: off
    positions:
      off: {label: "OFF", does: Puts the lamp out.}
      on: {label: "ON", does: Lights the lamp.}
machines:
  lit-tern:
    name: Lit Tern
    model: Tern
    airframe: frame
    engine: marl
    panel: tern-panel
    options: {lamp: fitted}
manuals:
  lit-tern-eu: {machine: lit-tern, market: eu, language: en}
"""
PANEL = """\
panel: tern-panel
name: Tern panel
size: [300, 200]
items:
  - {control: master, at: [40, 40]}
  - {control: lamp-switch, at: [40, 120], applies: {option: lamp}}
  - {cover: spare hole, at: [40, 120], hole: 20 mm, applies: {without-option: lamp}}
  - {instrument: wren, at: [150, 100]}
"""


def shared(panel: str = PANEL) -> Prepared:
    return judged(lamp=LAMP, panel=panel)


def told(prepared: Prepared) -> list[tuple[str, int]]:
    return [(one.rule.name, one.span.line) for one in prepared.findings]


def test_each_machine_shows_what_is_on_it() -> None:
    prepared = shared()
    assert told(prepared) == []
    lit, plain = (prepared.manual(name) for name in ("lit-tern-eu", "tern-eu"))
    assert [one.control or one.cover or one.instrument for one in lit.panel.items] == [
        "master", "lamp-switch", "wren"
    ]  # fmt: skip
    assert [one.control or one.cover or one.instrument for one in plain.panel.items] == [
        "master", "spare hole", "wren"
    ]  # fmt: skip
    assert lit.panel is lit.get(Panel, "tern-panel")
    (page,) = [one for one in pages(Speaker(plain)) if one.path == "panel.md"]
    assert "lamp" not in page.markdown
    assert "2. spare hole" in page.markdown
    assert drawings(Speaker(plain))[DRAWING] != drawings(Speaker(lit))[DRAWING]


def test_the_figure_of_a_hole_leads_to_its_own_line() -> None:
    prepared = shared()
    hole = figures(prepared.manual("tern-eu"))["tern-panel", "hole-2"]
    assert hole.span.line == 7
    assert ("tern-panel", "hole-2") not in figures(prepared.manual("lit-tern-eu"))


def test_two_things_meet_only_where_one_machine_has_both() -> None:
    both = PANEL.replace(", applies: {without-option: lamp}", "")
    assert ("overlapping-items", 7) in told(shared(both))


def test_without_applies_the_switch_leads_out_of_the_other_machine() -> None:
    everywhere = PANEL.replace(", applies: {option: lamp}", "")
    assert ("inapplicable-reference", 6) in told(shared(everywhere))


def test_a_hole_is_a_length() -> None:
    assert ("item-off-panel", 7) in told(shared(PANEL.replace("20 mm", "5 kg")))
    inches = drawings(Speaker(shared(PANEL.replace("20 mm", "1 in")).manual("tern-eu")))[DRAWING]
    assert b'r="12.7"' in inches
