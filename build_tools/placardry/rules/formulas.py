"""Rules on the formulas of derived figures."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book.figures import Derived
from placardry.book.record import FIGURE_KINDS
from placardry.derived import Reach, compute, names
from placardry.errors import Malformed
from placardry.finding import Family, Severity
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import was_taken_out
from placardry.stated import Figures, reach
from placardry.units import UNITS, base


@rule(Severity.ERROR, Family.FIGURES)
def malformed_formula(subject: Subject) -> Iterator[Problem]:
    """A formula cannot be worked out.

    It may hold names of figures, numbers, `+ - * /` and brackets; it adds only figures of one
    kind, and divides by nothing that may be zero.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              fuel-usable: {nominal: 10 L, name: usable fuel, source: page 3}
              fuel-flow: {typical: 3.5 to 4 L/h, name: consumption, source: page 3}
            derived:
              endurance: {name: endurance, formula: fuel-usable / , unit: h, unsafe: high}
        content/welcome.md
            # Welcome

            The fuel lasts {endurance}.
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              fuel-usable: {nominal: 10 L, name: usable fuel, source: page 3}
              fuel-flow: {typical: 3.5 to 4 L/h, name: consumption, source: page 3}
            derived:
              endurance: {name: endurance, formula: fuel-usable / fuel-flow, unit: h, unsafe: high}
        content/welcome.md
            # Welcome

            The fuel lasts {endurance}.
    """
    for manual in subject.manuals:
        figures = subject.figures[manual.id]
        for one in manual.of(Derived).values():
            if (one.id, "") in figures:
                continue
            try:
                result = _worked_out(one, figures)
            except Malformed as problem:
                if _follows_from_another(subject, manual, one):
                    continue
                yield Problem(one.places.at("formula"), problem.message, problem.mend)
                continue
            if result.dimension == base(UNITS[one.unit])[1]:
                message = f"`{one.formula}` names a derived figure that stands after it"
                yield Problem(one.places.at("formula"), message, "name given figures alone")


def _follows_from_another(subject: Subject, manual: Manual, one: Derived) -> bool:
    """Whether a figure of the formula is missing for a fault that is reported elsewhere."""
    try:
        ids = [name.partition(".")[0] for name in names(one.formula)]
    except Malformed:
        return False
    return any(was_taken_out(subject.book, manual, id, FIGURE_KINDS) for id in ids)


@rule(Severity.ERROR, Family.FIGURES)
def formula_in_another_unit(subject: Subject) -> Iterator[Problem]:
    """What a formula gives cannot be expressed in its unit.

    The figures are the right ones in the wrong order, or the unit is wrong.

    Bad:
        procedures/facts.yaml
            document: marl-manual
            facts:
              fuel-usable: {nominal: 10 L, name: usable fuel, source: page 3}
              fuel-flow: {typical: 3.5 to 4 L/h, name: consumption, source: page 3}
            derived:
              endurance: {name: endurance, formula: fuel-flow / fuel-usable, unit: h, unsafe: high}
        content/welcome.md
            # Welcome

            The fuel lasts {endurance}.
    Good:
        procedures/facts.yaml
            document: marl-manual
            facts:
              fuel-usable: {nominal: 10 L, name: usable fuel, source: page 3}
              fuel-flow: {typical: 3.5 to 4 L/h, name: consumption, source: page 3}
            derived:
              endurance: {name: endurance, formula: fuel-usable / fuel-flow, unit: h, unsafe: high}
        content/welcome.md
            # Welcome

            The fuel lasts {endurance}.
    """
    for manual in subject.manuals:
        figures = subject.figures[manual.id]
        for one in manual.of(Derived).values():
            try:
                result = _worked_out(one, figures)
            except Malformed:
                continue
            if result.dimension != base(UNITS[one.unit])[1]:
                gives = _named(result.dimension) or "a bare number"
                message = f"`{one.formula}` gives {gives}, which is no figure in {one.unit}"
                yield Problem(one.places.at("unit"), message, "correct the formula or the unit")


def _named(dimension: tuple[tuple[str, int], ...]) -> str:
    """A dimension in words: `length^3 / time`."""
    return " · ".join(f"{name.strip('[]')}^{power}" for name, power in dimension)


def _worked_out(one: Derived, figures: Figures) -> Reach:
    def value_of(name: str) -> Reach:
        id, _, part = name.partition(".")
        if (id, part) not in figures:
            raise Malformed(
                f"`{name}` in the formula is no figure of this manual",
                "name a limit, a fact or one of their parts",
            )
        return reach(figures[id, part])

    return compute(one.formula, value_of)
