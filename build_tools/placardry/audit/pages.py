"""HTML pages and SVG drawings as blocks of text: what a reader sees, hears or is shown on pointing.

Knows nothing of how pages are written but HTML itself. Nothing that runs is read: scripts and
styles hold no figures of ours.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from placardry.audit.claims import Block, Piece
from placardry.audit.unseen import is_hidden, strange

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

_UNREAD = frozenset(["script", "style", "template"])
_RUNNING = (
    "a abbr b bdi cite code dfn em i kbd label mark q s samp small span strong sub sup time tspan u"
    " var wbr"
)
_INLINE = frozenset(_RUNNING.split())
_SAID = ("title", "alt", "aria-label", "aria-description", "placeholder", "content", "summary",
         "value")  # fmt: skip
_GROUPS = frozenset(["tr", "li", "dd", "dt", "g", "figure"])
_WHITE = re.compile(r"[ \t\r\n\f]+")
_DIGIT = re.compile(r"[0-9¼-¾⅐-⅞]")


def read(path: str, data: bytes) -> tuple[str, tuple[Block, ...]]:
    """The language that a page declares, empty if none, and its blocks of text in order.

    Blocks without a digit and without a link are left out.
    """
    from selectolax.lexbor import LexborHTMLParser

    root = LexborHTMLParser(data.decode("utf-8", "replace")).root
    return language_of(data), tuple(_Reader(path).read(root)) if root is not None else ()


def language_of(data: bytes) -> str:
    """The language that a page declares; empty if it declares none."""
    found = re.search(rb"<(?:html|svg)\b[^>]*\b(?:xml:)?lang=\"([^\"]+)\"", data[:4096])
    return found[1].decode("ascii", "replace") if found else ""


class _Reader:
    """Gathers pieces until the block that holds them ends."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.pieces: list[Piece] = []
        self.groups: list[LexborNode] = []
        self.free: list[str] = []
        self.languages = [""]

    def read(self, root: LexborNode) -> Iterator[Block]:
        yield from self._element(root, "")
        yield from self._end()

    def _element(self, node: LexborNode, target: str) -> Iterator[Block]:
        tag, attributes = node.tag or "", node.attributes
        if tag in _UNREAD:
            return
        if tag == "a":
            target = attributes.get("href") or attributes.get("xlink:href") or ""
        target = _former_of(attributes) or target
        yield from self._said(attributes, target)
        if odd := strange(node):
            yield Block(self.path, (Piece(odd, free="strange"),))
        inline, group = tag in _INLINE, tag in _GROUPS
        free = "hidden" if is_hidden(node) else _free_of(tag, attributes, target)
        language = attributes.get("lang")
        if not inline:
            yield from self._end()
        if free:
            self.free.append(free)
        if group:
            self.groups.append(node)
        if language:
            self.languages.append(language)
        yield from self._children(node, target)
        if not inline:
            yield from self._end()
        if language:
            self.languages.pop()
        if group:
            self.groups.pop()
        if free:
            self.free.pop()

    def _said(self, attributes: dict[str, str | None], target: str) -> Iterator[Block]:
        """What is heard of an element, or shown on pointing at it."""
        for name in _SAID:
            said = attributes.get(name)
            if said and _DIGIT.search(said):
                piece = Piece(_WHITE.sub(" ", said), target, self._why)
                yield Block(self.path, (piece,), "", 0, 0, self.languages[-1], self._is_drawn)

    def _children(self, node: LexborNode, target: str) -> Iterator[Block]:
        child = node.child
        while child is not None:
            if child.tag == "-text":
                text = _WHITE.sub(" ", child.text_content or "")
                if text:
                    self.pieces.append(Piece(text, target, self._why))
            elif child.tag == "br":
                self.pieces.append(Piece("\n", target, self._why))
            else:
                yield from self._element(child, target)
            child = child.next

    @property
    def _why(self) -> str:
        if "hidden" in self.free:
            return "hidden"
        return self.free[-1] if self.free else ""

    @property
    def _is_drawn(self) -> bool:
        """Whether what is read now stands in a gauge strip."""
        return any(
            one.tag == "figure" and "gauge" in (one.attributes.get("class") or "").split()
            for one in self.groups
        )

    def _end(self) -> Iterator[Block]:
        """The block that ends here, if a figure can be in it."""
        pieces, self.pieces = tuple(self.pieces), []
        if any(one.anchor or one.free == "hidden" or _DIGIT.search(one.text) for one in pieces):
            group = ""
            if self.groups:
                group = _WHITE.sub(" ", self.groups[-1].text(separator=" "))
            yield Block(self.path, pieces, group, 0, 0, self.languages[-1], self._is_drawn)


def _former_of(attributes: dict[str, str | None]) -> str:
    """The address of a former value that is marked without one (docs/editions.md)."""
    figure = attributes.get("data-former") or attributes.get("data-figure")
    if not figure:
        return ""
    manual, edition = (attributes.get(f"data-{name}") or "" for name in ("manual", "edition"))
    return f"{manual or '.'}/register.html?edition={edition}#{figure}"


def _free_of(tag: str, attributes: dict[str, str | None], target: str) -> str:
    """Why the figures in an element need no identity; empty if they need one.

    A value as it stood in an edition says so in its address: docs/editions.md.
    """
    if tag in ("q", "blockquote"):
        return "quotation"
    is_former = "former" in (attributes.get("class") or "").split() or tag in ("del", "s")
    return "former" if is_former or (tag == "a" and "?edition=" in target) else ""
