"""Wrong edits of running text: figures typed into it, references swapped, translations."""

from __future__ import annotations

import re
from collections.abc import Iterator

from placardry import nodes
from placardry.book.figures import Fact, Limit
from placardry.references import references
from placardry.resolve import resolve
from placardry.stated import figures
from tests.mutation.demo import Demo, Edit

TYPED = (
    "Keep it below 95 °C.", "Wait 3 minutes.", "Stop at 7,900 rpm.", "Use 12-15 V.",
    "Carry 2 litres more.", "It takes 5 to 10 s.", "Torque: 25 Nm ± 2.",
)  # fmt: skip
SPELT = (
    "Keep it below ninety-five degrees.", "Wait three minutes.", "Carry two litres more.",
    "It takes half an hour.", "Use twelve volts.", "Fly at eighty kilometres an hour.",
)  # fmt: skip
ENDS = re.compile(r"(?<=[a-z])\.(?=\n)")


def typed_in_digits(demo: Demo) -> Iterator[Edit]:
    yield from _typed(demo, "figure typed in digits", TYPED)


def typed_in_words(demo: Demo) -> Iterator[Edit]:
    yield from _typed(demo, "figure typed in words", SPELT)


def _typed(demo: Demo, kind: str, sentences: tuple[str, ...]) -> Iterator[Edit]:
    """A sentence behind one that ends a line of a page."""
    count = 0
    for path, data in sorted(demo.files.items()):
        if (
            path.startswith("content/")
            and path.endswith(".md")
            and not path.startswith("content/de/")
        ):
            for match in ENDS.finditer(data.decode()):
                said = sentences[count % len(sentences)]
                yield Edit(kind, path, match.end(), match.end(), f" {said}")
                count += 1


def reference_swapped(demo: Demo) -> Iterator[Edit]:
    """A figure in a text becomes another one of the same dimension."""
    dimension = {
        one.id: one.exact.unit.dimension
        for manual in resolve(demo.book)[0]
        for one in figures(manual).values()
        if one.part is None and isinstance(one.record, Limit | Fact)
    }
    names = sorted(dimension)
    for file, _, mapping in demo.mappings():
        for _, value in mapping.entries:
            if not isinstance(value, nodes.Scalar) or "{" not in value.text:
                continue
            written = file.written(value.span)
            for one in references(value.text):
                if one.id in dimension and written.count(f"{{{one.id}}}") == 1:
                    like = [name for name in names if dimension[name] is dimension[one.id]]
                    other = like[(like.index(one.id) + 1) % len(like)]
                    start = file.cut(value.span)[0] + written.index(f"{{{one.id}}}") + 1
                    if other != one.id:
                        end = start + len(one.id)
                        yield Edit("reference swapped", file.path, start, end, other)


def translation_loses_reference(demo: Demo) -> Iterator[Edit]:
    for file, _, mapping in demo.mappings("procedures/translations/"):
        for _, value in mapping.entries:
            if isinstance(value, nodes.Scalar):
                start, end = file.cut(value.span)
                for match in re.finditer(r" ?\{[\w./-]+\}", file.text[start:end]):
                    place = (start + match.start(), start + match.end())
                    yield Edit("translation loses a figure", file.path, *place, "")


def translation_loses_text(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings("procedures/translations/"):
        if keys and keys[-1] == "texts":
            for key, _ in mapping.entries:
                kind = "hazard" if "/hazard" in f"/{key.text}" else "text"
                place = file.entry(mapping, key.text)
                yield Edit(f"translation loses a {kind}", file.path, *place, "")
