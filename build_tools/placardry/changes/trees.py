"""Records as plain trees of words, so that whatever differs is found, whichever key it has."""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from placardry.book.pages import Passage
from placardry.book.record import Text
from placardry.references import ID

Path = tuple[str | int, ...]
_NAME = re.compile(rf"(?<![\w-]){ID}(?![\w-])")
_BRACES = re.compile(r"\{[^{}]*\}")


class Difference(NamedTuple):
    """What differs at a path; None where there is nothing."""

    path: Path
    before: Any
    after: Any


class Renames:
    """The ids of records of the earlier book, as the later one names them."""

    def __init__(self, names: Mapping[tuple[str, str], str] | None = None) -> None:
        self.names = dict(names or {})
        self._by_id = {old: new for (_, old), new in self.names.items()}

    def __bool__(self) -> bool:
        return bool(self.names)

    def id(self, kind: str, name: str) -> str:
        """The id now of a record of the earlier book."""
        return self.names.get((kind, name), name)

    def reference(self, text: str) -> str:
        """A reference such as `coolant.red` as it is written now."""
        return _NAME.sub(lambda found: self._by_id.get(found[0], found[0]), text)

    def follow(self, text: str, *, is_text: bool) -> str:
        """A text with its references, or an id, as they are written now."""
        if not self._by_id:
            return text
        if is_text:
            return _BRACES.sub(lambda found: self.reference(found[0]), text)
        return self.reference(text) if " " not in text else text


NO_RENAMES = Renames()


def tree(value: Any, renames: Renames = NO_RENAMES) -> Any:
    """What a record means as mappings, lists and words; defaults, places and ids are left out."""
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        followed = renames.follow(value, is_text=isinstance(value, Text))
        return Text(" ".join(followed.split())) if isinstance(value, Text) else followed
    if isinstance(value, Mapping):
        return {
            renames.follow(str(key), is_text=False): tree(below, renames)
            for key, below in value.items()
        }
    if isinstance(value, tuple | frozenset):
        items = sorted(value, key=str) if isinstance(value, frozenset) else value
        return [tree(item, renames) for item in items]
    if hasattr(value, "places"):
        return {
            one.name.rstrip("_").replace("_", "-"): tree(getattr(value, one.name), renames)
            for one in dataclasses.fields(value)
            if one.compare and not _is_silent(value, one)
        }
    return value  # figures, which are equal however they are spelt; dates


def _is_silent(value: Any, one: dataclasses.Field[Any]) -> bool:
    """Whether a field says nothing: an id, a line of the file, what stands there anyway."""
    if one.name == "id" or (one.name == "line" and isinstance(value, Passage)):
        return True
    return one.default is not dataclasses.MISSING and bool(one.default == getattr(value, one.name))


def text_of(value: Any) -> str | None:
    """A tree in words: itself where it is one, else on one line."""
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False, sort_keys=True, default=str)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def differences(before: Any, after: Any, path: Path = ()) -> Iterator[Difference]:
    """Every place at which two trees differ, as deep as both have it."""
    if before == after:
        return
    if isinstance(before, dict) and isinstance(after, dict):
        for key in sorted(before.keys() | after.keys()):
            yield from differences(before.get(key), after.get(key), (*path, key))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for at, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from differences(one, other, (*path, at))
    else:
        yield Difference(path, before, after)
