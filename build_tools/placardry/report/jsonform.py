"""Findings as JSON, for programs of our users' own; the shape is a contract."""

from __future__ import annotations

import json
from collections.abc import Mapping

from placardry.finding import Finding
from placardry.report.excerpt import Style


def render(findings: tuple[Finding, ...], files: Mapping[str, bytes], style: Style) -> str:
    """All findings as one JSON object.

    Shape: `{"findings": [{rule, severity, message, file, line, column, end_line, end_column,
    mend, related: [{file, line, column, message}]}]}`.
    """
    del files, style
    return json.dumps({"findings": [_entry(each) for each in findings]}, indent=2) + "\n"


def _entry(finding: Finding) -> dict[str, object]:
    span = finding.span
    return {
        "rule": finding.rule.name,
        "severity": str(finding.severity),
        "message": finding.message,
        "file": span.path,
        "line": span.line,
        "column": span.column,
        "end_line": span.end_line,
        "end_column": span.end_column,
        "mend": finding.mend,
        "related": [
            {
                "file": note.span.path,
                "line": note.span.line,
                "column": note.span.column,
                "message": note.message,
            }
            for note in finding.related
        ],
    }
