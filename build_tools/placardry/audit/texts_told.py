"""What is said of the figures in texts published elsewhere: the rules, the findings, the JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from placardry.audit.texts import Judged, Verdict
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


def findings(judged: Iterable[Judged]) -> Iterator[Finding]:
    """What is to be said of the figures that are not current."""
    for one in judged:
        if one.verdict is Verdict.CURRENT:
            continue
        where = f" at {one.place.label}" if one.place.label else ""
        says = f"`{one.text}`{where} in “{_short(one.around)}”"
        span = Span(one.path, one.place.line, one.column, one.place.line, one.column + 1)
        if one.verdict is Verdict.UNKNOWN:
            message, mend = f"{says} is no figure that can be told", _LOOK
        elif one.verdict is Verdict.STALE:
            message = f"{says} was `{one.figure}` in edition {one.edition}; it is {one.expected}"
            mend = f"say {one.expected} there, or withdraw the text"
        else:
            message = f"{says} contradicts `{one.figure}`, which is {one.expected}"
            mend = f"say {one.expected} there, or name what else is meant"
        yield Finding(RULES[one.verdict], span, message, mend)


_LOOK = "compare it with the manual, and name the figure beside the value"


def _short(text: str) -> str:
    return text if len(text) <= 90 else text[:89] + "…"


def as_json(judged: Iterable[Judged]) -> str:
    """Every quantity found, also those that are current.

    Shape: `{"quantities": [{file, line, at, text, around, verdict, figure, expected, edition}]}`.
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
            "edition": one.edition or None,
        }
        for one in judged
    ]
    return json.dumps({"quantities": listed}, indent=1, ensure_ascii=False) + "\n"
