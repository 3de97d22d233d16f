"""What two copies of the register say of one field, in words, cut down to where they differ."""

from __future__ import annotations

import json

NAMES = {"used_in": "one of the files", "box": "the bounds of the condition"}
"""What fields are called to a reader, where they are not called so already."""
_SHORT = 80


def differing(name: str, found: str, expected: str) -> tuple[str, str]:
    """What one value has and the other has not; the whole values of most fields."""
    if name == "used_in":
        mine, theirs = found.split(), expected.split()
    elif name == "box":
        mine, theirs = (_bounds(text) for text in (found, expected))
    else:
        return _quoted(found), _quoted(expected)
    only = [one for one in mine if one not in theirs], [one for one in theirs if one not in mine]
    here, there = (_quoted("; ".join(one)) for one in only)
    if mine and not only[0]:
        return f"no {there}", there
    return here, there if only[1] or not theirs else f"no {here}"


def _bounds(text: str) -> list[str]:
    """What bounds a condition, each as a name and its value; nothing where there is none."""
    given = zip(("id", "states", "spans", "within"), json.loads(text), strict=False)
    return [
        f"{name} {json.dumps(value, sort_keys=True, ensure_ascii=False)}".replace('"', "")
        for name, value in given
        if value
    ]


def _quoted(text: str) -> str:
    return f"`{text if len(text) <= _SHORT else text[: _SHORT - 1] + '…'}`" if text else "none"
