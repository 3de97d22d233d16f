"""The demo book as text with places: what the wrong edits are made on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import accumulate
from pathlib import Path

from placardry import nodes
from placardry.approval import PATH, approve
from placardry.book import Book
from placardry.files import read_folder
from placardry.finding import Span
from placardry.prepared import judge
from placardry.yaml_reader import read_yaml

ROOT = Path(__file__).parents[2]

Keys = tuple[str | int, ...]


@dataclass(frozen=True)
class Edit:
    """One wrong edit: `files[path][start:end]` becomes `text`, counted in code points."""

    kind: str
    path: str
    start: int
    end: int
    text: str

    def applied(self, files: Mapping[str, bytes]) -> dict[str, bytes]:
        """The files with the edit made."""
        whole = files[self.path].decode()
        changed = whole[: self.start] + self.text + whole[self.end :]
        return {**files, self.path: changed.encode()}

    def told(self, files: Mapping[str, bytes]) -> str:
        """The edit on one line: where, and the words before and after."""
        whole = files[self.path].decode()
        line = whole.count("\n", 0, self.start) + 1
        before = " ".join(whole[self.start : self.end].split())
        after = " ".join(self.text.split())
        return f"{self.path}:{line}: {before[:70]!r} -> {after[:70]!r}"


@dataclass(frozen=True)
class File:
    """A YAML file of the book: its text, its tree, and where its lines begin."""

    path: str
    text: str
    root: nodes.Mapping
    begins: tuple[int, ...]

    def cut(self, span: Span) -> tuple[int, int]:
        """The offsets of a span in the text."""
        start = self.begins[span.line - 1] + span.column - 1
        return start, self.begins[span.end_line - 1] + span.end_column - 1

    def written(self, span: Span) -> str:
        """What is written there, with quotes and all."""
        start, end = self.cut(span)
        return self.text[start:end]

    def entry(self, mapping: nodes.Mapping, name: str) -> tuple[int, int]:
        """The offsets of a key with its value: of whole lines, or up to the next key in braces."""
        at = [key.text for key, _ in mapping.entries].index(name)
        key, value = mapping.entries[at]
        start, end = self.cut(key.span)[0], self.cut(value.span)[1]
        if self.text[self.cut(mapping.span)[0]] != "{":
            first_of_item = "- " in self.text[self.text.rfind("\n", 0, start) + 1 : start]
            if at == 0 and first_of_item:
                rest = mapping.entries[1:]
                return start, self.cut(rest[0][0].span)[0] if rest else end
            return self.text.rfind("\n", 0, start) + 1, self._line_end(end)
        if at + 1 < len(mapping.entries):
            return start, self.cut(mapping.entries[at + 1][0].span)[0]
        return (self.cut(mapping.entries[at - 1][1].span)[1] if at else start), end

    def item(self, node: nodes.Node) -> tuple[int, int]:
        """The offsets of the whole lines of an item of a list written with dashes."""
        start, end = self.cut(node.span)
        return self.text.rfind("\n", 0, start) + 1, self._line_end(end)

    def _line_end(self, at: int) -> int:
        is_over = self.text[at - 1 : at] == "\n"  # a block of text ends behind its last line
        end = self.text.find("\n", at - 1 if is_over else at)
        return len(self.text) if end < 0 else end + 1


@dataclass(frozen=True)
class Demo:
    """The demo with an approval of every record, so that a change of meaning is seen."""

    files: Mapping[str, bytes]
    book: Book
    yaml: Mapping[str, File]

    def mappings(self, under: str = "") -> Iterator[tuple[File, Keys, nodes.Mapping]]:
        """Every mapping in the files below a folder, without translations unless asked for."""
        for path, file in self.yaml.items():
            if path.startswith(under or "procedures/") and (
                under or not path.startswith("procedures/translations/")
            ):
                yield from ((file, keys, one) for keys, one in _mappings(file.root, ()))


def _mappings(node: nodes.Node, keys: Keys) -> Iterator[tuple[Keys, nodes.Mapping]]:
    if isinstance(node, nodes.Mapping):
        yield keys, node
        for key, below in node.entries:
            yield from _mappings(below, (*keys, key.text))
    elif isinstance(node, nodes.Sequence):
        for at, below in enumerate(node.items):
            yield from _mappings(below, (*keys, at))


@cache
def demo() -> Demo:
    """The demo book of this repository, read and approved once."""
    files, found = read_folder(ROOT)
    assert not found
    prepared = judge(files)
    assert prepared.book is not None
    assert not prepared.findings, "the demo is not clean"
    every = [f"{kind}/{id}" for kind, by_id in prepared.book.records.items() for id in by_id]
    approved = approve(prepared, every, "A. Reviewer", prepared.book.settings.dated)
    files = {**files, PATH: approved.file}
    assert not judge(files).findings, "the approved demo is not clean"
    return Demo(files, prepared.book, _read(files))


def _read(files: Mapping[str, bytes]) -> Mapping[str, File]:
    found = {}
    for path, data in sorted(files.items()):
        if path.startswith("procedures/") and path.endswith(".yaml") and path != PATH:
            root, _ = read_yaml(path, data)
            assert root is not None
            text = data.decode()
            lengths = (len(line) for line in text.splitlines(keepends=True))
            begins = tuple(accumulate(lengths, initial=0))
            found[path] = File(path, text, root, begins)
    return found
