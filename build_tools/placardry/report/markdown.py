"""Findings for a pull request: a table for each severity, every cell plain text."""

from __future__ import annotations

import re
from collections.abc import Mapping

from placardry.finding import Finding, Severity, Span
from placardry.report.excerpt import Style, safe, summary

_TITLES = {Severity.ERROR: "Errors", Severity.WARNING: "Warnings", Severity.ADVICE: "Advice"}


def render(findings: tuple[Finding, ...], files: Mapping[str, bytes], style: Style) -> str:
    """A line that counts, and a table for each severity that occurs."""
    del style
    parts = [f"**{summary(findings, len(files)).capitalize()}.**"]
    for severity, title in _TITLES.items():
        rows = [_row(finding) for finding in findings if finding.severity is severity]
        if rows:
            head = ["| place | what is | what to do | rule |", "| --- | --- | --- | --- |"]
            parts += [f"### {title}", "\n".join([*head, *rows])]
    return "\n\n".join(parts) + "\n"


def _row(finding: Finding) -> str:
    said = plain(finding.message)
    for note in finding.related:
        said += f"<br>{plain(note.message)}: {_place(note.span)}"
    cells = (_place(finding.span), said, plain(finding.mend), plain(finding.rule.name))
    return f"| {' | '.join(cells)} |"


def _place(span: Span) -> str:
    return plain(f"{span.path}:{span.line}:{span.column}")


def plain(text: str) -> str:
    """The text as Markdown that shows it as it is; entities, as they work in table cells too.

    Passages in backticks become code elements, for the messages quote names so.
    """
    escaped = re.sub(r"[^\w\s.,;:/()-]|_", lambda match: f"&#{ord(match[0])};", safe(text))
    return re.sub(r"&#96;((?:(?!&#96;).)+)&#96;", r"<code>\1</code>", escaped)
