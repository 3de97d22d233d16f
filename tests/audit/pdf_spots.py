"""The places of a PDF at which a forger can edit something."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from tests.audit.edits import BOUNDS, Entries, Spot, anchors_of, condition_of
from tests.audit.pdf_edits import Forged, Shown

_FOOT = re.compile(r"(?:Edition|Ausgabe) \d+ (?:of|vom) [\d-]+")
_WORD = re.compile(rf"\b({'|'.join(BOUNDS)}) $")


_PAGES = 8  # of a long document that many are read, others for each


def pdf_spots(data: bytes, entries: Entries) -> Iterator[Spot]:
    """Links, figures with what stands before and behind them, and the edition named."""
    pdf = Forged(data)
    for number, address in pdf.links():
        before, mark, anchor = address.partition("register.html#")
        if mark:
            yield Spot("link", frozenset({anchor}), "", _led(pdf, number, before + mark))
    shown_as = {shown for entry in entries.values() for shown in entry["shown"].values()}
    count = len(pdf.reader.pages)
    step = count // _PAGES + 1
    for page in range(len(data) % step, count, step):
        last: Shown | None = None
        for shown in pdf.shown(page):
            yield from _spots(pdf, entries, shown, last, shown_as)
            last = shown


def _spots(
    pdf: Forged, entries: Entries, shown: Shown, last: Shown | None, figures: set[str]
) -> Iterator[Spot]:
    text = shown.text
    if _FOOT.search(text):
        yield Spot("edition", frozenset(), text, _retold(pdf, shown))
    if last and last.text in figures:
        held = {one: condition_of(entries, one) for one in anchors_of(entries, last.text)}
        for condition in sorted(set(held.values()) - {""}):
            if text.strip(" .").startswith(condition):
                own = frozenset(one for one, said in held.items() if said == condition)
                yield Spot("condition", own, condition, _for(pdf, shown, condition))
                yield Spot("negated", own, condition, _told_before(pdf, shown))
    if text not in figures:
        return
    anchors = anchors_of(entries, text)
    yield Spot("figure", anchors, text, _retold(pdf, shown))
    yield Spot("glyph", anchors, text, _remapped(pdf, shown))
    if last and last.text.endswith((" ", "(")) and pdf.height(last) == pdf.height(shown):
        yield Spot("beside", anchors, text, _led_in(pdf, last, text))
        word = _WORD.search(last.text)
        if word:
            yield Spot("bound", anchors, word[1], _bound(pdf, last, word))


def _led(pdf: Forged, number: int, before: str) -> Callable[[str], bytes]:
    return lambda new: pdf.led(number, before + new)


def _retold(pdf: Forged, shown: Shown) -> Callable[[str], bytes | None]:
    return lambda new: pdf.retold(shown, new)


def _for(pdf: Forged, shown: Shown, condition: str) -> Callable[[str], bytes | None]:
    return lambda new: pdf.retold(shown, shown.text.replace(condition, new, 1))


def _told_before(pdf: Forged, shown: Shown) -> Callable[[str], bytes | None]:
    start = len(shown.text) - len(shown.text.lstrip())
    return lambda new: pdf.retold(shown, shown.text[:start] + new + shown.text[start:])


def _bound(pdf: Forged, shown: Shown, word: re.Match[str]) -> Callable[[str], bytes | None]:
    start, end = word.span(1)
    return lambda new: pdf.retold(shown, shown.text[:start] + new + shown.text[end:])


def _led_in(pdf: Forged, before: Shown, text: str) -> Callable[[str], bytes | None]:
    """A sign set before a figure; one that lies exactly on its equal changes nothing to see."""
    return lambda new: None if text[0] == new else pdf.retold(before, before.text + new)


def _remapped(pdf: Forged, shown: Shown) -> Callable[[str], bytes | None]:
    def make(new: str) -> bytes | None:
        at = next(at for at, sign in enumerate(shown.text) if sign != new[at])
        return pdf.remapped(shown, shown.codes[at], new[at])

    return make
