"""Records that hold figures: parameters, limits, scales, facts, formulas, examples, quotations."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Literal

from placardry.book.measures import Step, UnitName
from placardry.book.record import ConditionId, FigureId, ParameterId, Part, Record, Text, record
from placardry.book.sources import Source
from placardry.errors import Malformed
from placardry.finding import light
from placardry.interval import Interval, Nominal
from placardry.quantity import Quantity

COLOURS = ("green", "yellow", "red", "avoid")


@record
class Battery(Part):
    """What a battery is made of, so that its voltages can be judged.

    Attributes:
        chemistry: what its cells are of
        cells: how many of them are in series
    """

    chemistry: Literal[
        "lead-acid",
        "lithium-ion",
        "lithium-iron-phosphate",
        "nickel-metal-hydride",
        "alkaline",
    ]
    cells: int


@record
class Parameter(Record):
    """A measured quantity.

    Attributes:
        name: its name in a sentence, such as "coolant temperature"
        short: the name that fits a card or a gauge
        units: the units it is shown in, each with its display step
        plausible: no reading or limit lies outside
        battery: for the voltage of a battery, what that battery is
        about: what the reading means to the owner
    """

    name: Text
    short: Text | None = None
    units: Mapping[UnitName, Step]
    plausible: Interval | None = None
    battery: Battery | None = None
    about: Text | None = None


@record
class Statement(Record):
    """A record that states one figure, under exactly one of the keys that name its kind.

    Attributes:
        maximum: not above
        minimum: not below
        range: stay inside
        avoid: do not stay inside
        drop: the difference by which the reading falls
        rise: the difference by which the reading climbs
        nominal: the aimed value, with a tolerance if it has one (`25 ± 2 N·m`)
        typical: what is usually seen
    """

    maximum: Quantity | None = None
    minimum: Quantity | None = None
    range: Interval | None = None
    avoid: Interval | None = None
    drop: Interval | None = None
    rise: Interval | None = None
    nominal: Nominal | None = None
    typical: Interval | None = None
    parameter: ParameterId | None = None
    source: Source | None = None
    name: Text | None = None
    note: Text | None = None


FIGURE_KEYS = ("maximum", "minimum", "range", "avoid", "drop", "rise", "nominal", "typical")


@record
class Limit(Statement):
    """A statement on a parameter that an owner must keep to.

    Attributes:
        condition: the named conditions under which it holds, all at once
        within: the time for which it is allowed at a stretch
        exceeded: what to do when it is not kept
    """

    parameter: ParameterId
    condition: tuple[ConditionId, ...] = ()
    within: Quantity | None = None
    exceeded: Text | None = None


@record
class Fact(Statement):
    """A given figure that is no limit: a capacity, a fuse, a wait, a torque, the length of a press.

    Attributes:
        condition: the named conditions under which it holds, all at once
    """

    condition: tuple[ConditionId, ...] = ()


@light
class Band:
    """One colour of a scale, from a cut point up to the next; the first may lack its start.

    Shape: `green from 63 degC`, or `red` alone as the first of a list.
    """

    colour: Literal["green", "yellow", "red", "avoid"]
    start: Quantity | None

    SCHEMA_PATTERN = r"^(green|yellow|red|avoid)( from .+)?$"
    EXAMPLES = ("green from 63 degC", "red")

    @classmethod
    def parse(cls, text: str) -> Band:
        """Read a band.

        Raises:
            Malformed: the text is not a colour, or not followed by `from` and a figure.
        """
        colour, _, rest = text.partition(" from ")
        colour = colour.strip()
        if colour not in COLOURS:
            comma = "a decimal point for a comma, or " if colour[:1].isdigit() else ""
            raise Malformed(
                f"`{text}` is not a band",
                f"write {comma}a colour (green, yellow, red or avoid), `from` and the figure where "
                "it begins, such as `yellow from 82 degC`",
            )
        return cls(colour, Quantity.parse(rest.strip()) if rest else None)  # type: ignore[arg-type]

    def __str__(self) -> str:
        return f"{self.colour} from {self.start}" if self.start else self.colour


@record
class Scale(Record):
    """The bands of a parameter as one rising list of cut points.

    Attributes:
        bands: each colour with the figure where it begins, lowest first
        condition: the named conditions under which it holds, all at once
        exceeded: what to do when the reading is in the red
    """

    parameter: ParameterId
    bands: tuple[Band, ...]
    condition: tuple[ConditionId, ...] = ()
    exceeded: Text | None = None
    source: Source | None = None
    name: Text | None = None
    note: Text | None = None


@record
class Derived(Record):
    """A figure worked out from others, such as endurance from capacity and consumption.

    Attributes:
        formula: ids, numbers, `+ - * /` and brackets, such as `fuel-usable / fuel-flow`
        unit: the unit of the result
        unsafe: the side on which a wrong figure would hurt; the other end is published
    """

    name: Text
    formula: str
    unit: UnitName
    unsafe: Literal["high", "low"]
    parameter: ParameterId | None = None
    note: Text | None = None


@record
class Example(Record):
    """A sample reading for prose, checked to lie in what it illustrates.

    Attributes:
        reading: the reading itself
        of: the figure or band in which it lies
    """

    reading: Quantity
    of: FigureId
    parameter: ParameterId | None = None


@record
class Quotation(Record):
    """Somebody's own words, printed verbatim and never converted.

    Attributes:
        words: the words, as on the placard or in the document
    """

    words: str
    source: Source | None = None


@record
class Acceptance(Part):
    """A warning that the publisher lives with at one place, for a reason and a time.

    Attributes:
        rule: the rule whose warning is accepted
        at: the file, or the `kind/id` of the record, where it stands
        until: the last day on which it is accepted
    """

    rule: str
    at: str
    reason: str
    until: date
