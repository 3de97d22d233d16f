"""Generated Markdown as a tree of elements, as every writer must read it.

One parser with one list of extensions; site and paper cannot drift apart.
"""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from placardry import markdown_reader

if TYPE_CHECKING:
    from markdown import Markdown

# Beside those of author text: identities, and safety messages. An author's text can use neither,
# for its braces are escaped and `!!!` is a finding.
EXTENSIONS = (*markdown_reader.EXTENSIONS, "attr_list", "admonition")

# Where the parser has put something aside: an entity, or the code of an escaped sign.
_STASHED = re.compile(
    "\u0002(?:wzxhzdk:(?P<raw>\\d+)|(?P<code>\\d+))\u0003|\u0002(?P<amp>amp)\u0003"
)


def element_tree(markdown: str) -> Element:
    """The elements of a page, with every entity resolved to its sign."""
    import markdown as parser
    from markdown.treeprocessors import Treeprocessor

    found: list[Element] = []

    class Keep(Treeprocessor):
        def run(self, root: Element) -> None:
            found.append(root)

    md = parser.Markdown(extensions=list(EXTENSIONS))
    md.treeprocessors.register(Keep(md), "keep", -100)
    md.convert(markdown)
    root = found[0] if found else Element("div")
    for element in root.iter():
        element.text = _resolved(element.text, md)
        if element.tag == "code" and element.text:
            element.text = html.unescape(element.text)  # the parser escapes code by itself
        element.tail = _resolved(element.tail, md)
        for name, value in element.items():
            element.set(name, _resolved(value, md) or "")
    return root


def _resolved(text: str | None, md: Markdown) -> str | None:
    """Text with what the parser has put aside."""
    if text is None or "\u0002" not in text:
        return text

    def restored(match: re.Match[str]) -> str:
        if match["amp"]:
            return "&"
        if match["code"]:
            return chr(int(match["code"]))
        return html.unescape(str(md.htmlStash.rawHtmlBlocks[int(match["raw"])]))

    return type(text)(_STASHED.sub(restored, text))
