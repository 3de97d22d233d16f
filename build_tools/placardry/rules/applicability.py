"""Rules on applicability: an owner sees what is on their machine, and all of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from placardry.book import Book
from placardry.book.controls import Panel
from placardry.book.machines import Machine, Market
from placardry.book.record import Record
from placardry.context import Applies, Context, asking, contexts
from placardry.files import text_of
from placardry.finding import Family, Note, Severity, Span
from placardry.links import follow, follow_text
from placardry.nodes import Scalar
from placardry.references import locate, references
from placardry.resolve import Stray
from placardry.rules.registry import Problem, Subject, rule
from placardry.walk import leaves


@rule(Severity.ERROR, Family.APPLICABILITY)
def inapplicable_reference(subject: Subject) -> Iterator[Problem]:
    """A reference leads to something that is not on the machine.

    An owner sees only their own machine. A step, a sentence or a card that needs what is
    elsewhere would send them to a page that their manual does not have.

    Source: common practice, no source.

    Bad:
        procedures/second.yaml
            options:
              tow-hook: {name: tow hook}
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel, options: {tow-hook: fitted}}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
        procedures/facts.yaml
            document: marl-manual
            applies: {option: tow-hook}
            facts:
              tow-load: {maximum: 900 N, name: load on the tow hook, source: page 7}
        content/towing.md
            # Towing

            Never pull with more than {tow-load}.
    Good:
        procedures/second.yaml
            options:
              tow-hook: {name: tow hook}
            machines:
              tern-two: {name: Tern Two, model: Tern, airframe: frame, engine: marl,
                         panel: tern-panel, options: {tow-hook: fitted}}
            manuals:
              tern-two-eu: {machine: tern-two, market: eu, language: en}
        procedures/facts.yaml
            document: marl-manual
            applies: {option: tow-hook}
            facts:
              tow-load: {maximum: 900 N, name: load on the tow hook, source: page 7}
        content/towing.md
            ---
            applies: {option: tow-hook}
            ---
            # Towing

            Never pull with more than {tow-load}.
    """
    known = contexts(subject.book)
    whole = {name: _is_whole(context.machine, subject.book) for name, context in known.items()}
    groups: dict[tuple[Span, str], list[Stray]] = defaultdict(list)
    for stray in subject.strays:
        node = stray.leaf.node
        # What only a translation names is told of there, see `changed-translation`.
        is_here = isinstance(node, Scalar) and stray.written in node.text
        if isinstance(node, Scalar) and is_here and whole[stray.manual]:
            groups[_span_of(stray, node, subject.book), stray.written].append(stray)
    for (span, words), strays in groups.items():
        targets = _targets(strays[0], subject.book)
        if not targets or not all(_is_sound(one.applies, subject.book) for one in targets):
            continue  # it is lost through a mistake that is told of already
        places = [f"`{one.manual}` ({known[one.manual].machine.name})" for one in strays]
        more = f" and {len(places) - 3} more manuals" if len(places) > 3 else ""
        yield Problem(
            span,
            f"`{words}` leads to nothing in {', '.join(places[:3])}{more}",
            "let what stands here apply to fewer machines, or state what it names for these too",
            tuple(Note(one.places.span, "it holds on other machines only") for one in targets[:3]),
        )


def _span_of(stray: Stray, node: Scalar, book: Book) -> Span:
    if stray.typed:
        return node.span
    at = node.text.index(stray.written)
    source = text_of(book.files.get(node.span.path, b""))
    return locate(node, source, at, at + len(stray.written))


def _is_whole(machine: Machine, book: Book) -> bool:
    """Whether a machine and its panel name only what can be read."""
    panels = book.of(Panel).get(machine.panel, ())
    return bool(panels) and all(
        leaf.refers is None or follow(leaf.value, leaf.refers, book.records)
        for one in (machine, *panels)
        for leaf in leaves(one)
    )


def _targets(stray: Stray, book: Book) -> tuple[Record, ...]:
    """The statements that hold elsewhere; none if one of them could not be read."""
    if stray.leaf.refers is not None:
        link = follow(stray.written, stray.leaf.refers, book.records)
    else:
        link = follow_text(next(references(stray.written)), book.records)
    if link is None or f"{link.kind}/{link.id}" in book.broken:
        return ()
    return book.records.get(link.kind, {}).get(link.id, ())


@rule(Severity.ERROR, Family.APPLICABILITY)
def repeated_record(subject: Subject) -> Iterator[Problem]:
    """Two records of one kind and name hold on the same machine.

    One name may be stated again for other machines. Where two statements meet, nobody can
    tell which one the owner should follow.

    Source: common practice, no source.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse:
                - {nominal: 15 A, name: spare fuse, source: page 3}
                - {nominal: 10 A, name: spare fuse, source: page 3}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              spare-fuse: {nominal: 15 A, name: spare fuse, source: page 3}
    """
    met: dict[tuple[str, Span, Span], list[str]] = defaultdict(list)
    several = [
        (kind, name, statements)
        for kind, by_id in subject.book.records.items()
        for name, statements in by_id.items()
        if len(statements) > 1
    ]
    for context in contexts(subject.book).values():
        for kind, name, statements in several:
            holding = [one for one in statements if context.meets(one.applies)]
            for other in holding[1:]:
                key = (f"{kind} `{name}`", _head(holding[0]), _head(other))
                met[key].append(context.machine.name)
    for (what, first, second), machines in met.items():
        message = f"{what} is stated twice for {' and '.join(sorted(set(machines)))}"
        mend = "narrow `applies:` of one of the two statements, or remove it"
        yield Problem(second, message, mend, (Note(first, "this statement holds there too"),))


def _head(record: Record) -> Span:
    """Where a statement begins: its name, or its first key where its name holds a list."""
    if record.statement is None:
        return record.places.span
    return record.places.entries[1][0].span


@rule(Severity.WARNING, Family.APPLICABILITY)
def never_applies(subject: Subject) -> Iterator[Problem]:
    """What stands under an `applies` holds on no machine of the book.

    It was written for somebody, and nobody will read it.

    Source: common practice, no source.

    Bad:
        procedures/options.yaml
            options:
              tow-hook: {name: tow hook}
        content/towing.md
            ---
            applies: {option: tow-hook}
            ---
            # Towing

            Tow with the hook alone.
    Good:
        procedures/options.yaml
            options:
              tow-hook: {name: tow hook}
        content/towing.md
            ---
            applies: {without-option: tow-hook}
            ---
            # Towing

            Never tow: there is no hook.
    """
    book = subject.book
    markets = list(book.of(Market)) or [""]
    known = [
        Context(machine, market) for machine, *_ in book.of(Machine).values() for market in markets
    ]
    is_unread = any(name.startswith("machine/") for name in book.broken)
    judged: set[tuple[int, ...]] = set()
    for record in (one for by_id in book.records.values() for s in by_id.values() for one in s):
        for own, outer in asking(record):
            whole = (*outer, *own)
            which = (len(own), *map(id, whole))  # what stands at the head of a file is one object
            if not known or is_unread or which in judged:
                continue
            judged.add(which)
            if not _is_sound(whole, book):
                continue
            places = [context for context in known if context.meets(outer)]
            if places and not any(context.meets(own) for context in places):
                message = "what stands here holds on no machine"
                mend = "correct `applies:`, or remove what stands under it"
                yield Problem(own[-1].places.span, message, mend)


def _is_sound(applies: Applies, book: Book) -> bool:
    """Whether everything that is named there exists; what does not is told of already."""
    return all(
        leaf.refers is None or follow(leaf.value, leaf.refers, book.records)
        for one in applies
        for leaf in leaves(one)
    )
