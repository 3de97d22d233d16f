"""Equal meaning is no change, whatever the order of files and keys, the spacing and the quotes."""

from __future__ import annotations

import json
from typing import Any

import yaml
from hypothesis import given
from hypothesis import strategies as st

from placardry.editions import book_digest
from placardry.loader import load
from placardry.rules.specimen import SPECIMEN


def _shuffled(value: Any, random: Any) -> Any:
    """The same data with the keys of every mapping in another order."""
    if isinstance(value, dict):
        items = [(key, _shuffled(below, random)) for key, below in value.items()]
        random.shuffle(items)
        return dict(items)
    if isinstance(value, list):
        return [_shuffled(item, random) for item in value]
    return value


@given(st.randoms(use_true_random=False), st.sampled_from(["json", "yaml"]))
def test_a_book_written_otherwise_is_the_same_book(random: Any, notation: str) -> None:
    original, _ = load({path: text.encode() for path, text in SPECIMEN.items()})
    assert original is not None
    rewritten: dict[str, bytes] = {}
    for number, (path, text) in enumerate(SPECIMEN.items()):
        if not path.endswith(".yaml"):
            rewritten[path] = text.encode()
            continue
        # BaseLoader leaves every scalar the text that it is, as our own reader does.
        data = _shuffled(yaml.load(text, Loader=yaml.BaseLoader), random)  # noqa: S506
        dumped = json.dumps(data) if notation == "json" else yaml.safe_dump(data, sort_keys=False)
        other = (
            path if path.endswith("book.yaml") else f"procedures/{random.random()}-{number}.yaml"
        )
        rewritten[other] = dumped.encode()
    book, findings = load(rewritten)
    assert not findings
    assert book is not None
    assert book.records == original.records
    assert book.settings == original.settings
    day = original.settings.dated
    assert book_digest(book, day) == book_digest(original, day)
