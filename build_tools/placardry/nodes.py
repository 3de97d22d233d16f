"""Source text as a tree in which every part knows where it was written.

Every scalar is text: `0.1` never meets a float and `no` stays a word until a record's type
reads it. A record keeps the node that it came from as its `places`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field

from placardry.finding import Span, light


@light
class Scalar:
    """One word, number or passage of text.

    `style` is YAML's: "" plain, "'" or '"' quoted, "|" or ">" block.
    """

    text: str
    span: Span = field(compare=False)
    style: str = field(default="", compare=False)


@light
class Sequence:
    """A list of nodes."""

    items: tuple[Node, ...]
    span: Span = field(compare=False)


@light
class Mapping:
    """Keys and their nodes in the order of the file; keys are unique (repeats were reported)."""

    entries: tuple[tuple[Scalar, Node], ...]
    span: Span = field(compare=False)

    def __iter__(self) -> Iterator[str]:
        return (key.text for key, _ in self.entries)

    def __contains__(self, name: object) -> bool:
        return any(key.text == name for key, _ in self.entries)

    def get(self, name: str) -> Node | None:
        """The node under the key `name`, or None."""
        for key, node in self.entries:  # a generator would cost twice the time
            if key.text == name:
                return node
        return None

    def key(self, name: str) -> Scalar | None:
        """The key `name` itself, with its span."""
        return next((key for key, _ in self.entries if key.text == name), None)

    def at(self, *path: str | int) -> Span:
        """The span of the value at `path`; of the nearest parent that exists if there is none."""
        return self.node(*path).span

    def node(self, *path: str | int) -> Node:
        """The value at `path`; the nearest parent that exists if there is none."""
        here: Node = self
        for step in path:
            if isinstance(here, Mapping) and isinstance(step, str):
                below = here.get(step)
            elif isinstance(here, Sequence) and isinstance(step, int) and step < len(here.items):
                below = here.items[step]
            elif isinstance(here, Scalar | Mapping) and step == 0:
                below = here  # one thing stands where a list may stand
            else:
                below = None
            if below is None:
                break
            here = below
        return here


Node = Scalar | Sequence | Mapping
