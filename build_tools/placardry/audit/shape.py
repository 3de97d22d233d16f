"""The shape of a published data file: what it holds, or in plain words what is wrong with it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from placardry.errors import Malformed, PlacardryError
from placardry.quantity import Quantity

Kind = type | tuple[type, ...]
Shape = Mapping[str, Kind]
TEXT_OR_NONE: Kind = (str, type(None))
RECORD_OR_NONE: Kind = (dict, type(None))


def parsed(data: bytes) -> Any:
    """What the bytes of a JSON file hold.

    Raises:
        PlacardryError: they are no JSON in UTF-8.
    """
    try:
        return json.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise PlacardryError("it is not saved in UTF-8") from None
    except json.JSONDecodeError as fault:
        raise PlacardryError(f"it is no JSON from line {fault.lineno} on") from None
    except RecursionError:
        raise PlacardryError("it is no JSON of this program") from None


def record(value: Any, shape: Shape, what: str) -> dict[str, Any]:
    """The value, which holds each name of the shape with a value of its kind.

    Raises:
        PlacardryError: it does not; the message says what is wrong with `what`.
    """
    if not isinstance(value, dict):
        raise PlacardryError(f"{what} is not as a build writes it")
    for name, kind in shape.items():
        if name not in value:
            raise PlacardryError(f"{what} has no `{name}`")
        if not isinstance(value[name], kind):
            raise PlacardryError(f"`{name}` of {what} is not as a build writes it")
    return value


def texts(value: Any, what: str) -> tuple[str, ...]:
    """The texts of a list, or of a record by name.

    Raises:
        PlacardryError: one of them is none.
    """
    values = value.values() if isinstance(value, dict) else value
    if not isinstance(value, dict | list) or not all(isinstance(one, str) for one in values):
        raise PlacardryError(f"{what} is not as a build writes it")
    return tuple(values)


def number(text: Any, what: str) -> Fraction:
    """A canonical numeral; a ratio and a counter stand as they are written.

    Raises:
        PlacardryError: it is none.
    """
    try:
        return Quantity.parse(text).value if ":" in text else Fraction(text)
    except (Malformed, TypeError, ValueError, ArithmeticError):
        raise PlacardryError(f"`{text}` in {what} is no number") from None
