"""The drawing of a panel, to scale, each thing with the number of its callout."""

from __future__ import annotations

from xml.sax.saxutils import escape

from placardry.book.controls import PanelItem
from placardry.units import UNITS
from placardry.wording.phrases import Speaker, spoken

DRAWING = "panel.svg"

MARGIN_MM = 6
BADGE_MM = 6.5  # radius of the disc that bears the number, at least
BADGES = 46  # so many radii is the panel wide at most, to be read on a phone of 390 pixels
CONTROL_MM = 8  # radius at which a control without a size is drawn
STYLE = 'fill="none" stroke="#000" stroke-width="1"'


def panel_drawing(speaker: Speaker) -> bytes:
    """The panel of a manual's machine as an SVG picture.

    Units: one unit of the drawing is one millimetre on the panel.
    """
    panel = speaker.manual.panel
    width_mm, height_mm = panel.size
    box = f"{-MARGIN_MM} {-MARGIN_MM} {width_mm + 2 * MARGIN_MM} {height_mm + 2 * MARGIN_MM}"
    title = escape(spoken(speaker.text(panel.name)))
    badge_mm = max(BADGE_MM, width_mm / BADGES)
    parts = [_item(item, number, badge_mm) for number, item in enumerate(panel.items, 1)]
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img">',
            f"<title>{title}</title>",
            f'<rect x="0" y="0" width="{width_mm}" height="{height_mm}" rx="8" '
            'fill="#fff" stroke="#000" stroke-width="1.5"/>',
            *parts,
            "</svg>\n",
        ]
    ).encode()


def _item(item: PanelItem, number: int, badge_mm: float) -> str:
    """The outline of one thing, and its number on a disc at its upper edge."""
    x, y = item.at
    if len(item.size) == 2:
        width, height = item.size
        shape = (
            f'<rect x="{x - width / 2:g}" y="{y - height / 2:g}" width="{width}" '
            f'height="{height}" rx="3" {STYLE}/>'
        )
        badge_y = y - height / 2
    else:
        radius = float(item.hole.to(UNITS["mm"]).value) / 2 if item.hole else CONTROL_MM
        dashes = ' stroke-dasharray="3 2"' if item.cover is not None else ""
        shape = f'<circle cx="{x}" cy="{y}" r="{radius:g}" {STYLE}{dashes}/>'
        badge_y = y - radius - badge_mm / 2  # clear of the control's middle
    return (
        f'{shape}\n<circle cx="{x}" cy="{badge_y:g}" r="{badge_mm:.1f}" fill="#000"/>'
        f'<text x="{x}" y="{badge_y + 0.46 * badge_mm:.1f}" fill="#fff" '
        f'font-family="Inter, sans-serif" font-size="{1.3 * badge_mm:.1f}" font-weight="700" '
        f'text-anchor="middle">{number}</text>'
    )
