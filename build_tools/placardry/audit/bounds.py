"""The words before figures that say a side: `at least`, `above`; by kind, and by other files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from placardry.audit.claims import Claim, plain
from placardry.audit.register import Entry
from placardry.audit.told import BOUND, Told, tell, told_of
from placardry.bound_words import Bound, bound_before, mirrored
from placardry.finding import Span

_MEND = "give the other meaning a fact of its own in the book, or build the manual again"
_CONTEXT = 3  # words before the bound word that are the same in page and PDF


def judged(claim: Claim, entry: Entry, entries: Mapping[str, Entry]) -> Iterator[Told]:
    """A word before a figure that contradicts its kind in the register."""
    language = claim.language.partition("-")[0]
    said = bound_before(claim.before, language)
    if said is None or said[1] not in _wrong(entry, said[0], entries):
        return
    word = said[0]
    right = mirrored(word, language)
    if entry.part == "within" and not _is_of_condition(claim, entry, entries, word, right):
        return
    says = f"is said to be “{word} {claim.text}”; `{entry.anchor}` is {right} {claim.text}"
    found, expected = (f"{one} {claim.text}" for one in (word, right))
    yield told_of(BOUND, claim, says, _MEND, expected, found=found)


def _is_of_condition(
    claim: Claim, entry: Entry, entries: Mapping[str, Entry], word: str, right: str
) -> bool:
    """Whether the time allowed stands in the condition of its limit, but for the bound word.

    Elsewhere prose may say another thing of it: rest at least as long before the next climb.
    """
    start = claim.before.rindex(word)
    behind = claim.block.text[start + len(word) :]
    meant = plain(f"{claim.before[:start]}{right}{behind}")
    limits = (one for one in entries.values() if one.id == entry.id and one is not entry)
    return any(one.condition and plain(one.condition) in meant for one in limits)


def _wrong(entry: Entry, word: str, entries: Mapping[str, Entry]) -> frozenset[Bound]:
    """What a figure is not. Prose may say `above` of a maximum: above it, land."""
    if entry.written.startswith("above "):
        return frozenset({Bound.MOST, Bound.BELOW})
    if entry.written.startswith("below "):
        return frozenset({Bound.LEAST, Bound.ABOVE})
    if entry.kind == "set-point" and word.lower().startswith("at or "):
        guards = entries.get(entry.guards)
        sides = {"maximum": Bound.BELOW, "minimum": Bound.ABOVE}
        return frozenset({sides[guards.kind]}) if guards and guards.kind in sides else frozenset()
    ends = entry.exact.keys()
    if ends == {"high"}:
        return frozenset({Bound.LEAST})
    return frozenset({Bound.MOST}) if ends == {"low"} else frozenset()


@dataclass(frozen=True, slots=True)
class Bounded:
    """A figure with a bound word before it, and the words before that."""

    span: Span
    page: int
    manual: str
    anchor: str
    context: str
    word: str
    side: Bound
    text: str

    @property
    def key(self) -> tuple[str, str, str]:
        """What page and PDF have in common."""
        return self.manual, self.anchor, self.context


def bounded(claim: Claim, span: Span) -> Bounded | None:
    """The bound word before a figure; None where none stands there."""
    language = claim.language.partition("-")[0]
    before = claim.before.rpartition(" | ")[2]
    said = bound_before(before, language)
    if said is None or not claim.anchor:
        return None
    words = plain(before)
    context = " ".join(words[: words.rindex(said[0].casefold())].split()[-_CONTEXT:])
    text, word = " ".join(claim.text.split()), said[0].casefold()
    page = claim.block.page
    return Bounded(span, page, claim.manual, claim.anchor, context, word, said[1], text)


def crossed(all_said: Iterable[Bounded]) -> Iterator[Told]:
    """Bound words of a PDF where the pages say the other side after the same words."""
    known = tuple(all_said)
    on_pages: dict[tuple[str, str, str], dict[Bound, str]] = {}
    for one in known:
        if not one.page:
            on_pages.setdefault(one.key, {})[one.side] = one.word
    for one in known:
        there = on_pages.get(one.key, {})
        right = there.get(one.side.other)
        if one.page and right and one.side not in there:
            said = f"{one.context} {one.word} {one.text}".strip()
            message = f"`{said}` on page {one.page}: the pages say “{right} {one.text}”"
            found, expected = (f"{word} {one.text}" for word in (one.word, right))
            yield tell(BOUND, one.span, message, _MEND, one.anchor, found, expected)
