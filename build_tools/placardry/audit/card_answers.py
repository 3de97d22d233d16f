"""What the card check answers of a code that it does not know, and how it reads what is typed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from placardry.audit.told import PAST, Told, tell
from placardry.codes import ALPHABET, LENGTH, READ_AS
from placardry.finding import Span

if TYPE_CHECKING:
    from selectolax.lexbor import LexborHTMLParser

_NAME = "check.html"
_MEND = "build the manual again"
_FORM = {
    "data-alphabet": ALPHABET,
    "data-length": str(LENGTH),
    "data-read-as": " ".join(map("".join, sorted(READ_AS.items()))),
}
_ANSWERS = ("never", "mistyped")


def judged(files: Mapping[str, bytes]) -> Iterator[Told]:
    """The copies of the card check that answer otherwise than most, or read codes otherwise."""
    from selectolax.lexbor import LexborHTMLParser

    said: dict[tuple[bool, str, str], dict[str, str]] = {}
    for path, data in sorted(files.items()):
        if path.rpartition("/")[2] != _NAME or path.count("/") > 1:
            continue
        page = data.decode("utf-8", "replace")
        yield from _form(path, LexborHTMLParser(page))
        for name in _ANSWERS:
            for language, text in _answers(page, name):
                # Of a code that was never issued the page for all says something else.
                kind = ("/" not in path and name == "never", name, language)
                said.setdefault(kind, {})[path] = text
    for (_, name, _), texts in said.items():
        usual = Counter(texts.values()).most_common(2)
        is_open = len(usual) > 1 and usual[0][1] == usual[1][1]
        for path, text in texts.items():
            if text != usual[0][0]:
                message = f"the answer `{name}` is “{text}”; other copies say “{usual[0][0]}”"
                message += "; nothing tells which is right" if is_open else ""
                yield tell(PAST, Span(path), message, _MEND, "", text, usual[0][0])


def _form(path: str, page: LexborHTMLParser) -> Iterator[Told]:
    form = page.css_first("form#check")
    for name, right in _FORM.items():
        found = (form.attributes.get(name) or "") if form is not None else right
        if found != right:
            message = f"the form reads codes by {name} `{found or 'nothing'}`, not `{right}`"
            yield tell(PAST, Span(path), message, _MEND, "", found, right)


def _answers(text: str, name: str) -> Iterator[tuple[str, str]]:
    """The text of an answer in each language; of several with one name all are shown as one."""
    from selectolax.lexbor import LexborHTMLParser

    texts: dict[str, list[str]] = {}
    for found in re.finditer(rf'<template\b[^>]*\bid="{name}".*?</template>', text, re.DOTALL):
        inside = LexborHTMLParser(found[0].replace("template", "div"))  # which a reader sees
        for one in inside.css("p"):
            language = one.attributes.get("lang") or ""
            texts.setdefault(language, []).append(" ".join(one.text().split()))
    yield from ((language, " ".join(each)) for language, each in texts.items())
