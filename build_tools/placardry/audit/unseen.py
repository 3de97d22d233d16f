"""What a page does not show of what it holds, and what no build ever puts there.

The readers of pages and PDFs mark it in `Piece.free`; here it is told, once for each page.
"""

from __future__ import annotations

import html
import re
from collections.abc import Collection, Iterable, Iterator
from typing import TYPE_CHECKING

from placardry.audit.claims import Block, Piece, plain
from placardry.audit.told import HIDDEN, PAST, STRANGE, Told, on_line, tell
from placardry.finding import Rule

if TYPE_CHECKING:
    from selectolax.lexbor import LexborNode

# What our pages hide until a script or the reader shows it; never around a figure.
_SHOWN_LATER = frozenset(["button", "details", "div", "form", "p", "section"])
_NEVER_SHOWN = frozenset(["noscript", "dialog", "datalist"])
_HARMLESS = re.compile(r"\s*(?:white-space|text-align)\s*:[^;]*(?:;|$)", re.I)
_STRANGE = frozenset(["base", "iframe", "frame", "frameset", "object", "embed"])
_FIGURE = re.compile(r"register\.html[#?]")
_PICTURES = frozenset(["img", "image", "input", "source"])
_SOURCES = ("src", "href", "xlink:href", "data")


def is_hidden(node: LexborNode) -> bool:
    """Whether an element hides what it holds from the reader's eyes or ears."""
    tag, attributes = node.tag or "", node.attributes
    if tag in _NEVER_SHOWN:
        return bool(node.text().strip())
    if "hidden" in attributes or "popover" in attributes:
        return tag not in _SHOWN_LATER or _leads(node)
    if attributes.get("aria-hidden") == "true" and _leads(node):
        return True
    style = attributes.get("style")
    return bool(style and _HARMLESS.sub("", style).strip()) and bool(node.text().strip())


def _leads(node: LexborNode) -> bool:
    """Whether an element is, holds or belongs to a figure that leads to the register."""
    around: LexborNode | None = node
    while around is not None:
        if around.tag == "a" and _FIGURE.search(around.attributes.get("href") or ""):
            return True
        around = around.parent
    return any(_FIGURE.search(one.attributes.get("href") or "") for one in node.css("a"))


def strange(node: LexborNode) -> str:
    """The element as HTML writes it if no page of ours has such a one; else empty."""
    tag, attributes = node.tag or "", node.attributes
    if tag in _STRANGE:
        return f"<{tag}>"
    if tag == "ol" and "reversed" in attributes:
        return "<ol reversed>"
    if tag == "meta" and (attributes.get("http-equiv") or "").lower() == "refresh":
        return "<meta http-equiv>"
    own = (one for one in _SOURCES if (attributes.get(one) or "").lstrip().startswith("data:"))
    return f"<{tag} {one}>" if tag in _PICTURES and (one := next(own, "")) else ""


def judged(
    path: str, data: bytes, blocks: Iterable[Block], before: Collection[Told] = ()
) -> Iterator[Told]:
    """What is told of the marked pieces of a file: one finding for each page and kind.

    `before` is what was told of the file: by a foot that is wrong nothing is judged, and a figure
    that is wrong may well reach off its page.
    """
    wrong = {" ".join(one.found.split()) for one in before}
    found: dict[tuple[str, int], list[str]] = {}
    for block in blocks:
        for piece in block.pieces:
            if piece.free in _KINDS and (words := _words(piece, wrong)):
                found.setdefault((piece.free, block.page), []).append(words)
    known = {one.finding.rule for one in before}
    for (kind, page), all_words in found.items():
        rule, says, mend = _KINDS[kind]
        if rule in known:
            continue
        first, others = all_words[0], len(all_words) - 1
        line = page or _line(data, first)
        where = f" on page {page}" if page else ""
        more = f" and {others} more" if others else ""
        message = f"`{first[:80]}`{more}{where} {'are' if others else 'is'} {says}"
        yield tell(rule, on_line(path, line), message, mend, "", first)


def _words(piece: Piece, wrong: Collection[str]) -> str:
    words = " ".join(piece.text.split())
    return "" if words in wrong else words


_ELEMENT = re.compile(r"<(\w+)(?: ([\w:-]+))?>")
_MEND = "build the manual again; change the book and not the output"
_KINDS: dict[str, tuple[Rule, str, str]] = {
    "hidden": (HIDDEN, "hidden from a reader", _MEND),
    "strange": (STRANGE, "put there by no build", _MEND),
    "code": (PAST, "not the code at the foot of the card", _MEND),
}


def _line(data: bytes, words: str) -> int:
    """The line of a page that holds the words, or the element; the first where none does."""
    text = data.decode("utf-8", "replace")
    if found := _ELEMENT.fullmatch(words):
        at = re.search(rf"<{found[1]}\b[^<>]*\b{found[2] or ''}", text, re.I)
        return text.count("\n", 0, at.start()) + 1 if at else 1
    lines = (plain(html.unescape(line)) for line in text.split("\n"))
    return next((number for number, line in enumerate(lines, 1) if plain(words) in line), 1)
