"""Wrong edits of where a record holds, what it is called and what a card shows."""

from __future__ import annotations

from collections.abc import Iterator

from placardry import nodes
from placardry.book import COLLECTIONS
from tests.mutation.demo import Demo, Edit

OTHER = {
    **{"marl-230": "tarn-80", "tarn-80": "marl-230"},
    **{"sandling-frame": "teasel-frame", "teasel-frame": "sandling-frame"},
}


def applies_widened(demo: Demo) -> Iterator[Edit]:
    for file, _, mapping in demo.mappings():
        if "applies" in mapping:
            yield Edit("applicability widened", file.path, *file.entry(mapping, "applies"), "")


def applies_narrowed(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings():
        if keys and keys[-1] == "applies" and "option" not in mapping and mapping.entries:
            _, end = file.cut(mapping.entries[-1][1].span)
            yield Edit("applicability narrowed", file.path, end, end, ", option: fuel-sender")


def applies_moved(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings():
        if keys and keys[-1] == "applies":
            for _, value in mapping.entries:
                if isinstance(value, nodes.Scalar) and value.text in OTHER:
                    place = file.cut(value.span)
                    yield Edit("applicability moved", file.path, *place, OTHER[value.text])


def id_changed(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings():
        if len(keys) == 1 and keys[0] in COLLECTIONS:
            for key, _ in mapping.entries:
                yield Edit("id changed at home", file.path, *file.cut(key.span), f"{key.text}-2")


def id_misspelt(demo: Demo) -> Iterator[Edit]:
    known = {id for by_id in demo.book.records.values() for id in by_id if "-" in id}
    at_home = ("procedure", "card", "instrument", "panel")
    for file, _, mapping in demo.mappings():
        for key, value in mapping.entries:
            if isinstance(value, nodes.Scalar) and value.text in known and key.text not in at_home:
                text = value.text.replace("-", "", 1)
                yield Edit("id changed in use", file.path, *file.cut(value.span), text)


def option_removed(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings():
        if keys and keys[-1] == "options":
            for key, _ in mapping.entries:
                yield Edit("option removed", file.path, *file.entry(mapping, key.text), "")


def card_shrunk(demo: Demo) -> Iterator[Edit]:
    sizes = ("A7 portrait", "A7 landscape", "label 90x40", "label 60x25")
    for file, keys, mapping in demo.mappings("procedures/cards/"):
        size = mapping.get("size")
        if not keys and isinstance(size, nodes.Scalar):
            for text in sizes:
                if text != size.text:
                    yield Edit("card shrunk", file.path, *file.cut(size.span), text)
