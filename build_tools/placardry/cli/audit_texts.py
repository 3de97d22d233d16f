"""`placardry audit --text`: what was published elsewhere, against the figures of a machine."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from placardry.errors import PlacardryError

if TYPE_CHECKING:
    from placardry.audit.texts import Judged, Was
    from placardry.prepared import Prepared
    from placardry.resolve import Manual

_LARGEST = 64 * 1024 * 1024


def audit_texts(options: argparse.Namespace) -> int:
    """Judge the files; 1 where one of their figures contradicts the book or is out of date."""
    from placardry import ledger
    from placardry.audit.texts import judge
    from placardry.audit.texts_reading import read
    from placardry.audit.texts_told import as_json, findings
    from placardry.finding import has_errors
    from placardry.prepared import prepare
    from placardry.report import report

    if not options.machine:
        raise PlacardryError("`audit --text` needs `--machine ID`: whose figures are meant")
    prepared = prepare(options.book)
    history = history_of(ledger.states(ledger.read(prepared.files)), options.machine)
    judged: list[Judged] = []
    files: dict[str, bytes] = {}
    for path in options.text:
        data = files[path.as_posix()] = _bytes(path)
        running = read(path.as_posix(), data)
        language = language_of(running.text)
        entries = _entries(_manual(prepared, options.machine, language))
        judged += judge([running], entries, language, history)
    found = tuple(findings(judged))
    if options.format == "json":
        sys.stdout.write(as_json(judged))
    else:
        readable = {path: data for path, data in files.items() if b"\0" not in data}
        colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
        sys.stdout.write(report(found, readable, colour=colour) if found else "")
        counts = Counter(one.verdict for one in judged)
        told = ", ".join(f"{count} {verdict}" for verdict, count in sorted(counts.items()))
        print(f"{len(judged)} figures in {len(files)} texts" + (f": {told}" if told else ""))
    return 1 if has_errors(found) else 0


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > _LARGEST:
            raise PlacardryError(f"`{path}` is larger than {_LARGEST // 2**20} MiB")
        return path.read_bytes()
    except OSError as fault:
        raise PlacardryError(f"`{path}` cannot be read: {fault.strerror}") from None


_GERMAN = re.compile(r"\b(?:der|die|das|und|ist|nicht|ein|eine|mit|auf|den|bei|bis)\b", re.I)
_ENGLISH = re.compile(r"\b(?:the|and|is|not|a|an|with|of|to|at|it|for|until)\b", re.I)


def language_of(text: str) -> str:
    """Whether a text is German or English, by its commonest words."""
    return "de" if len(_GERMAN.findall(text)) > len(_ENGLISH.findall(text)) else "en"


def history_of(states: Mapping[int, Mapping[str, Any]], machine: str) -> list[Was]:
    """What the figures of a machine were in each edition, the latest first."""
    from placardry.audit.texts import Was

    return [
        Was(
            str(edition),
            figure["id"],
            figure.get("part"),
            unit,
            tuple(Fraction(number) for number in _NUMBER.findall(shown)),
        )
        for edition, manuals in sorted(states.items(), reverse=True)
        for manual in manuals.values()
        if manual["machine"] == machine
        for figure in manual["figures"].values()
        for unit, shown in figure["shown"].items()
        if unit != "ratio"
    ]


_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")


def _manual(prepared: Prepared, machine: str, language: str) -> Manual:
    """The manual of a machine in the language of a text, or else in the book's own."""
    first = prepared.manual_of(machine)
    return next(
        (
            manual
            for manual in prepared.manuals
            if manual.machine.id == machine and manual.language.partition("-")[0] == language
        ),
        first,
    )


def _entries(manual: Manual) -> list[dict[str, Any]]:
    """The register entries of a manual, with the names of their parameters in its language."""
    from placardry import data
    from placardry.wording.phrases import Speaker

    entries = data.register(Speaker(manual), {})
    parameters = manual.records.get("parameter", {})
    for entry in entries:
        parameter = parameters.get(entry["parameter"] or "")
        if parameter is not None:
            entry["name"], entry["short"] = parameter.name, parameter.short
    return entries
