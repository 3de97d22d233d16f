"""From the state of one edition to that of the next, as a change that is small enough to keep.

Shape: a state gives by manual `{…, figures: {anchor: state}, cards: {id: card}}`. A change gives
the same of manuals that differ, with only what differs in `figures` and `cards`: null for what is
gone, and for a figure that is the same in a manual above that manual's id.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

State = Mapping[str, Any]


def patched(old: State, delta: State) -> dict[str, Any]:
    """The state that a change makes of another."""
    new = dict(old)
    for name, said in delta.items():
        if said is None:
            new.pop(name, None)
            continue
        was = old.get(name, {})
        figures = {
            anchor: new[state]["figures"][anchor] if isinstance(state, str) else state
            for anchor, state in said["figures"].items()
        }
        new[name] = {
            **said,
            "figures": _merged(was.get("figures", {}), figures),
            "cards": _merged(was.get("cards", {}), said["cards"]),
        }
    return new


def _merged(old: Mapping[str, Any], delta: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in {**old, **delta}.items() if value is not None}


def difference(old: State, new: State) -> dict[str, Any]:
    """What must be patched into the manuals of one edition to give those of the next."""
    delta: dict[str, Any] = dict.fromkeys(sorted(old.keys() - new.keys()))
    for name, said in new.items():
        was = old.get(name)
        if was == said:
            continue
        parts = {key: _delta((was or {}).get(key, {}), said[key]) for key in ("figures", "cards")}
        delta[name] = {**said, **parts}
    _share(delta)
    return delta


def _share(delta: Mapping[str, Any]) -> None:
    """Write a figure that is the same in several manuals once, and by the first one's name then."""
    first: dict[tuple[str, str], str] = {}
    for name, said in delta.items():
        figures = said["figures"] if said else {}
        for anchor, state in figures.items():
            if state is not None:
                one = first.setdefault((anchor, json.dumps(state)), name)
                figures[anchor] = state if one == name else one


def _delta(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    gone = dict.fromkeys(sorted(old.keys() - new.keys()))
    return {**gone, **{key: value for key, value in new.items() if old.get(key) != value}}
