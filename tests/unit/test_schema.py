"""The schemas that editors complete by: they pass the demo, and the copies in it are current."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from placardry.schema import FOLDER, schemas
from placardry.starter import starter

ROOT = Path(__file__).parents[2]
SOURCES = sorted(
    path.relative_to(ROOT).as_posix() for path in (ROOT / "procedures").rglob("*.yaml")
)


@cache
def validator(name: str) -> Any:
    return jsonschema.Draft7Validator(json.loads(schemas()[name]))


def test_the_demo_holds_the_present_schemas() -> None:
    kept = {path.name: path.read_bytes() for path in (ROOT / FOLDER).glob("*.json")}
    assert kept == schemas(), "run `placardry schema`"


@pytest.mark.parametrize("path", SOURCES)
def test_a_file_of_the_demo_passes_the_schema_that_it_names(path: str) -> None:
    text = (ROOT / path).read_text("utf-8")
    first = text.splitlines()[0]
    head, _, place = first.partition("$schema=")
    assert head == "# yaml-language-server: "
    named = (ROOT / path).parent / place
    assert named.resolve().parent == (ROOT / FOLDER).resolve()
    # As an editor reads YAML 1.2: words such as `on` stay words, numbers become numbers.
    data = yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 -- it makes nothing but text
    errors = [error.message for error in validator(named.name).iter_errors(data)]
    assert errors == []


def test_a_misspelt_key_is_seen_by_the_schema() -> None:
    validate = validator("collections.json")
    assert not validate.is_valid({"limits": {"x": {"paramter": "y"}}})
    assert not validate.is_valid({"limmits": {}})


def test_a_key_is_explained_where_the_editor_looks() -> None:
    limit = json.loads(schemas()["collections.json"])["$defs"]["Limit"]
    assert limit["properties"]["exceeded"]["description"] == "what to do when it is not kept"
    assert limit["properties"]["maximum"]["examples"]


def test_every_file_of_a_new_book_names_a_schema_that_is_there() -> None:
    files = starter()
    for path, data in files.items():
        if path.endswith(".yaml"):
            name = data.decode().splitlines()[0].partition("$schema=schema/")[2]
            assert f"{FOLDER}/{name}" in files


def test_a_new_book_keeps_out_of_git_what_is_made_from_it() -> None:
    assert "/site/" in starter()[".gitignore"].decode().split()
