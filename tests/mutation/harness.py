"""Makes the wrong edits, judges each book, and counts by kind how many are found."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache

from placardry.book.cards import Card
from placardry.finding import Finding, Severity
from placardry.prepared import Prepared, judge
from placardry.resolve import Manual, resolve
from tests.mutation import figures, steps, structure, words
from tests.mutation.demo import Demo, Edit, demo

SEED = 2026
MOST = 24  # edits of a kind, where the demo has so many places

KINDS: tuple[Callable[[Demo], Iterator[Edit]], ...] = (
    figures.value_a_little,
    figures.value_a_lot,
    figures.unit_swapped,
    figures.cut_moved,
    figures.alarm_moved,
    figures.interval_changed,
    figures.condition_dropped,
    figures.condition_moved,
    figures.figure_deleted,
    figures.source_deleted,
    structure.applies_widened,
    structure.applies_narrowed,
    structure.applies_moved,
    structure.id_changed,
    structure.id_misspelt,
    structure.option_removed,
    structure.card_shrunk,
    steps.hazard_removed,
    steps.hazard_moved,
    steps.steps_swapped,
    steps.step_dropped,
    steps.gesture_changed,
    steps.position_changed,
    steps.path_changed,
    words.typed_in_digits,
    words.typed_in_words,
    words.reference_swapped,
    words.translation_loses_reference,
    words.translation_loses_text,
)

# Rules that see any change of what was approved or translated: left out of the second count, as
# if approvals and translations had been renewed with the edit.
OF_CHANGE = frozenset(
    {"stale-approval", "missing-approval", "approval-of-nothing", "stale-translation"}
)


# Rules that see that two languages differ: left out of the third count, as if the book had one.
OF_LANGUAGES = frozenset({"changed-translation", "missing-translation", "translation-of-nothing"})


@dataclass(frozen=True)
class Outcome:
    """What was found of one edit: the rules, and the worst severity of a contradiction.

    Attributes:
        is_same: the book still says the same, by the rule that `_is_same` states
    """

    edit: Edit
    rules: tuple[str, ...]
    worst: Severity | None
    is_same: bool = False

    @property
    def is_caught(self) -> bool:
        """Whether anything was found, with approvals standing."""
        return bool(self.rules)

    @property
    def is_contradiction(self) -> bool:
        """Whether something was found although approvals and translations are renewed."""
        return self.worst is not None

    @property
    def is_in_one_language(self) -> bool:
        """Whether something was found that does not come of comparing two languages."""
        return bool(set(self.rules) - OF_CHANGE - OF_LANGUAGES)


@cache
def edits() -> Mapping[str, tuple[Edit, ...]]:
    """The edits by kind, the same ones every time; none is equal to what it replaces."""
    book = demo()
    found: dict[str, list[Edit]] = defaultdict(list)
    for kind in KINDS:
        for one in kind(book):
            if one.text != book.files[one.path].decode()[one.start : one.end]:
                found[one.kind].append(one)
    chosen = {}
    for name, every in sorted(found.items()):
        draw = random.Random(f"{SEED} {name}")  # noqa: S311
        chosen[name] = tuple(draw.sample(every, min(MOST, len(every))))
    return chosen


def outcome(edit: Edit) -> Outcome:
    """The edit made, and the book judged."""
    prepared = judge(edit.applied(demo().files))
    findings = [*prepared.findings]
    if edit.kind == "card shrunk":
        findings += _printing(prepared, edit)
    rules = sorted({one.rule.name for one in findings})
    worst = [one.rule.severity for one in findings if one.rule.name not in OF_CHANGE]
    ranked = [one for one in Severity if one in worst]
    same = not ranked and _is_same(edit, prepared)
    return Outcome(edit, tuple(rules), ranked[0] if ranked else None, same)


def _is_same(edit: Edit, prepared: Prepared) -> bool:
    """Whether an edit of where a record holds leaves every manual with the records it had.

    An applicability that is written in another way, and holds on the same machines, is not wrong:
    `option: strobe` narrows nothing where every machine of that engine can have the strobe.
    """
    in_a_step = b"\nsteps:" in demo().files[edit.path][: edit.start]
    if not edit.kind.startswith("applicability") or in_a_step or prepared.book is None:
        return False
    return _held(prepared.manuals) == _held(resolve(demo().book)[0])


def _held(manuals: Iterable[Manual]) -> dict[str, dict[str, frozenset[str]]]:
    return {
        one.id: {kind: frozenset(by_id) for kind, by_id in one.records.items()} for one in manuals
    }


def _printing(prepared: Prepared, edit: Edit) -> Iterator[Finding]:
    """Whether a card fits is found when it is printed."""
    from placardry.paper import cards
    from placardry.wording.phrases import Speaker

    for manual in prepared.manuals:
        for card in manual.of(Card).values():
            face = cards.face_of(Speaker(manual), card)
            if face is not None and card.places.span.path == edit.path:
                yield from cards.render(manual, card, face)[1]


def outcomes(chosen: Iterable[Edit], workers: int = 2) -> list[Outcome]:
    """What was found of each edit, in their order."""
    chosen = list(chosen)
    if workers < 2:
        return [outcome(one) for one in chosen]
    with ProcessPoolExecutor(workers) as pool:
        return list(pool.map(outcome, chosen, chunksize=4))


def table(found: Iterable[Outcome]) -> str:
    """The counts by kind as a table in Markdown; edits that are no mistake are not counted."""
    by_kind: dict[str, list[Outcome]] = defaultdict(list)
    for one in found:
        if not one.is_same:
            by_kind[one.edit.kind].append(one)
    head = ("wrong edit", "made", "with approvals", "renewed", "as error", "in one language")
    rows = ["| " + " | ".join(head) + " |", "| --- |" + " --: |" * (len(head) - 1)]
    every = [one for outcomes in by_kind.values() for one in outcomes]
    for name, outcomes in [*sorted(by_kind.items()), ("**all**", every)]:
        counts = (
            sum(one.is_caught for one in outcomes),
            sum(one.is_contradiction for one in outcomes),
            sum(one.worst is Severity.ERROR for one in outcomes),
            sum(one.is_in_one_language for one in outcomes),
        )
        cells = (name, str(len(outcomes)), *(f"{count / len(outcomes):.0%}" for count in counts))
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"
