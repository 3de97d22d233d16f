"""Machines and what they are put together from; markets and manuals."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Literal

from placardry.book.measures import UnitName
from placardry.book.record import (
    AnyAirframe,
    AnyEngine,
    AnyMachine,
    AnyMarket,
    AnyOption,
    FigureId,
    Record,
    Text,
    record,
    refers,
)

OptionStatus = Literal["fitted", "supplied-loose", "kit", "announced"]


@record
class Engine(Record):
    """An engine as its maker sells it.

    Attributes:
        pulses_per_revolution: ignition pulses that a speed display must count for one turn
        coolant_maximum: of a liquid-cooled engine, the figure that the coolant must not exceed
        cap_pressure: the gauge pressure that the cap of its cooling system holds
    """

    name: Text
    cooling: Literal["air", "liquid"]
    starting: Literal["recoil", "electric", "recoil-and-electric"]
    ignition_circuits: int
    pulses_per_revolution: int
    coolant_maximum: FigureId | None = None
    cap_pressure: FigureId | None = None
    about: Text | None = None


@record
class Airframe(Record):
    """What carries the engine: a harness frame or a wheeled frame."""

    name: Text
    kind: Literal["foot-launched", "wheeled"]
    seats: int
    about: Text | None = None


@record
class Option(Record):
    """Equipment that a machine may have.

    Attributes:
        look_again: for an announced option, the day on which to look whether it has come
        notice: the one note that an owner sees while it is only a kit or announced
    """

    name: Text
    about: Text | None = None
    notice: Text | None = None
    look_again: date | None = None


@record
class Machine(Record):
    """A declared configuration of a model: engine, airframe, panel, options.

    Attributes:
        model: the model's name as sold
        serials: the serial numbers that it covers, as printed on the data plate
        options: the state of every option that exists for it
        service_ceiling: the highest altitude that it is meant for
    """

    name: Text
    model: Text
    airframe: AnyAirframe
    engine: AnyEngine
    panel: Annotated[str, refers("panel", closed=False)]
    options: Mapping[AnyOption, OptionStatus] | None = None
    serials: Text | None = None
    service_ceiling: FigureId | None = None
    about: Text | None = None


@record
class Market(Record):
    """A place of sale: the units its owners think in, in order, and whose rules they fly by.

    Attributes:
        units: for each kind of quantity the first unit listed is printed first
        rules: who regulates, and that the owner must ask them
    """

    name: Text
    units: tuple[UnitName, ...]
    rules: Text


@record
class ManualEntry(Record):
    """A manual to be published: one machine for one market in one language."""

    machine: AnyMachine
    market: AnyMarket
    language: str
    title: Text | None = None
