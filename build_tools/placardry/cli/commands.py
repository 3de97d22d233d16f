"""What each command does with its options; the exit code is what it returns.

Everything slow to import is imported by the command that uses it.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from datetime import datetime
from typing import TextIO


def _width() -> int:
    return shutil.get_terminal_size((80, 24)).columns


def _colour(stream: TextIO) -> bool:
    return stream.isatty() and not os.environ.get("NO_COLOR")


def check(options: argparse.Namespace) -> int:
    """Say what is wrong with the book."""
    from placardry.files import way_to
    from placardry.finding import has_errors
    from placardry.prepared import prepare
    from placardry.report import report

    prepared = prepare(options.book, options.on)
    said = report(
        prepared.findings,
        prepared.files,
        format=options.format,
        colour=_colour(sys.stdout),
        width=_width(),
        prefix=way_to(options.book) if options.format == "sarif" else None,
    )
    sys.stdout.write(said)
    return 1 if has_errors(prepared.findings) else 0


def build(options: argparse.Namespace) -> int:
    """Publish manuals, or write their pages."""
    from placardry.finding import has_errors
    from placardry.publish import build, write_pages
    from placardry.report import report

    if options.pages is not None:
        prepared, findings = write_pages(options.book, options.pages, options.manual, options.on)
        out = options.pages
    else:
        prepared, findings = build(
            options.book, options.out, options.manual, options.on, options.workers
        )
        out = options.out
    if findings:
        said = report(findings, prepared.files, colour=_colour(sys.stderr), width=_width())
        sys.stderr.write(said)
    if has_errors(findings):
        left = "; the last good output stands" if out.exists() else ""
        print(f"placardry: nothing was published{left}", file=sys.stderr)
        return 1
    if sys.stdout.isatty():
        count = len(prepared.manuals)
        names = ", ".join(options.manual) or f"{count} manual{'' if count == 1 else 's'}"
        if options.pages is not None:
            print(f"wrote the pages of {names} to {out}")
        else:
            print(f"published {names} in {out}; open {out / 'index.html'}")
    return 0


def serve(options: argparse.Namespace) -> int:
    """Show a manual live until it is stopped."""
    from placardry.preview import serve

    print(f"open http://127.0.0.1:{options.port}/ in a browser; stop with Ctrl+C", flush=True)
    return serve(options.book, options.manual, options.port)


def due(options: argparse.Namespace) -> int:
    """Say what maintenance is due."""
    from placardry import schedule
    from placardry.due_points import Now
    from placardry.prepared import prepare

    prepared = prepare(options.book, options.on)
    manual = prepared.manual_of(options.machine)
    now = Now(
        schedule.hours_of(options.hours),
        options.on or datetime.now().astimezone().date(),
        new_on=options.new,
        severe=options.severe,
    )
    found = schedule.listed(manual, schedule.works_of(options.done, options.event, manual), now)
    if options.format == "json":
        sys.stdout.write(schedule.as_json(manual, now, found))
    else:
        sys.stdout.write(schedule.as_text(found, _width()))
    return 0


def approve(options: argparse.Namespace) -> int:
    """Write approvals into the book."""
    from placardry.approval import PATH, approve
    from placardry.files import write_tree
    from placardry.prepared import prepare

    found = approve(
        prepare(options.book), options.names, options.by, options.on, author=options.author
    )
    if found.new:
        write_tree(options.book, {PATH: found.file})
    for one in found.kept:
        print(f"`{one.of}` says what {one.by} approved on {one.on}; nothing to do")
    for name in found.new:
        print(f"approved `{name}` in {options.book / PATH}")
    return 0


def translate(options: argparse.Namespace) -> int:
    """Write down what is to be translated, beside the translations that are there."""
    from placardry.files import write_tree
    from placardry.prepared import prepare
    from placardry.untranslated import untranslated

    found = untranslated(prepare(options.book), options.language)
    write_tree(options.book, found.files)
    for path in sorted(found.files):
        print(f"wrote {options.book / path}")
    if found.texts or found.pages:
        print(f"to translate into `{options.language}`: texts {found.texts}, pages {found.pages}")
    else:
        print(f"everything is translated into `{options.language}`")
    return 0


def explain(options: argparse.Namespace) -> int:
    """Explain a rule, list them, or show the run of a procedure."""
    from placardry import explain

    if options.run is not None:
        sys.stdout.write(_run(options))
    elif options.format == "json":
        sys.stdout.write(explain.as_json(options.rule))
    elif options.rule is None:
        sys.stdout.write(explain.listing(_width()))
    else:
        sys.stdout.write(explain.one(options.rule, _width()))
    return 0


def _run(options: argparse.Namespace) -> str:
    from placardry import run_table
    from placardry.book.procedures import Procedure
    from placardry.prepared import prepare

    prepared = prepare(options.book, options.on)
    having = [one for one in prepared.manuals if options.run in one.of(Procedure)]
    manuals = having or list(prepared.manuals)
    manuals.sort(key=lambda one: one.language != one.settings.language)  # as it was written
    if options.manual is not None or not manuals:
        manuals = [prepared.manual(options.manual or "")]
    return run_table.table(manuals[0], options.run, _width())


def schema(options: argparse.Namespace) -> int:
    """Write the schemas for editors."""
    from placardry.files import require_book, write_tree
    from placardry.schema import FOLDER, schemas

    require_book(options.book)
    written = schemas()
    write_tree(options.book / FOLDER, written)
    print(f"wrote {len(written)} schemas to {options.book / FOLDER}")
    return 0


def new(options: argparse.Namespace) -> int:
    """Start a book."""
    from placardry.errors import EnvironmentFault
    from placardry.files import is_free, write_tree
    from placardry.starter import starter

    if not is_free(options.folder):
        raise EnvironmentFault(f"`{options.folder}` is not an empty folder; name a new one")
    write_tree(options.folder, starter())
    print(f"started a book in {options.folder}; next: placardry check --book {options.folder}")
    return 0


def review(options: argparse.Namespace) -> int:
    """Say what a change does to the limits."""
    from placardry import review

    out, format = options.out, options.format
    if out is not None:
        review.may_write(out, options.book)
    found = review.review(options.book, options.before, options.after, options.on)
    ending = None if out is None or out.is_dir() else review.ENDINGS.get(out.suffix)
    if ending is not None:
        written = review.write_file(found, out, format or ending, options.most)
    elif out is not None:
        written = review.write(found, out)
    if out is not None:
        print(f"wrote {written}", file=sys.stderr)
    if ending is None and (out is None or format != "html"):
        style = review.Style(_colour(sys.stdout), _width(), options.most)
        sys.stdout.write(review.FORMATS[format or "text"](found, style))
    return found.exit_code
