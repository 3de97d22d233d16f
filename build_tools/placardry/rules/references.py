"""Rules on references: each leads to one thing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from placardry.book import COLLECTIONS, KINDS, SINGLES, Book
from placardry.book.record import FIGURE_KINDS, Refers
from placardry.finding import MOST_IN_TEXT, Family, Severity, Span, did_you_mean, nearest
from placardry.links import NESTED, THIS, follow, follow_text, names_for
from placardry.nodes import Scalar
from placardry.references import MALFORMED_REFERENCE, Reference, malformed, references
from placardry.rules.registry import CHECKS, Problem, Subject, rule
from placardry.rules.statements import every
from placardry.rules.texts import Written
from placardry.walk import Leaf, Mention, leaves, mentions


def _malformed_reference(subject: Subject) -> Iterator[Problem]:
    for text in subject.texts:
        may_hold = "{" in text.text or "}" in text.text
        if may_hold and isinstance(node := text.leaf.node, Scalar):
            for found in malformed(node, text.source):
                yield Problem(found.span, found.message, found.mend)


CHECKS[MALFORMED_REFERENCE] = _malformed_reference


def typed(book: Book) -> Iterator[Leaf]:
    """Every leaf of the book's records, its typed references among them."""
    for by_id in book.records.values():
        for statements in by_id.values():
            for record in statements:
                yield from leaves(record)


@rule(Severity.ERROR, Family.PROSE)
def unknown_reference(subject: Subject) -> Iterator[Problem]:
    """A reference leads to nothing in the book.

    What it should have led to would be missing from the page: a figure, a step, a source.

    Source: common practice, no source.

    Bad:
        content/heat.md
            # Heat

            Land if the coolant reaches {coolent.red}.
    Good:
        content/heat.md
            # Heat

            Land if the coolant reaches {coolant.red}.
    """
    book = subject.book
    # Many records refer to few things, so each is looked for once.
    said = frozenset().union(*map(mentions, every(book, *KINDS.values())))
    lost = {one for one in said if _is_lost(one, book)}
    for leaf in typed(book) if lost else ():
        if leaf.refers is not None and leaf.mention in lost:
            yield Problem(place_of(leaf, book), *_unknown(leaf.value, leaf.refers, book))
    # A translation is measured against its original, see `changed-translation`.
    for text in subject.texts:
        if "{" not in text.text or text.is_translation:
            continue
        for reference in islice(_unknown_references(text, book), MOST_IN_TEXT):
            span = text.span(reference.start, reference.end)
            yield Problem(span, *_unknown_in_text(reference, book))


def _is_lost(mention: Mention, book: Book) -> bool:
    """Whether a typed reference leads to nothing, not even to what could not be read."""
    name, refers = mention
    if refers is None or follow(name, refers, book.records) is not None:
        return False
    return not _is_broken(refers.kinds, name, book)


def _unknown_references(text: Written, book: Book) -> Iterator[Reference]:
    for reference in references(text.text):
        if follow_text(reference, book.records) is None:
            kinds = KINDS if reference.kind not in KINDS else [reference.kind or ""]
            if not _is_broken(kinds, str(reference)[1:-1], book):
                yield reference


def _is_broken(kinds: Iterable[str], name: str, book: Book) -> bool:
    """Whether the name is that of a record which could not be read."""
    names = {name, name.partition(".")[0], *name.partition(".")[0].split("/")}
    return any(f"{kind}/{one}" in book.broken for kind in (*kinds, "instrument") for one in names)


def place_of(leaf: Leaf, book: Book) -> Span:
    """The place of a typed reference; that of the file's `document:` where it comes from there."""
    if not isinstance(leaf.node, Scalar) and leaf.path[-1:] == ("document",):
        root = book.roots.get(leaf.span.path)
        if root is not None:
            return root.at("document")
    return leaf.span


def _unknown(written_: str, refers: Refers, book: Book) -> tuple[str, str]:
    """What to say of a typed reference that leads nowhere."""
    what = "figure" if refers.kinds == FIGURE_KINDS else " or ".join(refers.kinds)
    others = [kind for kind in KINDS if written_.partition(".")[0] in book.records.get(kind, ())]
    message = f"no {what} is called `{written_}`"
    if others:
        message += f"; {_of_kinds(others)} is"
    article = "an" if what[0] in "aeiou" else "a"
    name = written_.partition(".")[0]
    home = _home("fact" if what == "figure" else refers.kinds[0], name)
    if what == "figure" and name == written_:
        # A condition has figures, but is none.
        refers = Refers(tuple(kind for kind in refers.kinds if kind != "condition"))
    otherwise = f"write the name of {article} {what}{home}"
    return message, did_you_mean(written_, names_for(refers, book.records), otherwise)


def _home(kind: str, name: str) -> str:
    """Where what is not written yet would be stated; empty for a part of an instrument."""
    if kind in SINGLES:
        return f", or write a file that begins with `{kind}: {name}`"
    key = next((key for key, cls in COLLECTIONS.items() if KINDS.get(kind) is cls), None)
    return f", or state `{name}` under `{key}:`" if key else ""


def _of_kinds(kinds: list[str]) -> str:
    return " and ".join(f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}" for kind in kinds)


def _unknown_in_text(reference: Reference, book: Book) -> tuple[str, str]:
    """What to say of a reference in a text that leads nowhere."""
    kind, name = reference.kind, reference.id
    message = f"`{reference}` leads to nothing"
    if kind is None:
        if name in THIS:
            return message, f"write `{{this/{name}}}` for the name of the owner's own"
        names = {one for by_id in book.records.values() for one in by_id}
        return message, did_you_mean(name, names, f"state `{name}`, under `facts:` for example")
    if kind in KINDS:
        others = [other for other in KINDS if name in book.records.get(other, ())]
        if others:
            return message, f"write `{{{others[0]}/{name}}}`"
        # The kind, which is right, must not make a name look like any other of its kind.
        near = {f"{kind}/{one}" for one in nearest(name, book.records.get(kind, ()))}
        otherwise = f"write the name of {_of_kinds([kind])}{_home(kind, name)}"
        return message, did_you_mean(f"{kind}/{name}", near, otherwise)
    if kind == "this":
        known = [f"this/{one}" for one in THIS]
    elif kind in book.records.get("instrument", ()):
        known = [
            one for one in names_for(Refers(tuple(NESTED)), book.records) if one.startswith(kind)
        ]
    else:
        likely = [*KINDS, *book.records.get("instrument", ())]
        known = [
            one
            for one in (f"{kind}/{name}" for kind in likely)
            if follow_text(next(references(f"{{{one}}}")), book.records) is not None
        ]
        if not known:
            return message, f"write the name of an instrument{_home('instrument', kind)}"
    listed = ", ".join(f"`{one}`" for one in sorted(known)[:4])
    return message, did_you_mean(f"{kind}/{name}", known, f"write one of {listed}")


@rule(Severity.ERROR, Family.PROSE)
def ambiguous_reference(subject: Subject) -> Iterator[Problem]:
    """A reference without its kind names several things, none of which is a figure.

    The reader would be sent to whichever the program finds first.

    Source: common practice, no source.

    Bad:
        procedures/rinse.yaml
            procedure: rinse
            title: Rinse the radiator
            chapter: maintenance
            when: after a landing on water
            steps: [{do: Rinse the radiator with fresh water.}]
        content/rinse.md
            # Salt water

            See {rinse}.
    Good:
        procedures/rinse.yaml
            procedure: rinse
            title: Rinse the radiator
            chapter: maintenance
            when: after a landing on water
            steps: [{do: Rinse the radiator with fresh water.}]
        content/rinse.md
            # Salt water

            See {procedure/rinse}.
    """
    records = subject.book.records
    for text in subject.texts:
        if "{" not in text.text or text.is_translation:
            continue
        for reference in references(text.text):
            kinds = [kind for kind in KINDS if reference.id in records.get(kind, ())]
            if reference.kind or len(kinds) < 2 or set(kinds) & set(FIGURE_KINDS):
                continue
            span = text.span(reference.start, reference.end)
            message = f"`{reference}` can be {_of_kinds(kinds)}"
            mend = "write " + " or ".join(f"`{{{kind}/{reference.id}}}`" for kind in kinds)
            yield Problem(span, message, mend)
