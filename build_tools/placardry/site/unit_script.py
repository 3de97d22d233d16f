"""The script that lets a reader choose the units of a manual, with what it offers there."""

from __future__ import annotations

import json
import pkgutil

from placardry.pages.unit_choice import Choice, choices
from placardry.wording.phrases import Speaker
from placardry.wording.words import Words

SCRIPT = "scripts/units.js"
NAMED = 2  # so many units stand for all of their side


def unit_script(speaker: Speaker | None) -> bytes:
    """The script of a manual; one that does nothing where there is no choice."""
    sides = choices(speaker) if speaker is not None else ()
    if speaker is None or not sides:
        return b"// There is one system of units.\n"
    both = " · ".join(one.shown[0] for one in sides)
    given = {
        "label": speaker.words["units.label"],
        "choices": [
            _offer(speaker.words, both),
            *(_offer(speaker.words, _name(one), one) for one in sides),
        ],
    }
    script = pkgutil.get_data("placardry.site", "units.js") or b""
    return f"const UNITS = {json.dumps(given, ensure_ascii=False)};\n".encode() + script


def _offer(words: Words, name: str, alone: Choice | None = None) -> dict[str, object]:
    """One line of the list: all units, or one side alone."""
    units = ", ".join(alone.shown) if alone else ""
    pieces = words.pieces("units.alone" if alone else "units.all")
    return {
        "name": name,
        "said": "".join(units if is_slot else text for text, is_slot in pieces),
        "side": alone.side if alone else "",
        "symbols": alone.symbols if alone else (),
    }


def _name(one: Choice) -> str:
    return ", ".join(one.shown[:NAMED]) + (" …" if len(one.shown) > NAMED else "")
