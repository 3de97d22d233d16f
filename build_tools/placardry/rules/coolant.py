"""Rules on the coolant of liquid-cooled engines: where it boils."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.figures import Figure
from placardry.finding import Family, Note, Severity, light
from placardry.quantity import Quantity
from placardry.references import references
from placardry.resolve import Manual
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.statements import figure_of
from placardry.stated import Figures
from placardry.units import UNITS, Unit
from placardry.walk import texts
from placardry.water import air_pressure, boiling_point


@light
class Boiling:
    """The coolant maximum of a machine, and where plain water boils at its service ceiling.

    Units: `most`, `bare` and `capped` in degrees Celsius; `capped` is None without a cap pressure.
    """

    hottest: Figure
    ceiling: Figure
    cap: Figure | None
    most: float
    bare: float
    capped: float | None

    @property
    def words(self) -> str:
        """What the maximum is, and at which height it is looked at, for a message."""
        return (
            f"`{self.hottest.anchor}` is {_highest(self.hottest)}; at the service ceiling of "
            f"{_highest(self.ceiling)} plain water boils at"
        )

    @property
    def notes(self) -> tuple[Note, ...]:
        """Where the service ceiling and the cap pressure stand."""
        notes = (Note(self.ceiling.span, "the service ceiling"),)
        return notes if self.cap is None else (*notes, Note(self.cap.span, "the cap pressure"))


def boiling(manual: Manual, figures: Figures) -> Boiling | None:
    """What can be compared on this machine; None where a figure is missing or absurd."""
    engine, ceiling_id = manual.engine, manual.machine.service_ceiling
    if engine.coolant_maximum is None or ceiling_id is None:
        return None
    hottest = figure_of(manual, figures, engine.coolant_maximum)
    ceiling = figure_of(manual, figures, ceiling_id)
    cap = figure_of(manual, figures, engine.cap_pressure) if engine.cap_pressure else None
    if hottest is None or ceiling is None:
        return None
    most = _in("degC", _highest(hottest))
    metres = _in("m", _highest(ceiling))
    above_air = _in("kPa(g)", _lowest(cap)) if cap is not None else None
    if most is None or metres is None:
        return None  # reported by the rule on figures of another kind
    try:
        air = air_pressure(metres)
        capped = None if above_air is None else boiling_point(air + above_air * 1000)
        return Boiling(hottest, ceiling, cap, most, boiling_point(air), capped)
    except ValueError:
        return None  # nobody flies there; the plausible span of an altitude is to see to it


def _highest(figure: Figure) -> Quantity:
    return figure.exact.high or figure.exact.written


def _lowest(figure: Figure) -> Quantity:
    return figure.exact.low or figure.exact.written


def _in(symbol: str, quantity: Quantity) -> float | None:
    unit: Unit = UNITS[symbol]
    return float(quantity.to(unit).value) if quantity.unit.mixes(unit) else None


@rule(Severity.ADVICE, Family.PHYSICS)
def coolant_boils(subject: Subject) -> Iterator[Problem]:
    """The coolant may get as hot as plain water boils at the service ceiling.

    The air gets thinner with height, so a limit that is fixed loses its margin; the pressure of
    a cap gives some of it back. The basis is plain water: antifreeze lets it boil some degrees
    hotter, which its maker states.

    Source: IAPWS R7-97(2012) equation 31, over US Standard Atmosphere 1976 (as ISO 2533:1975).

    Bad:
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1, coolant-maximum: coolant.red}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel,
                     service-ceiling: ceiling}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        procedures/facts.yaml
            document: marl-manual
            facts:
              ceiling: {maximum: 4500 m, name: service ceiling, source: page 2}
    Good:
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1, coolant-maximum: coolant.red}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel,
                     service-ceiling: ceiling}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        procedures/facts.yaml
            document: marl-manual
            facts:
              ceiling: {maximum: 2500 m, name: service ceiling, source: page 2}
    """
    for manual in subject.manuals:
        found = boiling(manual, subject.figures[manual.id])
        if found is None:
            continue
        boils = found.bare if found.capped is None else found.capped
        if found.most >= boils:
            how = "" if found.cap is None else f" under the {_lowest(found.cap)} of the cap"
            message = f"{found.words} {boils:.1f} degC{how}"
            mend = "compare both with the boiling point of your coolant, and lower one of them"
            yield Problem(found.hottest.span, message, mend, found.notes)


@rule(Severity.ADVICE, Family.PHYSICS)
def coolant_held_by_cap(subject: Subject) -> Iterator[Problem]:
    """Only the pressure of the cap keeps coolant at its maximum from boiling, and nobody is told.

    With a cap that leaks, or that somebody opens, plain water boils at the service ceiling
    before the reading gets to the red. The basis is plain water: antifreeze lets it boil some
    degrees hotter, which its maker states. A text of the limit that refers to the cap pressure
    tells the owner.

    Source: IAPWS R7-97(2012) equation 31, over US Standard Atmosphere 1976 (as ISO 2533:1975).

    Bad:
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1, coolant-maximum: coolant.red, cap-pressure: cap}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel,
                     service-ceiling: ceiling}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        procedures/facts.yaml
            document: marl-manual
            facts:
              ceiling: {maximum: 4500 m, name: service ceiling, source: page 2}
              cap: {nominal: 1.1 bar(g), name: cap pressure, source: page 2}
    Good:
        procedures/machines.yaml
            engines:
              marl: {name: Marl, cooling: liquid, starting: electric, ignition-circuits: 1,
                     pulses-per-revolution: 1, coolant-maximum: coolant.red, cap-pressure: cap}
            airframes:
              frame: {name: Frame, kind: wheeled, seats: 1}
            machines:
              tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel,
                     service-ceiling: ceiling}
            markets:
              eu: {name: Europe, units: [degC, m], rules: Ask your national authority.}
            manuals:
              tern-eu: {machine: tern, market: eu, language: en}
        procedures/facts.yaml
            document: marl-manual
            facts:
              ceiling: {maximum: 2500 m, name: service ceiling, source: page 2}
              cap: {nominal: 1.1 bar(g), name: cap pressure, source: page 2}
    """
    for manual in subject.manuals:
        found = boiling(manual, subject.figures[manual.id])
        if found is None or found.cap is None or found.capped is None:
            continue
        told = {
            reference.id
            for leaf in texts(found.hottest.record)
            for reference in references(leaf.value)
        }
        if found.bare <= found.most < found.capped and found.cap.id not in told:
            message = f"{found.words} {found.bare:.1f} degC without the pressure of the cap, and "
            message += f"at {found.capped:.1f} degC with it"
            mend = f"say under `exceeded:` that the cap must hold its {{{found.cap.anchor}}}"
            yield Problem(found.hottest.span, message, mend, found.notes)
