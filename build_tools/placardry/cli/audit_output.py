"""`placardry audit OUT`: every published figure traced from the finished files alone."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from placardry.errors import PlacardryError

if TYPE_CHECKING:
    from placardry.audit import Audited


def audit(options: argparse.Namespace) -> int:
    """Judge texts published elsewhere, or a published folder; 1 where an error was found."""
    if options.text:
        from placardry.cli.audit_texts import audit_texts

        options.book = options.book or Path()
        return audit_texts(options)
    if options.out is None:
        raise PlacardryError("name the folder to audit, as in `placardry audit site`")
    return _audit_output(options)


def _audit_output(options: argparse.Namespace) -> int:
    from placardry.audit import audit
    from placardry.audit.told import as_json
    from placardry.finding import has_errors, in_order
    from placardry.publish import processes, published
    from placardry.report import report

    files = published(options.out)
    with processes(options.workers) as pool:
        found = audit(files, pool)
    if options.book is not None:
        found = _with_book(found, files, options.book)
    if options.format == "json":
        sys.stdout.write(as_json(found.told, found.quantities, found.files))
    else:
        colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
        width = shutil.get_terminal_size((80, 24)).columns
        readable = {path: data for path, data in files.items() if not path.endswith("pdf")}
        findings = [one.finding for one in found.told]
        sys.stdout.write(
            report(findings, readable, colour=colour, width=width) if found.told else ""
        )
        print(summary(found))
    return 1 if has_errors(in_order(one.finding for one in found.told)) else 0


def summary(found: Audited) -> str:
    """How much was read, and whether all of it was traced, in one line."""
    counted = sorted(found.files.items(), key=lambda one: (-found.quantities.get(one[0], 0), one))
    kinds = ", ".join(
        f"{found.quantities.get(kind, 0)} in {n} {kind if n != 1 else _one(kind)}"
        for kind, n in counted
    )
    count = len(found.told)
    end = "all traced" if not count else f"{count} finding{'' if count == 1 else 's'}"
    return f"{found.total} quantities ({kinds}): {end}"


def _one(kinds: str) -> str:
    """The name of one thing, by that of several."""
    return "search index" if kinds == "search indexes" else kinds.removesuffix("s")


def _with_book(found: Audited, files: Mapping[str, bytes], root: Path) -> Audited:
    from placardry.audit.against import differences

    return replace(found, told=(*found.told, *differences(files, _entries(root))))


def _entries(root: Path) -> dict[str, list[dict[str, Any]]]:
    """What the registers of the book's manuals would hold today."""
    from placardry import data
    from placardry.finding import has_errors
    from placardry.prepared import prepare
    from placardry.wording.phrases import Speaker

    prepared = prepare(root)
    if prepared.book is None or has_errors(prepared.findings):
        raise PlacardryError("the book has errors; `placardry check` tells which")
    return {manual.id: data.register(Speaker(manual), {}) for manual in prepared.manuals}
