"""Rules on what uses a figure: examples, times and counts of steps, names in prose."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from placardry.book.figures import Example
from placardry.book.record import FIGURE_KINDS, Record
from placardry.figures import Figure
from placardry.finding import Family, Note, Severity
from placardry.interval import Interval
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import (
    figure_of,
)
from placardry.units import Dimension
from placardry.walk import Leaf, leaves, per_record

# By the key that holds the reference: what kind of quantity it must lead to.
WANTED = {
    "wait": Dimension.DURATION,
    "for": Dimension.DURATION,
    "hold": Dimension.DURATION,
    "time": Dimension.DURATION,
    "interval": Dimension.DURATION,
    "times": Dimension.COUNT,
    "service-ceiling": Dimension.LENGTH,
    "coolant-maximum": Dimension.TEMPERATURE,
    "cap-pressure": Dimension.GAUGE_PRESSURE,
}


@rule(Severity.ERROR, Family.FIGURES)
def example_outside(subject: Subject) -> Iterator[Problem]:
    """An example reading lies outside what it illustrates.

    The example of a drop or a rise is a difference too, not the reading after it.

    Bad:
        procedures/examples.yaml
            examples:
              warm-cruise: {reading: 84 degC, of: coolant.green}
        content/welcome.md
            # Welcome

            A reading of {warm-cruise} is normal.
    Good:
        procedures/examples.yaml
            examples:
              warm-cruise: {reading: 74 degC, of: coolant.green}
        content/welcome.md
            # Welcome

            A reading of {warm-cruise} is normal.
    """
    for manual in subject.views:
        for one in manual.of(Example).values():
            figure = figure_of(manual, subject.figures[manual.id], one.of)
            if figure is None:
                continue
            inside = covered(figure)
            if not one.reading.unit.mixes(figure.exact.unit):
                message = f"`{one.id}` is {one.reading}, `{one.of}` is in {figure.exact.unit}"
                mend = f"write the reading in {figure.exact.unit}"
            elif inside is not None and not inside.contains(one.reading):
                message = f"`{one.id}` is {one.reading}, but `{one.of}` is {inside}"
                mend = f"write a reading that is {inside}"
            else:
                continue
            note = Note(figure.span, f"`{one.of}` is stated here")
            yield Problem(one.places.at("reading"), message, mend, (note,))


def covered(figure: Figure) -> Interval | None:
    """The values that a figure covers; None where it is one value alone."""
    exact = figure.exact
    if exact.low is None and exact.high is None:
        return None
    return Interval(exact.low, exact.high, figure.open_low, figure.open_high)


@rule(Severity.ERROR, Family.FIGURES)
def figure_of_another_kind(subject: Subject) -> Iterator[Problem]:
    """A figure is used where another kind of quantity belongs.

    A wait wants a time, a number of presses a count, a service ceiling a height.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              fuel-tank: {nominal: 11 L, name: fuel tank, source: page 3}
        procedures/shutdown.yaml
            procedure: shutdown
            title: Stop the engine
            chapter: operation
            when: after landing
            steps:
              - set: {master: off}
              - wait: fuel-tank
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              cooling-wait: {minimum: 2 min, name: cooling time, source: page 3}
        procedures/shutdown.yaml
            procedure: shutdown
            title: Stop the engine
            chapter: operation
            when: after landing
            steps:
              - set: {master: off}
              - wait: cooling-wait
    """
    for manual in subject.views:
        figures = subject.figures[manual.id]
        for by_id in manual.records.values():
            for leaf in (leaf for record in by_id.values() for leaf in _of_a_kind(record)):
                wanted = WANTED[str(leaf.path[-1])]
                figure = figure_of(manual, figures, leaf.value)
                if figure is not None and figure.exact.unit.dimension is not wanted:
                    found = figure.exact.unit
                    yield Problem(
                        leaf.span,
                        f"`{leaf.value}` is {figure.exact.written}, {_kind(found.dimension)}; "
                        f"`{leaf.path[-1]}:` wants {_kind(wanted)}",
                        f"name a figure that is {_kind(wanted)}",
                        (Note(figure.span, f"`{leaf.value}` is stated here"),),
                    )


@per_record
def _of_a_kind(record: Record) -> tuple[Leaf, ...]:
    """The references of a record to figures of a kind that is wanted there."""
    return tuple(
        leaf
        for leaf in leaves(record)
        if leaf.refers is not None
        and leaf.refers.kinds == FIGURE_KINDS
        and str(leaf.path[-1]) in WANTED
    )


def _kind(dimension: Dimension) -> str:
    article = "an" if dimension[0] in "aeiou" else "a"
    return f"{article} {dimension}"


@rule(Severity.ERROR, Family.FIGURES)
def ambiguous_figure_name(subject: Subject) -> Iterator[Problem]:
    """Two records that hold figures have one name.

    `{name}` in prose and the register know a figure by its name alone, so a limit, a fact, a
    task and an alarm of one manual need names of their own.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              coolant: {nominal: 3 L, name: coolant in the system, source: page 3}
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              coolant-quantity: {nominal: 3 L, name: coolant in the system, source: page 3}
    """
    for manual in subject.views:
        named = defaultdict(list)
        for kind in FIGURE_KINDS:
            for name, record in manual.records.get(kind, {}).items():
                named[name].append((record.places.span, kind))
        for name, found in named.items():
            (first, kind), *others = sorted(found)
            for span, other in others:
                message = f"`{name}` is the name of a {kind} and of a {other}"
                note = Note(first, f"the {kind}")
                yield Problem(span, message, f"give the {other} another name", (note,))
