"""Generated Markdown as a tree of elements, as every writer must read it.

One parser with one list of extensions; site and paper cannot drift apart.
"""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from placardry import markdown_reader
from placardry.pages.unit_choice import INSTEAD

if TYPE_CHECKING:
    from markdown import Markdown

# Beside those of author text: identities, and safety messages. An author's text can use neither,
# for its braces are escaped and `!!!` is a finding.
EXTENSIONS = (*markdown_reader.EXTENSIONS, "attr_list", "admonition")

# HTML of our own, which is for a screen: gauge strips, and the marks of units that may be hidden.
# Whatever else begins with such a sign is an author's, who has typed it as text.
_ON_SCREEN = re.compile(r'<figure class="gauge">|<span class="unit-|</span>')

# Where the parser has put something aside: an entity, or the code of an escaped sign.
_STASHED = re.compile(
    "\u0002(?:wzxhzdk:(?P<raw>\\d+)|(?P<code>\\d+))\u0003|\u0002(?P<amp>amp)\u0003"
)


def element_tree(markdown: str) -> Element:
    """The elements of a page, every entity resolved to its sign, without what is for a screen."""
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
    for parent in list(root.iter()):
        _drop_instead(parent)
    for paragraph in root.findall("p"):
        if paragraph.text and not len(paragraph) and not _resolved(paragraph.text, md):
            root.remove(paragraph)  # it held a strip
    for element in root.iter():
        element.text = _resolved(element.text, md)
        if element.tag == "code" and element.text:
            element.text = html.unescape(element.text)  # the parser escapes code by itself
        element.tail = _resolved(element.tail, md)
        for name, value in element.items():
            element.set(name, _resolved(value, md) or "")
    return root


def _drop_instead(parent: Element) -> None:
    """Take out what is read on a screen where a unit is hidden; what follows it stays."""
    before: Element | None = None
    for child in list(parent):
        if child.get("class") == INSTEAD:
            parent.remove(child)
            if before is None:
                parent.text = (parent.text or "") + (child.tail or "")
            else:
                before.tail = (before.tail or "") + (child.tail or "")
        else:
            before = child


def _resolved(text: str | None, md: Markdown) -> str | None:
    """Text with what the parser has put aside."""
    if text is None or "\u0002" not in text:
        return text

    def restored(match: re.Match[str]) -> str:
        if match["amp"]:
            return "&"
        if match["code"]:
            return chr(int(match["code"]))
        raw = str(md.htmlStash.rawHtmlBlocks[int(match["raw"])])
        return "" if _ON_SCREEN.match(raw) else html.unescape(raw)

    return type(text)(_STASHED.sub(restored, text))
