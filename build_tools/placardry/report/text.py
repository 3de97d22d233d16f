"""Findings for a terminal: the message, the place with its line of source, what to type."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from placardry.finding import Finding, Severity, Span
from placardry.report.excerpt import Style, excerpt, lines_of, safe, summary

# SGR codes (ECMA-48, 8.3.117): bold with red, yellow, cyan; blue for what frames the source.
_COLOURS = {Severity.ERROR: "1;31", Severity.WARNING: "1;33", Severity.ADVICE: "1;36"}
_FRAME = "34"
_BOLD = "1"


def render(findings: tuple[Finding, ...], files: Mapping[str, bytes], style: Style) -> str:
    """One paragraph a finding, and a line that counts them."""
    lines: dict[str, list[str]] = {}
    for finding in findings:
        for span in (finding.span, *(note.span for note in finding.related)):
            if span.path not in lines:
                lines[span.path] = lines_of(files, span.path)
    paragraphs = [_paragraph(finding, lines, style) for finding in findings]
    return "\n\n".join([*paragraphs, summary(findings, len(files))]) + "\n"


def _paragraph(finding: Finding, lines: dict[str, list[str]], style: Style) -> str:
    tint = _COLOURS[finding.severity]
    opening = f"{finding.severity}: "
    said = _wrapped(f"{opening}{safe(finding.message)} [{finding.rule.name}]", "  ", style.width)
    said[0] = _tinted(opening.rstrip(), tint, style) + said[0][len(opening.rstrip()) :]
    said += _place(finding.span, lines, style, tint)
    for note in finding.related:
        said += _wrapped(f"  note: {safe(note.message)}", "        ", style.width)
        said += _place(note.span, lines, style, _FRAME, indent="  ")
    mend = _wrapped(f"  mend: {safe(finding.mend)}", "        ", style.width)
    mend[0] = "  " + _tinted("mend:", _BOLD, style) + mend[0][len("  mend:") :]
    return "\n".join([*said, *mend])


def _place(
    span: Span, lines: dict[str, list[str]], style: Style, tint: str, indent: str = ""
) -> list[str]:
    """Where it is, and the line that stands there."""
    number = str(span.line)
    arrow = _tinted("-->", _FRAME, style)
    said = [f"{indent}  {arrow} {safe(str(span))}"]
    gutter = len(number) + 3 + len(indent)
    shown = excerpt(lines[span.path], span, max(style.width - gutter, 20))
    if shown is not None:
        bar = _tinted("|", _FRAME, style)
        said.append(f"{indent}{_tinted(number, _FRAME, style)} {bar} {shown.line}".rstrip())
        carets = shown.carets.lstrip()
        pad = shown.carets[: len(shown.carets) - len(carets)]
        said.append(f"{indent}{' ' * len(number)} {bar} {pad}{_tinted(carets, tint, style)}")
    return said


def _wrapped(text: str, indent: str, width: int) -> list[str]:
    """The text in lines; a word longer than a line (a path, an id) stays whole."""
    return textwrap.wrap(
        text, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False,
        drop_whitespace=True,
    )  # fmt: skip


def _tinted(text: str, code: str, style: Style) -> str:
    return f"\x1b[{code}m{text}\x1b[0m" if style.colour else text
