"""Rules on what a run makes dangerous: a propeller that starts, a control left live."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.finding import Family, Severity
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.runs import met
from placardry.rules.where import on_machines
from placardry.runs import What


@rule(Severity.WARNING, Family.PROCEDURES)
def control_left_live(subject: Subject) -> Iterator[Problem]:
    """A procedure leaves a switch or tap that feeds others on, and does not say so.

    A live ignition lets a turned propeller fire; a forgotten master switch empties the battery.
    `ends:` names the control, or `hands-over:` says what the owner is left with.

    Source: common practice, no source.

    Bad:
        procedures/controls.yaml
            controls:
              master:
                name: master switch
                label: MASTER
                kind: switch
                rests: off
                positions:
                  off: {label: "OFF", does: Cuts the panel.}
                  on: {label: "ON", does: Feeds the panel.}
              light:
                name: light button
                kind: button
                needs: {master: on}
                gestures: {press: {does: Switches the light on.}}
        procedures/use-light.yaml
            procedure: use-light
            title: Use the light
            chapter: operation
            when: in the dusk
            steps: [{set: {master: on}}, {press: light}]
    Good:
        procedures/controls.yaml
            controls:
              master:
                name: master switch
                label: MASTER
                kind: switch
                rests: off
                positions:
                  off: {label: "OFF", does: Cuts the panel.}
                  on: {label: "ON", does: Feeds the panel.}
              light:
                name: light button
                kind: button
                needs: {master: on}
                gestures: {press: {does: Switches the light on.}}
        procedures/use-light.yaml
            procedure: use-light
            title: Use the light
            chapter: operation
            when: in the dusk
            hands-over: The light shines, and the master switch is on.
            steps: [{set: {master: on}}, {press: light}]
    """
    yield from on_machines(
        (
            manual,
            Problem(
                one.span,
                f"`{one.subject}` leaves `{one.name}` at {one.found} and does not say so",
                f"set `{one.name}` to `{one.wanted}` at the end, or say it under `ends:` or "
                "`hands-over:`",
                one.related,
            ),
        )
        for manual, one in met(subject, What.LEFT)
        if one.name != "engine"
    )


@rule(Severity.WARNING, Family.PROCEDURES)
def start_without_message(subject: Subject) -> Iterator[Problem]:
    """A step starts the engine, and no safety message about the propeller stands before it.

    It may stand in the procedure itself or, where that belongs to sequences, in those before it
    in every one of them. Nobody reads a message in an emergency, so none is asked for there.

    Source: ANSI Z535.6 (from memory): the message stands before the step that it protects.

    Bad:
        procedures/start.yaml
            controls:
              starter:
                name: start button
                kind: button
                gestures: {hold: {does: Turns the engine., sets: {engine: running}}}
        procedures/run-up.yaml
            procedure: run-up
            title: Start the engine
            chapter: operation
            when: before each flight
            begins: {engine: stopped}
            ends: {engine: running}
            hands-over: The engine idles. Stay clear of the propeller.
            steps: [{hold: starter}]
    Good:
        procedures/start.yaml
            controls:
              starter:
                name: start button
                kind: button
                gestures: {hold: {does: Turns the engine., sets: {engine: running}}}
        procedures/run-up.yaml
            procedure: run-up
            title: Start the engine
            chapter: operation
            when: before each flight
            begins: {engine: stopped}
            ends: {engine: running}
            hands-over: The engine idles. Stay clear of the propeller.
            steps:
              - hazard: {signal: warning, hazard: The propeller starts to turn.,
                         consequence: It can kill or maim., avoid: Keep everyone clear.}
              - hold: starter
    """
    for _, one in met(subject, What.UNWARNED):
        yield Problem(
            one.span,
            f"`{one.name}` starts the engine with no safety message about the propeller before it",
            "add a `hazard:` with `signal: warning` before this step",
            one.related,
        )
