"""`placardry audit --text`: what was published elsewhere, against the figures of a machine."""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from placardry.errors import Malformed, PlacardryError

if TYPE_CHECKING:
    from placardry.audit.texts import Judged
    from placardry.audit.texts_meant import Was
    from placardry.audit.texts_reading import Running
    from placardry.figures import Figure
    from placardry.prepared import Prepared
    from placardry.resolve import Manual

_LARGEST = 64 * 1024 * 1024


def audit_texts(options: argparse.Namespace) -> int:
    """Judge the files; 1 where one cannot be read, contradicts the book or is out of date."""
    from placardry.audit.texts_told import as_json, broken, findings, summary, unread
    from placardry.finding import has_errors, in_order
    from placardry.prepared import prepare
    from placardry.report import report
    from placardry.spoken import without_unit

    if not options.machine:
        raise PlacardryError("`audit --text` needs `--machine ID`: whose figures are meant")
    files = {path.as_posix(): _bytes(path) for path in options.text}
    prepared = prepare(options.book)
    prepared.manual_of(options.machine)
    texts, faults = _read(files)
    judged = list(judged_texts(prepared, options.machine, texts))
    bare = sum(without_unit(one.text, one.language or language_of(one.text)) for one in texts)
    told = [unread(path, fault) for path, fault in faults.items()]
    told += [one for text in texts for one in broken(text)]
    found = in_order((*told, *findings(judged)))
    if options.format == "json":
        sys.stdout.write(as_json(judged, told, bare))
    else:
        readable = dict.fromkeys(files, b"\0")  # no line of a file without lines is shown
        readable |= {one.path: "\n".join(one.lines).encode() for one in texts if one.lines}
        colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
        width = shutil.get_terminal_size((80, 24)).columns
        sys.stdout.write(report(found, readable, colour=colour, width=width) if found else "")
        print(summary(judged, len(texts), bare))
    return 1 if has_errors(found) else 0


def judged_texts(prepared: Prepared, machine: str, texts: Iterable[Running]) -> Iterator[Judged]:
    """The figures of the texts, each text in its language, against those of a machine.

    Raises:
        PlacardryError: the book has errors, or no such machine.
    """
    from placardry import ledger
    from placardry.audit.texts import Machines, judge
    from placardry.audit.texts_meant import Figures

    history = history_of(ledger.states(ledger.read(prepared.files)), machine)
    machines = Machines.called(*_names(prepared, machine))
    figures: dict[str, Figures] = {}
    for text in texts:
        language = text.language or language_of(text.text)
        if language not in figures:
            figures[language] = Figures(_entries(_manual(prepared, machine, language)), history)
        yield from judge(text, figures[language], language, machines)


def _read(files: Mapping[str, bytes]) -> tuple[list[Running], dict[str, Malformed]]:
    """The texts, and why others cannot be read."""
    from placardry.audit.texts_reading import read

    texts, faults = [], {}
    for path, data in files.items():
        try:
            texts.append(read(path, data))
        except Malformed as fault:
            faults[path] = fault
    return texts, faults


def _bytes(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise PlacardryError(f"`{path}` is a folder; name the files in it, as `{path}/*.vtt`")
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
    from placardry.audit.texts_meant import Was

    return [
        Was(
            edition,
            figure["id"],
            figure.get("part"),
            unit,
            _values(unit, shown),
        )
        for edition, manuals in sorted(states.items(), reverse=True)
        for manual in manuals.values()
        if manual["machine"] == machine
        for figure in manual["figures"].values()
        for unit, shown in figure["shown"].items()
    ]


_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")


def _values(unit: str, shown: str) -> tuple[Fraction, ...]:
    """The numbers of `190 to 210`, of `20 (18 to 22)` the first one, of `1:50` its value."""
    numbers = [Fraction(number) for number in _NUMBER.findall(shown.partition(" (")[0])]
    return (numbers[0] / numbers[1],) if unit == "ratio" else tuple(numbers)


def _manual(prepared: Prepared, machine: str, language: str) -> Manual:
    """The manual of a machine in the language of a text, or else in the book's own."""
    return next(
        (
            manual
            for manual in prepared.manuals
            if manual.machine.id == machine and manual.language.partition("-")[0] == language
        ),
        prepared.manual_of(machine),
    )


def _names(prepared: Prepared, machine: str) -> tuple[str, str]:
    """What the machine is called, its model and its engine too; and what all others are."""
    names: dict[bool, list[str]] = {True: [], False: []}
    for manual in prepared.manuals:
        own, engine = manual.machine, manual.engine
        names[own.id == machine] += [str(own.name), str(own.model or ""), str(engine.name)]
    return " ".join(names[True]), " ".join(names[False])


def _entries(manual: Manual) -> list[dict[str, Any]]:
    """The register entries of a manual, with the names of their parameters too."""
    from placardry import data
    from placardry.book.conditions import Condition
    from placardry.wording.phrases import Speaker

    speaker = Speaker(manual)
    parameters = manual.records.get("parameter", {})
    entries = data.register(speaker, {})
    in_own = manual.language == manual.settings.language  # else its ids are of another language
    for entry, figure in zip(entries, speaker.figures.values(), strict=True):
        entry["also"] = [figure.id] if in_own else []
        parameter = parameters.get(figure.parameter or _of_channel(figure) or "")
        if isinstance(figure.record, Condition):
            entry["name"] = figure.record.short
        elif parameter is not None:
            entry["also"] += [parameter.name, parameter.short]
    return entries


def _of_channel(figure: Figure) -> str | None:
    """The parameter of the channel whose span or step a figure of an instrument is."""
    channels = getattr(figure.record, "channels", None) or {}
    part = figure.part or ""
    return next(
        (one.parameter for name, one in channels.items() if part.startswith(f"{name}-")), None
    )
