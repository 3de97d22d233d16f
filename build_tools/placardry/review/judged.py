"""A review: the changes, most dangerous first, what the policy demands, and what they touch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import takewhile
from textwrap import shorten

from placardry.finding import Severity, Span
from placardry.review.demands import Demand
from placardry.review.history import History
from placardry.review.seen import DIRECTIONS, Seen
from placardry.review.touched import Touched

MOST_WORDS = 120  # letters of a text in a headline; below it stands all of it


@dataclass(frozen=True)
class Review:
    """What a change does to a book."""

    history: History
    changes: tuple[Seen, ...]
    demands: tuple[Demand, ...]
    touched: Touched

    @property
    def exit_code(self) -> int:
        """1 where a demand is not met, else 0."""
        return 0 if all(one.met for one in self.demands) else 1

    @property
    def errors(self) -> int:
        """How many errors the later side has."""
        found = self.history.after.prepared.findings
        return sum(one.severity is Severity.ERROR for one in found)


@dataclass(frozen=True, slots=True)
class Style:
    """How a report may look.

    Attributes:
        width: of the terminal, in columns
        most: letters at most, where a forge takes no more
    """

    colour: bool = False
    width: int = 80
    most: int | None = None


def sides(review: Review) -> str:
    """What is compared: `main → the working folder`."""
    return f"{review.history.before.name} → {review.history.after.name}"


def verdict(review: Review) -> str:
    """One sentence on the demands."""
    unmet = sum(not one.met for one in review.demands)
    if not review.demands:
        return "the policy demands nothing"
    if not unmet:
        return f"the policy is met: {len(review.demands)} of {len(review.demands)} demands"
    return f"the policy is NOT met: {unmet} of {len(review.demands)} demands are open"


def counted(review: Review) -> str:
    """How many changes of each direction: `3 changes: 1 loosened, 2 neutral`."""
    total = len(review.changes)
    if not total:
        return "no change of meaning"
    counts = {one: sum(seen.direction == one for seen in review.changes) for one in DIRECTIONS}
    said = ", ".join(f"{n} {name}" for name, n in counts.items() if n)
    return f"{total} change{'s' * (total != 1)}: {said}"


def headline(seen: Seen) -> str:
    """A change on one line: what, from, to, by how much, which way, on which machines."""
    before, after = in_units(seen.before, seen.after), in_units(seen.after, seen.before)
    # Where the figure moved as well, that has a line of its own.
    is_scope = seen.change.startswith(("condition", "applicability"))
    has_moved = bool(before and after and before != after) and not is_scope
    values = f"{before} → {after}" if has_moved else after or before
    said = " ".join(filter(None, (values, seen.condition)))
    parts = [f"{seen.what}: {said}" if said else seen.what]
    if not has_moved:
        parts.append(seen.change)
    if seen.size:
        by = next(iter(seen.size.values()))
        parts.append(by + (f" ({seen.share})" if seen.share else ""))
    parts.append(seen.direction.upper() if seen.direction != "neutral" else "neutral")
    if seen.on:
        parts.append(f"on {listed(seen.on)}")
    return ", ".join(parts)


def in_units(shown: Mapping[str, str], other: Mapping[str, str]) -> str:
    """A figure in the first unit, and the others in brackets; of a long text where it differs."""
    each = (_excerpt(text, other.get(unit, "")) for unit, text in shown.items())
    found = list(dict.fromkeys(each))
    return found[0] + (f" ({', '.join(found[1:])})" if found[1:] else "") if found else ""


def _excerpt(text: str, other: str) -> str:
    """A text; of a long one, so much as to see where it leaves the other."""
    if len(text) <= MOST_WORDS:
        return text
    pairs = zip(text, other, strict=False)
    shared = sum(1 for _ in takewhile(lambda both: both[0] == both[1], pairs))
    start = text.rfind(" ", 0, shared - MOST_WORDS // 3) + 1 if shared > MOST_WORDS // 2 else 0
    return ("… " if start else "") + shorten(text[start:], MOST_WORDS, placeholder=" …")


def listed(names: tuple[str, ...], most: int = 6) -> str:
    """Names in a row, the first of many."""
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")


def details(seen: Seen) -> list[tuple[str, str]]:
    """The lines below a headline, each with its word."""
    old, new = seen.sources
    cited = new or "nothing"
    if old != new:
        cited = f"{old or 'nothing'} → {new or 'nothing'}"
    elif old and not seen.has_new_source:
        cited += ", as before"
    words = (("before", seen.before.get("", "")), ("after", seen.after.get("", "")))
    found = [one for one in words if len(one[1]) > MOST_WORDS]
    if len(seen.size) > 1:
        found.append(("by", ", ".join(seen.size.values())))
    if seen.is_figure:
        found.append(("source", cited))
    found += [
        ("through", ", ".join(seen.causes)),
        ("read", seen.approval if seen.direction != "neutral" else ""),
        ("cards", listed(seen.cards, 4)),
        ("pages", listed(seen.pages, 4)),
        ("place", _line(seen.place) if seen.place else ""),
        ("stood", _line(seen.old_place) if seen.old_place and not seen.place else ""),
    ]
    return [(word, text) for word, text in found if text]


def _line(place: Span) -> str:
    return f"{place.path}:{place.line}"
