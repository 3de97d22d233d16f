"""What records mean, as one canonical text, and the digest that binds an approval to it.

Places, file names and the order of keys are no meaning, and neither is a key that only says its
default: equal records have equal digests.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

DIGITS = 16


def digest(statements: Iterable[Any]) -> str:
    """Sixteen hexadecimal digits of what the statements of one id mean, in whatever order."""
    texts = sorted(canonical(one) for one in statements)
    return hashlib.sha256("\n".join(texts).encode()).hexdigest()[:DIGITS]


def canonical(record: Any) -> str:
    """The meaning of a record on one line."""
    return json.dumps(_plain(record), sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int):
        return value
    if dataclasses.is_dataclass(value):
        return {
            field.name: _plain(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if field.compare and not _is_default(field, getattr(value, field.name))
        }
    if isinstance(value, Mapping):
        return {str(key): _plain(below) for key, below in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return str(value)  # words, fractions, dates


def _is_default(field: dataclasses.Field[Any], value: Any) -> bool:
    """Whether leaving the key out says the same, so that a new key changes no old digest."""
    return field.default is not dataclasses.MISSING and bool(field.default == value)
