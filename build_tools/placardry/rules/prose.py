"""Rules on how things are said: expected responses, signal words, the length of sentences."""

from __future__ import annotations

import re
from collections.abc import Iterator

from placardry.book.pages import Page
from placardry.book.procedures import Expect, Procedure
from placardry.book.sources import Document
from placardry.finding import Family, Severity
from placardry.recognise import quantities
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.texts import BLANK, Written, bared, blanked

_SAYS_NOTHING = re.compile(
    r"(?:it is |it's |all |they are )?(?:checked|check|set|ok|okay|done|verified|confirmed|tested"
    r"|as required|as necessary|completed?|geprüft|gesetzt|eingestellt|erledigt|in ordnung"
    r"|wie erforderlich)[.!]?",
    re.IGNORECASE,
)


@rule(Severity.WARNING, Family.PROSE)
def response_without_state(subject: Subject) -> Iterator[Problem]:
    """The expected response of a step is "checked" or "set", not what is to be seen.

    Who answers "checked" has said that they looked, not what they saw. The wanted value or
    position makes them look for it.

    Source: Degani and Wiener (1993), Cockpit checklists: concepts, design, and use.

    Bad:
        procedures/look.yaml
            procedure: look-over
            title: Look the machine over
            chapter: operation
            when: before each flight
            steps:
              - look: the fuel tap
                expect: {text: Checked.}
    Good:
        procedures/look.yaml
            procedure: look-over
            title: Look the machine over
            chapter: operation
            when: before each flight
            steps:
              - look: the fuel tap
                expect: {text: Its handle points along the hose.}
    """
    for text in subject.texts:
        if isinstance(text.leaf.holder, Expect) and _SAYS_NOTHING.fullmatch(text.text.strip()):
            message = f"`{text.text.strip()}` does not say what is to be seen"
            mend = "write the position, the value or the state that is right"
            yield Problem(text.leaf.span, message, mend)


_SIGNAL = re.compile(
    r"(?<!\w)(?:DANGER|WARNING|CAUTION|NOTICE|GEFAHR|WARNUNG|VORSICHT|ACHTUNG|HINWEIS)\**\s?[:!]"
    r"|(?im:(?<=^)[#*_ -]*(?:danger|warning|caution|notice|gefahr|warnung|vorsicht|achtung)\**[:!])"
)


@rule(Severity.WARNING, Family.PROSE)
def typed_signal_word(subject: Subject) -> Iterator[Problem]:
    """A signal word such as "WARNING:" is typed into words.

    A safety message has a signal word from the fixed list of its language, and says the hazard,
    the consequence and how to avoid it. Typed into words it lacks these parts, is not translated
    from the list, and a second scheme of signal words creeps in.

    Source: ANSI Z535.6 (three parts); ISO 3864-2 and ASD-STE100 issue 9 rule 7.1, seen as
    summaries (a fixed list, one scheme).

    Bad:
        content/propeller.md
            # Propeller

            **WARNING:** The propeller turns.
    Good:
        content/propeller.md
            # Propeller

            ```hazard
            signal: warning
            hazard: The propeller turns.
            consequence: It can kill or maim.
            avoid: Keep clear of it.
            ```
    """
    for text in subject.texts:
        if not (":" in text.text or "!" in text.text) or _is_quoted(text) or text.is_translation:
            continue
        for match in _SIGNAL.finditer(text.text):
            start = match.start() + len(match[0]) - len(match[0].lstrip("#*_ -"))
            word = match[0].strip("#*_ -:!")
            block = "a block ```hazard" if text.is_markdown else "a step `hazard:`"
            yield Problem(
                text.span(start, match.end()),
                f"the signal word `{word}` is typed by hand",
                f"write {block} with `signal`, `hazard`, `consequence` and `avoid`",
            )


def _is_quoted(text: Written) -> bool:
    return isinstance(text.owner, Document) or bool(getattr(text.leaf.holder, "quotation", False))


_MOST_IN_STEP, _MOST_IN_PROSE = 20, 25
_COMMANDS = ("do", "look", "wait-until", "avoid", "text")
_END = re.compile(
    r"(?<=[.!?:;])[\"”’')*_]*\s+|\n\s*\n|\n(?=\s*(?:[-*+]|\d+[.)]|#+)\s)|[()|]|\n(?=\|)"
)
_WORD = re.compile(rf"[^\W_]+(?:[-'’./·][^\W_]+)*|{BLANK}+")


@rule(Severity.ADVICE, Family.PROSE)
def long_sentence(subject: Subject) -> Iterator[Problem]:
    """A sentence is longer than people can follow in one go: 20 words in a step, 25 in prose.

    Counted as the source does: a hyphenated word once; a figure with its unit or a reference
    once (from memory); what stands in brackets as a sentence of its own (from memory).

    Source: ASD-STE100 issue 9, seen as a summary.

    Bad:
        content/warming-up.md
            # Warming up

            Let the engine idle on the ground with the brake set and the stick held back until
            the coolant is warm and the needle of the gauge has stopped rising for a while.
    Good:
        content/warming-up.md
            # Warming up

            Let the engine idle on the ground with the brake set. Hold the stick back. Wait until
            the coolant is warm.
    """
    for text in subject.texts:
        words = len(text.text.split())
        if words <= _MOST_IN_STEP or not text.language.startswith("en"):
            continue
        if text.is_translation or _is_quoted(text):
            continue
        in_step = isinstance(text.owner, Procedure) and "steps" in text.leaf.path
        is_command = in_step and text.leaf.path[-1] in _COMMANDS
        most = _MOST_IN_STEP if is_command else _MOST_IN_PROSE
        if words <= most:
            continue
        for start, end, count in sentences(text.text):
            if count > most:
                yield Problem(
                    text.span(start, end),
                    f"this sentence has {count} words, and at most {most} are easy to follow",
                    "make two sentences of it",
                )


_MOST_IN_PARAGRAPH = 6
_SENTENCE_END = re.compile(r"[.!?][\"”’')*_]*(?=\s|$)")
_NO_PARAGRAPH = re.compile(r"\s*(?:[-*+|#>]|\d+[.)])")


@rule(Severity.ADVICE, Family.PROSE)
def long_paragraph(subject: Subject) -> Iterator[Problem]:
    """A paragraph of prose has more than six sentences.

    Nobody finds a place again in it, least of all on a phone.

    Source: ASD-STE100 issue 9, section 6, seen as a summary.

    Bad:
        content/coolant.md
            # Coolant

            The engine is cooled by water. A pump moves it. The radiator hangs behind you. The
            cap holds the pressure. The hose is of rubber. The tank has a mark. It may not freeze.
    Good:
        content/coolant.md
            # Coolant

            The engine is cooled by water. A pump moves it. The radiator hangs behind you. The
            cap holds the pressure.

            The hose is of rubber. The tank has a mark. It may not freeze.
    """
    for text in subject.texts:
        if not isinstance(text.owner, Page) or text.is_translation or _is_quoted(text):
            continue
        start = 0
        for paragraph in re.split(r"(\n\s*\n)", text.text):
            count = len(_SENTENCE_END.findall(bared(paragraph)))
            if count > _MOST_IN_PARAGRAPH and not _NO_PARAGRAPH.match(paragraph):
                margin = len(paragraph) - len(paragraph.lstrip())
                yield Problem(
                    text.span(start + margin, start + len(paragraph.rstrip())),
                    f"this paragraph has {count} sentences, and at most six are easy to follow",
                    "put a blank line where the subject changes",
                )
            start += len(paragraph)


_AND_THEN = re.compile(r";|\b(?:and then|und dann)\b")


@rule(Severity.ADVICE, Family.PROSE)
def two_instructions(subject: Subject) -> Iterator[Problem]:
    """A step tells of two acts, one after the other.

    The second one is forgotten, or done before the first has had its effect.

    Source: ASD-STE100 issue 9, section 5, seen as a summary (one instruction a sentence).

    Bad:
        procedures/cap.yaml
            procedure: cap
            title: Open the header tank
            chapter: operation
            when: when the tank is to be filled
            steps:
              - do: Turn the cap to its stop and then lift it.
    Good:
        procedures/cap.yaml
            procedure: cap
            title: Open the header tank
            chapter: operation
            when: when the tank is to be filled
            steps:
              - do: Turn the cap to its stop.
              - do: Lift it.
    """
    for text in subject.texts:
        if isinstance(text.owner, Procedure) and text.leaf.path[-1] == "do":
            for match in _AND_THEN.finditer(bared(text.text)):
                message = f"`{match[0]}` begins a second instruction in this step"
                yield Problem(text.span(*match.span()), message, "make a step of each")


def sentences(text: str) -> Iterator[tuple[int, int, int]]:
    """Each sentence's start, end and count of words."""
    words = blanked(bare := bared(text), ((one.start, one.end) for one in quantities(bare)))
    start = 0
    for stop in (*(match.span() for match in _END.finditer(words)), (len(words), len(words))):
        piece = words[start : stop[0]]
        count = len(_WORD.findall(piece))
        if count:
            margin = len(piece) - len(piece.lstrip())
            yield start + margin, start + len(piece.rstrip()), count
        start = stop[1]
