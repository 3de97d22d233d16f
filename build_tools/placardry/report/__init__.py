"""Findings for people and for machines: the only place that prints them.

One module a format, each with `render(findings, files, style) -> str`. The same findings give the
same text. Knows findings and the bytes that they point into, nothing of books.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from placardry.finding import Finding, in_order
from placardry.report import jsonform, markdown, sarif, text
from placardry.report.excerpt import Style

__all__ = ["FORMATS", "Style", "report"]

FORMATS: Mapping[str, Callable[[tuple[Finding, ...], Mapping[str, bytes], Style], str]] = {
    "text": text.render,
    "json": jsonform.render,
    "sarif": sarif.render,
    "markdown": markdown.render,
}


def report(
    findings: Iterable[Finding],
    files: Mapping[str, bytes],
    *,
    format: str = "text",
    colour: bool = False,
    width: int = 80,
    prefix: str | None = None,
) -> str:
    """The findings in one of `FORMATS`, in canonical order, ended by a line feed.

    Args:
        findings: in any order
        files: what the findings point into, by path; a file that is missing has no excerpt
        format: a name out of `FORMATS`
        colour: whether text may use the terminal's colours
        width: the terminal's width in columns
        prefix: the way from the root of the repository to what the findings point into
    """
    return FORMATS[format](in_order(findings), files, Style(colour, max(width, 40), prefix))
