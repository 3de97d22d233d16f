"""Rules on readings and conditions in a run: where they cannot be, or cannot be believed."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.runs import met
from placardry.rules.where import on_machines
from placardry.runs import What


@rule(Severity.ERROR, Family.PROCEDURES)
def condition_out_of_reach(subject: Subject) -> Iterator[Problem]:
    """A step brings the machine into a condition that the engine's state excludes.

    Levers can be moved there, but an engine that stands does not come to speed.

    Source: common practice, no source.

    Bad:
        procedures/conditions.yaml
            conditions:
              test-speed: {short: at the test speed, engine: running, engine-speed: 4500 rpm}
        procedures/check.yaml
            procedure: check-speed
            title: Check the speed
            chapter: operation
            when: before each flight
            begins: {engine: stopped}
            steps:
              - bring: test-speed
    Good:
        procedures/conditions.yaml
            conditions:
              test-speed: {short: at the test speed, engine: running, engine-speed: 4500 rpm}
        procedures/check.yaml
            procedure: check-speed
            title: Check the speed
            chapter: operation
            when: before each flight
            begins: {engine: running}
            ends: {engine: running}
            hands-over: The engine runs at the test speed.
            steps:
              - bring: test-speed
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.name}` cannot be brought about, because the engine is {one.found}",
                f"bring the engine to `{one.wanted}` before this step, or move the step",
                one.related,
            ),
        )
        for manual, one in met(subject, What.OUT_OF_REACH)
    )


@rule(Severity.WARNING, Family.PROCEDURES)
def untrue_reading(subject: Subject) -> Iterator[Problem]:
    """A step reads an instrument in a state in which it does not read true.

    The owner compares a figure that means nothing with a limit that does. A difference of two
    readings of one instrument is let pass, for its error falls out of it.

    Source: common practice, no source.

    Bad:
        procedures/conditions.yaml
            conditions:
              at-rest: {short: with the engine stopped, engine: stopped}
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature, reads-true-when: at-rest}
            screens: {main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}}
        procedures/check.yaml
            procedure: check-heat
            title: Check the coolant
            chapter: operation
            when: before each flight
            begins: {engine: running}
            ends: {engine: running}
            hands-over: The engine runs.
            steps:
              - read: wren/coolant
                expect: {limit: coolant.green}
    Good:
        procedures/conditions.yaml
            conditions:
              at-rest: {short: with the engine stopped, engine: stopped}
        procedures/instrument.yaml
            document: marl-manual
            instrument: wren
            name: Wren display
            home: main
            source: page 2
            channels:
              coolant: {parameter: coolant-temperature, reads-true-when: at-rest}
            screens: {main: {title: Main screen, fields: [{channel: coolant, label: WATER}]}}
        procedures/check.yaml
            procedure: check-heat
            title: Check the coolant
            chapter: operation
            when: before each flight
            begins: {engine: stopped}
            steps:
              - read: wren/coolant
                expect: {limit: coolant.green}
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.name}` reads true only {one.subject}, and here {one.found}",
                "read it in another state, or correct where it reads true",
                one.related,
            ),
        )
        for manual, one in met(subject, What.UNTRUE)
    )


@rule(Severity.ERROR, Family.PROCEDURES)
def response_outside_limit(subject: Subject) -> Iterator[Problem]:
    """A step expects a limit that does not hold in its state, or that the state cannot keep.

    The steps before it have brought the machine to another speed or another state than the
    limit is for. A limit may be asked for ahead of its condition, if a later step brings it.

    Source: common practice, no source.

    Bad:
        procedures/conditions.yaml
            conditions:
              fast: {short: at high speed, engine: running, engine-speed: above 7800 rpm}
        procedures/check.yaml
            procedure: check-speed
            title: Check the speed
            chapter: operation
            when: before each flight
            begins: {engine: running}
            ends: {engine: running}
            hands-over: The engine runs.
            steps:
              - bring: fast
              - read: wren/speed
                expect: {limit: engine-speed-maximum}
    Good:
        procedures/conditions.yaml
            conditions:
              fast: {short: at high speed, engine: running, engine-speed: above 7000 rpm}
        procedures/check.yaml
            procedure: check-speed
            title: Check the speed
            chapter: operation
            when: before each flight
            begins: {engine: running}
            ends: {engine: running}
            hands-over: The engine runs.
            steps:
              - bring: fast
              - read: wren/speed
                expect: {limit: engine-speed-maximum}
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.name}` {one.subject}, and here {one.found}",
                "expect the limit of this state, or bring the machine into the limit's state",
                one.related,
            ),
        )
        for manual, one in met(subject, What.OUTSIDE)
    )
