"""What is said of the figures in texts published elsewhere: the rules, the findings, the JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator

from placardry.audit.texts import Judged
from placardry.audit.texts_meant import Verdict
from placardry.audit.texts_reading import Running
from placardry.errors import Malformed
from placardry.finding import Family, Finding, Rule, Severity, Span

RULES = {
    Verdict.CONTRADICTS: Rule(
        "published-figure-contradicts",
        Severity.ERROR,
        Family.EDITIONS,
        """A text published elsewhere names a figure of the machine and gives another value.

        An owner who watched the film believes the film. The words around the value name one
        figure (its name, its colour, its condition), and no figure so named has this value.

        Source: common practice, no source.
        """,
    ),
    Verdict.STALE: Rule(
        "published-figure-stale",
        Severity.ERROR,
        Family.EDITIONS,
        """A text published elsewhere gives a value that held in an earlier edition only.

        It was right when it was published. Owners who find it later cannot know that it changed.

        Source: common practice, no source.
        """,
    ),
    Verdict.UNKNOWN: Rule(
        "published-figure-unknown",
        Severity.ADVICE,
        Family.EDITIONS,
        """A text published elsewhere gives a value that the machine's figures do not explain.

        It may be a sample reading, another machine, or a figure that nobody will correct there
        when the book changes. A person has to look.

        Source: common practice, no source.
        """,
    ),
}


UNREAD = Rule(
    "published-text-unread",
    Severity.ERROR,
    Family.EDITIONS,
    """A text published elsewhere could not be read, so that nothing in it was judged.

    A picture of a text, a film itself or a word processor's file holds no text to read.

    Source: common practice, no source.
    """,
)
BROKEN = Rule(
    "cue-without-time",
    Severity.WARNING,
    Family.EDITIONS,
    """The timing of a cue is none, so that players drop its words.

    Its words are judged all the same.

    Source: W3C, WebVTT: The Web Video Text Tracks Format, section 4.1 (file structure).
    """,
)


def unread(path: str, fault: Malformed) -> Finding:
    """That a file could not be read."""
    return Finding(UNREAD, Span(path, 1, 1, 1, 1), fault.message, fault.mend)


def broken(text: Running) -> Iterator[Finding]:
    """The cues of a text whose timing cannot be read."""
    for line in text.broken:
        said = text.lines[line - 1]
        span = Span(text.path, line, 1, line, len(said) + 1)
        message = f"`{said.strip()}` is no timing of a cue"
        yield Finding(BROKEN, span, message, "write it as `00:01:02.000 --> 00:01:04.000`")


def findings(judged: Iterable[Judged]) -> Iterator[Finding]:
    """What is to be said of the figures that are not current."""
    for one in judged:
        if one.verdict is Verdict.CURRENT:
            continue
        where = f"at {one.place.label} " if one.place.label else ""
        says = f"{where}“{_around(one)}” says `{one.text}`"
        span = Span(one.path, one.place.line, one.columns[0], one.place.line, one.columns[1])
        mend = f"say {one.expected} there, or "
        if one.verdict is Verdict.UNKNOWN:
            message, mend = f"{says}, {_unknown(one)}", _ANOTHER if one.machine else _LOOK
        elif one.verdict is Verdict.STALE:
            since = f"since edition {one.since} it is" if one.since else "the book now says"
            message = f"{says}, as `{one.figure}` was in edition {one.edition}; {since} "
            message, mend = message + one.expected, mend + "withdraw the text"
        elif one.meant and one.meant.turned:
            kind = one.meant.entry["kind"]
            message = f"{says} with “{one.meant.turned}”, but `{one.figure}` is a {kind}"
            mend = f"say there that {one.expected} is a {kind}"
        else:
            message = f"{says}, but `{one.figure}` is {one.expected}"
            mend += "name what else is meant"
        if one.by and one.figure:
            message += f" (known by {', '.join(f'“{word}”' for word in one.by[:4])})"
        yield Finding(RULES[one.verdict], span, message, mend)


_LOOK = "compare it with the manual, and name the figure beside the value"
_ANOTHER = "judge it with `--machine` and the id of that machine"


def _unknown(one: Judged) -> str:
    if one.machine:
        return f"but of another machine (“{one.machine}”)"
    if one.meant and one.meant.others:
        return f"which may be any of {', '.join(f'`{name}`' for name in one.meant.others)}"
    if one.figure:
        return f"which may be a reading of `{one.figure}`, {one.expected}"
    return "which is no figure that can be told"


_MOST = 70  # letters of a sentence that is shown


def _around(one: Judged) -> str:
    """The sentence around the quantity, cut to what stands near it."""
    text = one.around
    if len(text) <= _MOST:
        return text
    at = max(text.find(one.text), 0)
    start = max(min(at - (_MOST - len(one.text)) // 2, len(text) - _MOST), 0)
    cut = text[start : start + _MOST]
    return f"{'…' if start else ''}{cut}{'…' if start + _MOST < len(text) else ''}"


def summary(judged: Iterable[Judged], texts: int, bare: int = 0) -> str:
    """How many quantities there are, by verdict, and how many numbers had no unit."""
    counts = Counter(one.verdict for one in judged)
    told = ", ".join(f"{counts[verdict]} {verdict}" for verdict in Verdict if counts[verdict])
    count = sum(counts.values())
    quantities = f"{count} quantit{'y' if count == 1 else 'ies'}"
    whole = f"{quantities} in {texts} text{'s' * (texts != 1)}" + (f": {told}" if told else "")
    numbers = "1 number without a unit was" if bare == 1 else f"{bare} numbers without a unit were"
    return f"{whole}\n{numbers} not judged" if bare else whole


def as_json(judged: Iterable[Judged], told: Iterable[Finding] = (), bare: int = 0) -> str:
    """Every quantity found, also those that are current; and what could not be read.

    Shape: `{"quantities": [{file, line, at, text, around, verdict, figure, expected, edition,
    since, by, machine}], "findings": [{rule, file, line, message, mend}],
    "without_unit": how many numbers were not judged}`.
    """
    listed = [
        {
            "file": one.path,
            "line": one.place.line,
            "at": one.place.label or None,
            "text": one.text,
            "around": one.around,
            "verdict": str(one.verdict),
            "figure": one.figure or None,
            "expected": one.expected or None,
            "edition": one.edition,
            "since": one.since,
            "by": list(one.by),
            "machine": one.machine or None,
        }
        for one in judged
    ]
    unread = [
        {
            "rule": one.rule.name,
            "file": one.span.path,
            "line": one.span.line,
            "message": one.message,
            "mend": one.mend,
        }
        for one in told
    ]
    whole = {"quantities": listed, "findings": unread, "without_unit": bare}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"
