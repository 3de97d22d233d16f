"""Findings in SARIF 2.1.0, which code hosts show beside the lines of a change.

Source: OASIS Static Analysis Results Interchange Format (SARIF) Version 2.1.0, sections cited
beside each part.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from urllib.parse import quote

import placardry
from placardry.finding import Finding, Rule, Severity, Span
from placardry.report.excerpt import Style

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.ADVICE: "note"}
_BASES = {"BOOK": "the folder of the book", "SRCROOT": "the root of the repository"}


def render(findings: tuple[Finding, ...], files: Mapping[str, bytes], style: Style) -> str:
    """One log with one run (section 3.13); rules that found nothing are not listed."""
    del files
    rules = sorted({finding.rule for finding in findings}, key=lambda rule: rule.name)
    index = {rule.name: n for n, rule in enumerate(rules)}
    driver = {  # section 3.19
        "name": "Placardry",
        "semanticVersion": placardry.__version__,
        "rules": [_rule(rule) for rule in rules],
    }
    base = _base(style.prefix)
    run = {  # section 3.14
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",  # section 3.14.17
        "originalUriBaseIds": {base: {"description": {"text": _BASES[base]}}},  # section 3.14.14
        "results": [_result(finding, index, style.prefix) for finding in findings],
    }
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(log, indent=2) + "\n"


def _rule(rule: Rule) -> dict[str, object]:
    """A reporting descriptor (section 3.49)."""
    manual = rule.manual.strip() or rule.name
    return {
        "id": rule.name,
        "shortDescription": {"text": (rule.summary or rule.name) + "."},
        "help": {"text": manual},
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "properties": {"tags": [str(rule.family)]},
    }


def _result(finding: Finding, index: Mapping[str, int], prefix: str | None) -> dict[str, object]:
    """A result (section 3.27)."""
    result: dict[str, object] = {
        "ruleId": finding.rule.name,
        "ruleIndex": index[finding.rule.name],
        "level": _LEVELS[finding.severity],
        "message": {"text": f"{finding.message}; {finding.mend}"},
        "locations": [_location(finding.span, prefix)],
        "partialFingerprints": {"placardry/v1": _fingerprint(finding)},  # section 3.27.17
    }
    if finding.related:
        result["relatedLocations"] = [
            {"id": n, **_location(note.span, prefix), "message": {"text": note.message}}
            for n, note in enumerate(finding.related, start=1)
        ]
    return result


def _base(prefix: str | None) -> str:
    """What addresses are relative to: a host places files by the root of the repository."""
    return "BOOK" if prefix is None else "SRCROOT"


def _location(span: Span, prefix: str | None) -> dict[str, object]:
    """A location (section 3.28) with a relative address (section 3.4)."""
    region = {  # section 3.30: columns count from 1 and the end is not included
        "startLine": span.line,
        "startColumn": span.column,
        "endLine": span.end_line,
        "endColumn": span.end_column,
    }
    artifact = {"uri": quote((prefix or "") + span.path), "uriBaseId": _base(prefix)}
    return {"physicalLocation": {"artifactLocation": artifact, "region": region}}


def _fingerprint(finding: Finding) -> str:
    """The same for the same mistake on another line, so that a host can follow it."""
    words = "\n".join((finding.rule.name, finding.span.path, finding.message))
    return hashlib.sha256(words.encode("utf-8", "backslashreplace")).hexdigest()[:32]
