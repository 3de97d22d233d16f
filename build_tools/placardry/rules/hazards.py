"""Rules on safety messages: their place before a step, and the signal word for what can happen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from placardry.book.controls import Control
from placardry.book.pages import Page
from placardry.book.procedures import ChooseStep, ForEachStep, Hazard, HazardStep, Procedure
from placardry.finding import Family, Note, Severity
from placardry.references import references
from placardry.rules.registry import Problem, Subject, rule
from placardry.walk import leaves, per_record


@per_record
def step_lists(record: Any) -> tuple[tuple[Any, ...], ...]:
    """The lists of steps of a procedure: its own and those of its branches and repetitions."""
    lists = [record.steps] if record.steps else []
    for step in record.steps:
        if isinstance(step, ForEachStep):
            lists += step_lists(step)
        elif isinstance(step, ChooseStep):
            for branch in step.choose:
                lists += step_lists(branch)
    return tuple(lists)


@rule(Severity.ERROR, Family.PROCEDURES)
def hazard_without_step(subject: Subject) -> Iterator[Problem]:
    """A safety message is the last of its list of steps, so that it stands before no step.

    A warning that comes after the step has come too late. On a machine where the steps behind
    it do not apply it warns of nothing.

    Source: ANSI Z535.6 (from memory): the message stands before the step that it protects.

    Bad:
        procedures/hub.yaml
            procedure: check-hub
            title: Check the hub
            chapter: operation
            when: after a hard landing
            steps:
              - look: the propeller hub
                expect: {text: It has no crack.}
              - hazard: {signal: warning, hazard: The propeller can turn.,
                         consequence: It can maim you., avoid: Keep the panel switched off.}
    Good:
        procedures/hub.yaml
            procedure: check-hub
            title: Check the hub
            chapter: operation
            when: after a hard landing
            steps:
              - hazard: {signal: warning, hazard: The propeller can turn.,
                         consequence: It can maim you., avoid: Keep the panel switched off.}
              - look: the propeller hub
                expect: {text: It has no crack.}
    """
    for manual in subject.views:
        for procedure in manual.of(Procedure).values():
            for steps in step_lists(procedure):
                if isinstance(last := steps[-1], HazardStep):
                    yield Problem(
                        last.places.at("hazard", "signal"),
                        "no step follows this safety message",
                        "put it before the step that it concerns",
                    )


@rule(Severity.WARNING, Family.PROCEDURES)
def late_hazard(subject: Subject) -> Iterator[Problem]:
    """A safety message speaks of a control that only the steps before it work.

    It seems to belong before the step that works the control.

    Source: ANSI Z535.6 (from memory): the message stands before the step that it protects.

    Bad:
        procedures/panel-test.yaml
            procedure: panel-test
            title: Test the panel
            chapter: operation
            when: before each flight
            steps:
              - set: {master: on}
              - hazard: {signal: warning, hazard: "{control/master} feeds the pump.",
                         consequence: Fuel can burn you., avoid: Close the tap.}
              - look: the display
                expect: {text: It shows the main screen.}
    Good:
        procedures/panel-test.yaml
            procedure: panel-test
            title: Test the panel
            chapter: operation
            when: before each flight
            steps:
              - hazard: {signal: warning, hazard: "{control/master} feeds the pump.",
                         consequence: Fuel can burn you., avoid: Close the tap.}
              - set: {master: on}
              - look: the display
                expect: {text: It shows the main screen.}
    """
    for manual in subject.views:
        controls = manual.of(Control)
        for procedure in manual.of(Procedure).values():
            for steps in step_lists(procedure):
                for at, step in enumerate(steps):
                    if not isinstance(step, HazardStep):
                        continue
                    for name in _spoken_of(step.hazard, controls):
                        before = [one for one in steps[:at] if name in _worked(one)]
                        if before and not any(name in _worked(one) for one in steps[at:]):
                            yield Problem(
                                step.places.at("hazard", "hazard"),
                                f"`{name}` is worked before this safety message, and not after it",
                                "put the safety message before that step",
                                (Note(before[-1].places.span, f"`{name}` is worked here"),),
                            )


def _spoken_of(hazard: Hazard, controls: Any) -> list[str]:
    """The controls that the hazard itself and its consequence name."""
    said = f"{hazard.hazard} {hazard.consequence}"
    named = (one.id for one in references(said) if one.kind in (None, "control"))
    return [name for name in named if name in controls]


def _worked(step: Any) -> set[str]:
    """The controls that a step, or a step inside it, works."""
    return {
        leaf.value
        for leaf in leaves(step)
        if leaf.refers is not None and "control" in leaf.refers.kinds and "expect" not in leaf.path
    }


_DEATH = (
    r"kill|die[sd]?|death|deadly|fatal(?:ly)?|maim|lethal|drown"
    r"|tödlich|tod|töten|tötet|sterben"
)
_INJURY = (
    r"injur(?:e|es|ed|y|ies)|hurt|burn(?! (?:out|through|fuel|petrol|oil)\b)|scald|wound|crush"
    r"|cut (?:you|off|your|fingers?|hands?)|blind|deafen|poison|choke|suffocate|break (?:your|an? )"
    r"|your (?:hand|hands|arm|fingers?|eyes?|skin|head|hearing|leg|legs|face|back)"
    r"|verletz\w*|verbrenn\w*|verbrüh\w*|quetsch\w*"
)
_ENDING = r"(?:s|es|ed|ing)?"
_KILLS = re.compile(rf"\b(?:{_DEATH}){_ENDING}\b(?! (?:button|switch))", re.IGNORECASE)
_INJURES = re.compile(rf"\b(?:{_INJURY}){_ENDING}\b", re.IGNORECASE)
_DAMAGES = re.compile(
    r"\b(?:damag\w*|seiz\w*|wear\w*|worn|scratch\w*|corro\w*|warp\w*|overheat\w*|clog\w*"
    r"|strip\w*|ruin\w*|crack\w*|fail\w*|melts?|discharg\w*|beschädig\w*|verschlei\w*|fress\w*)\b",
    re.IGNORECASE,
)


@rule(Severity.WARNING, Family.PROCEDURES)
def weak_signal_word(subject: Subject) -> Iterator[Problem]:
    """A signal word is too weak for what can happen: NOTICE for an injury, CAUTION for a death.

    DANGER will and WARNING could kill or seriously injure; CAUTION could injure lightly; NOTICE
    is not about injury.

    Source: ANSI Z535.4 4.14.

    Bad:
        content/coolant.md
            # Coolant

            ```hazard
            signal: notice
            hazard: The coolant is hot and under pressure.
            consequence: It can scald you.
            avoid: Let the engine cool before you open the cap.
            ```
    Good:
        content/coolant.md
            # Coolant

            ```hazard
            signal: warning
            hazard: The coolant is hot and under pressure.
            consequence: It can scald you.
            avoid: Let the engine cool before you open the cap.
            ```
    """
    for hazard in _hazards(subject):
        kills = _KILLS.search(hazard.consequence)
        harm = kills or _INJURES.search(hazard.consequence)
        if harm is None or hazard.signal not in (("notice", "caution") if kills else ("notice",)):
            continue
        message = f"`{hazard.signal}` stands before a consequence with `{harm[0]}`"
        mend = "write `warning`" if kills else "write `warning`, or `caution` if it is minor"
        yield Problem(hazard.places.at("signal"), message, mend)


@rule(Severity.ADVICE, Family.PROCEDURES)
def strong_signal_word(subject: Subject) -> Iterator[Problem]:
    """DANGER, WARNING or CAUTION stands before damage to things alone.

    Words for injury wear out when they stand before scratches. NOTICE is the word for damage.
    In flight a damaged engine can hurt; then the consequence should say so.

    Source: ANSI Z535.4 4.14.

    Bad:
        content/coolant.md
            # Coolant

            ```hazard
            signal: danger
            hazard: Tap water is hard.
            consequence: It damages the radiator.
            avoid: Use distilled water.
            ```
    Good:
        content/coolant.md
            # Coolant

            ```hazard
            signal: notice
            hazard: Tap water is hard.
            consequence: It damages the radiator.
            avoid: Use distilled water.
            ```
    """
    for hazard in _hazards(subject):
        said = hazard.consequence
        if hazard.signal == "notice" or _KILLS.search(said) or _INJURES.search(said):
            continue
        if damage := _DAMAGES.search(said):
            message = f"`{hazard.signal}` stands before damage alone (`{damage[0]}`)"
            mend = "write `notice`, or say how it can injure"
            yield Problem(hazard.places.at("signal"), message, mend)


def _hazards(subject: Subject) -> Iterator[Hazard]:
    """Every safety message of the book, in its own language."""
    for statements in subject.book.of(Procedure).values():
        for procedure in statements:
            for steps in step_lists(procedure):
                yield from (step.hazard for step in steps if isinstance(step, HazardStep))
    for pages in subject.book.of(Page).values():
        for page in pages:
            if page.language is None:
                yield from (one.hazard for one in page.passages if one.hazard is not None)
