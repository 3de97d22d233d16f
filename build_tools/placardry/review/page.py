"""A review as one page with its pictures in it, for a phone and a laptop; nothing is loaded."""

from __future__ import annotations

import base64
from functools import cache
from typing import TYPE_CHECKING

from placardry.report.excerpt import safe
from placardry.review.judged import Review, Style, counted, details, headline, sides, verdict
from placardry.review.pictures import MOST_CARDS, Pictures, pictures

if TYPE_CHECKING:
    from jinja2 import Environment


def render(review: Review, style: Style) -> str:
    """The page, with pictures of each card that changed."""
    del style
    return with_pictures(review, pictures(review.touched.faces))


def with_pictures(review: Review, drawn: tuple[Pictures, ...]) -> str:
    """The page with these pictures."""
    return (
        _environment()
        .get_template("review.html.j2")
        .render(
            sides=safe(sides(review)),
            counted=counted(review),
            verdict=verdict(review),
            is_met=review.exit_code == 0,
            changes=[
                {
                    "headline": safe(headline(one)),
                    "direction": one.direction,
                    "details": details(one),
                }
                for one in review.changes
            ],
            demands=review.demands,
            pictures=[
                {
                    "title": one.title,
                    "name": one.name,
                    "places": one.places,
                    "shown": [(word, _inside(data)) for word, data in _shown(one) if data],
                }
                for one in drawn
            ],
            left=max(0, len(review.touched.faces) - MOST_CARDS),
        )
    )


def _shown(one: Pictures) -> list[tuple[str, bytes | None]]:
    return [("before", one.before), ("after", one.after), ("difference", one.difference)]


def _inside(data: bytes) -> str:
    return "data:image/png;base64," + base64.b64encode(data).decode()


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("placardry.review"),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
