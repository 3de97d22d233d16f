"""JSON Schema for editors, from the same annotations that the decoder reads by.

One schema for each kind of source file. Editors with a YAML language server then complete and
explain keys while the publisher types.
"""

from __future__ import annotations

import collections.abc
import json
import re
import types
import typing
from collections.abc import Mapping
from datetime import date
from typing import Any, Literal

from placardry.book import COLLECTIONS, KIND_OF, SINGLES
from placardry.book.record import Applicability, Refers
from placardry.book.settings import BookSettings
from placardry.book.sources import Approval, Source
from placardry.book.translations import Translation
from placardry.decoder import plan
from placardry.references import ID

Schema = dict[str, Any]
FOLDER = "procedures/schema"
_ABOUT = re.compile(r"^        ([a-z_]+): (.+(?:\n            .+)*)", re.MULTILINE)


def schemas() -> Mapping[str, bytes]:
    """Every schema file by its name, such as `procedure.json`."""
    files = {
        "book": _file(BookSettings),
        "translation": _file(Translation),
        "collections": _collections(),
        **{key: _single(key, cls) for key, cls in SINGLES.items()},
    }
    return {
        f"{name}.json": (json.dumps(schema, indent=1) + "\n").encode()
        for name, schema in files.items()
    }


class _Definitions:
    """The shared definitions of one schema, each written once."""

    def __init__(self) -> None:
        self.done: dict[str, Schema] = {}

    def of(self, cls: type) -> Schema:
        if cls.__name__ not in self.done:
            self.done[cls.__name__] = {}
            self.done[cls.__name__] = _object(cls, self)
        return {"$ref": f"#/$defs/{cls.__name__}"}


def _file(cls: type) -> Schema:
    definitions = _Definitions()
    return _closed(_object(cls, definitions), definitions)


def _closed(schema: Schema, definitions: _Definitions) -> Schema:
    dialect = {"$schema": "http://json-schema.org/draft-07/schema#"}
    return {**dialect, **schema, "$defs": dict(sorted(definitions.done.items()))}


def _file_keys(definitions: _Definitions) -> Schema:
    return {
        "applies": _type(tuple[Applicability, ...], definitions),
        "document": {"type": "string", "description": "the document that `source:` means"},
    }


def _collections() -> Schema:
    definitions = _Definitions()
    lists = {"approvals": Approval}
    properties = {
        **_file_keys(definitions),
        **{name: _named(cls, definitions) for name, cls in COLLECTIONS.items()},
        **{name: _type(tuple[cls, ...], definitions) for name, cls in lists.items()},  # type: ignore[valid-type]
    }
    schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return _closed(schema, definitions)


def _named(cls: type, definitions: _Definitions) -> Schema:
    one = definitions.of(cls)
    statements = {"type": "array", "items": one}
    return {
        "type": "object",
        "description": _summary(cls),
        "propertyNames": {"pattern": f"^{ID}$"},
        "additionalProperties": {"anyOf": [one, statements]},
    }


def _single(key: str, cls: type) -> Schema:
    definitions = _Definitions()
    schema = _object(cls, definitions)
    name = {"type": "string", "pattern": f"^{ID}$", "description": f"the name of the {key}"}
    schema["properties"] = {key: name, **_file_keys(definitions), **schema["properties"]}
    schema["required"] = [key, *schema.get("required", ())]
    return _closed(schema, definitions)


def _object(cls: Any, definitions: _Definitions) -> Schema:
    fields = plan(cls)
    about = _descriptions(cls)
    rest = next((field for field in fields if field.rest), None)
    schema: Schema = {
        "type": "object",
        "description": _summary(cls),
        "properties": {
            field.key: _described(_type(field.annotation, definitions), about.get(field.name))
            for field in fields
            if not field.rest
        },
        "additionalProperties": False,
    }
    if rest is not None:
        schema["additionalProperties"] = _type(typing.get_args(rest.annotation)[1], definitions)
    required = [field.key for field in fields if field.required and not field.rest]
    if required:
        schema["required"] = required
    return schema


def _described(schema: Schema, description: str | None) -> Schema:
    if description is None:
        return schema
    # In draft 7 whatever stands beside `$ref` is ignored, so the reference goes one level down.
    return {"description": description, **({"allOf": [schema]} if "$ref" in schema else schema)}


def _summary(cls: type) -> str:
    return (cls.__doc__ or KIND_OF.get(cls, "")).strip().split("\n\n")[0].replace("\n    ", " ")


def _descriptions(cls: type) -> dict[str, str]:
    found: dict[str, str] = {}
    for base in reversed(cls.__mro__):
        for name, text in _ABOUT.findall(base.__doc__ or ""):
            found[name] = " ".join(text.split())
    return found


def _type(annotation: Any, definitions: _Definitions) -> Schema:
    origin, args = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        refers: Refers = args[1]
        return {"type": "string", "description": "the name of a " + " or ".join(refers.kinds)}
    if origin in (typing.Union, types.UnionType):
        members = [_type(arg, definitions) for arg in args if arg is not type(None)]
        return members[0] if len(members) == 1 else {"anyOf": members}
    if origin is tuple:
        one = _type(args[0], definitions)
        return {"anyOf": [one, {"type": "array", "items": one}]}
    if origin is Literal:
        # An editor reads `on` and `off` as true and false; the decoder reads words.
        return {"enum": list(args)}
    if isinstance(origin, type) and issubclass(origin, collections.abc.Mapping):
        return {"type": "object", "additionalProperties": _type(args[1], definitions)}
    if annotation is Source:
        return {"anyOf": [{"type": "string"}, definitions.of(Source)]}
    if annotation is bool:
        return {"enum": ["yes", "no", True, False]}
    if annotation is int:
        return {"type": ["integer", "string"], "pattern": "^-?[0-9]+$"}
    if annotation is date:
        return {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"}
    if hasattr(annotation, "SCHEMA_PATTERN"):
        # The decoder judges figures; here they only need an example to follow.
        return {"type": ["string", "number"], "examples": list(annotation.EXAMPLES)}
    if annotation is str or (isinstance(annotation, type) and issubclass(annotation, str)):
        return {"type": ["string", "number", "boolean"]}
    return definitions.of(annotation)
