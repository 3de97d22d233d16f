"""The command line: one function a command, and what each exit code means.

0 nothing wrong; 1 errors were found; 2 the job could not be done; 3 our own fault.
"""

from __future__ import annotations

import argparse
import gc
import os
import shutil
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import NoReturn, TextIO

from placardry import __version__
from placardry.errors import PlacardryError

FORMATS = ("text", "json", "sarif", "markdown")


def run() -> NoReturn:
    """Run a command and leave at once: to take a book apart piece by piece costs a sixth more."""
    gc.set_threshold(100_000)  # a book is many small things, and hardly any of them is garbage
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def main(arguments: list[str] | None = None) -> int:
    """Run a command; the exit code."""
    options = _parser().parse_args(arguments)
    command: Callable[[argparse.Namespace], int] = options.command
    try:
        code = command(options)
        sys.stdout.flush()
        return code
    except PlacardryError as problem:
        print(f"placardry: {problem}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("placardry: stopped; nothing was replaced", file=sys.stderr)
        return 2
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as fault:
        return _our_fault(fault)


def _our_fault(fault: Exception) -> int:
    import traceback

    traceback.print_exc()
    print(
        f"placardry: this is a mistake in Placardry ({type(fault).__name__}), not in your book; "
        "please report it with the lines above",
        file=sys.stderr,
    )
    return 3


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="placardry",
        description="Keep every limit of a machine once; check it, and publish it everywhere.",
    )
    parser.add_argument("--version", action="version", version=f"placardry {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    def add(name: str, run: Callable[[argparse.Namespace], int], about: str) -> _Command:
        command = commands.add_parser(name, help=about, description=about)
        command.set_defaults(command=run)
        return command

    def add_for_book(name: str, run: Callable[[argparse.Namespace], int], about: str) -> _Command:
        command = add(name, run, about)
        command.add_argument(
            "--book", type=Path, default=Path(), metavar="DIR", help="the book's folder (this one)"
        )
        return command

    def add_judging(name: str, run: Callable[[argparse.Namespace], int], about: str) -> _Command:
        command = add_for_book(name, run, about)
        command.add_argument(
            "--on", type=_day, metavar="DATE", help="judge dates by this day (the book's date)"
        )
        return command

    check = add_judging("check", _check, "Say what is wrong with the book.")
    check.add_argument("--format", choices=FORMATS, default="text", help="how to say it (text)")

    build = add_judging("build", _build, "Publish the book's manuals, if nothing is wrong.")
    build.add_argument(
        "--manual", action="append", default=[], metavar="ID", help="only this one; may be repeated"
    )
    build.add_argument(
        "--out", type=Path, default=Path("site"), metavar="DIR", help="where to publish (site)"
    )
    build.add_argument(
        "--pages",
        type=Path,
        metavar="DIR",
        help="write the pages as Markdown with a plain mkdocs.yml instead",
    )
    build.add_argument(
        "--workers", type=int, default=os.cpu_count() or 1, metavar="N", help="processes to use"
    )

    serve = add_for_book("serve", _serve, "Show a manual live while its sources are edited.")
    serve.add_argument("--manual", metavar="ID", help="which one (the first)")
    serve.add_argument(
        "--port", type=_port, default=8000, metavar="N", help="port on this machine (8000)"
    )

    due = add_judging("due", _due, "Say what maintenance is due on a machine, and why.")
    due.add_argument("--machine", required=True, metavar="ID", help="which one")
    due.add_argument("--hours", required=True, metavar="H", help="as the counter shows: 25.5")
    due.add_argument(
        "--done",
        action="append",
        default=[],
        metavar="TASK=H,DATE",
        help="when a task was done; may be repeated, also for one task",
    )
    due.add_argument("--severe", action="store_true", help="the machine is used hard")
    due.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")

    approve = add_for_book(
        "approve", _approve, "Approve what records say now; a later edit is found."
    )
    approve.add_argument("names", nargs="+", metavar="ID", help="as `limit/coolant`, or `coolant`")
    approve.add_argument("--by", required=True, metavar="NAME", help="who approves")
    approve.add_argument("--on", required=True, type=_day, metavar="DATE", help="and on which day")

    explain = add_judging(
        "explain", _explain, "Explain a rule, or list them all; or run a procedure of the book."
    )
    explain.add_argument("rule", nargs="?", metavar="RULE", help="its name, as findings show it")
    explain.add_argument("--run", metavar="PROCEDURE", help="how its steps change the machine")
    explain.add_argument("--manual", metavar="ID", help="in which manual (the first that has it)")
    explain.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")

    add_for_book("schema", _schema, "Write the JSON Schemas that editors complete by.")

    new = add("new", _new, "Start a book of your own from a small sound one.")
    new.add_argument("folder", type=Path, metavar="DIR", help="a new folder")
    return parser


_Command = argparse.ArgumentParser


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is not a date such as 2026-05-01") from None


def _port(text: str) -> int:
    if text.isascii() and text.isdigit() and 0 < int(text[:6]) < 2**16:
        return int(text)
    raise argparse.ArgumentTypeError(f"`{text}` is not a port: a number from 1 to 65535")


def _width() -> int:
    return shutil.get_terminal_size((80, 24)).columns


def _colour(stream: TextIO) -> bool:
    return stream.isatty() and not os.environ.get("NO_COLOR")


def _check(options: argparse.Namespace) -> int:
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
    )
    sys.stdout.write(said)
    return 1 if has_errors(prepared.findings) else 0


def _build(options: argparse.Namespace) -> int:
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
        print("placardry: nothing was published; the last good output stands", file=sys.stderr)
        return 1
    if sys.stdout.isatty():
        count = len(prepared.manuals)
        names = ", ".join(options.manual) or f"{count} manual{'' if count == 1 else 's'}"
        if options.pages is not None:
            print(f"wrote the pages of {names} to {out}")
        else:
            print(f"published {names} in {out}; open {out / 'index.html'}")
    return 0


def _serve(options: argparse.Namespace) -> int:
    from placardry.preview import serve

    print(f"open http://127.0.0.1:{options.port}/ in a browser; stop with Ctrl+C", flush=True)
    return serve(options.book, options.manual, options.port)


def _due(options: argparse.Namespace) -> int:
    from placardry import schedule
    from placardry.prepared import prepare

    prepared = prepare(options.book, options.on)
    manual = prepared.manual_of(options.machine)
    on = options.on or manual.settings.dated
    hours = schedule.hours_of(options.hours)
    history = schedule.history_of(options.done, manual)
    found = schedule.listed(manual, hours, on, history, severe=options.severe)
    if options.format == "json":
        sys.stdout.write(schedule.as_json(manual, hours, on, found))
    else:
        sys.stdout.write(schedule.as_text(found, _width()))
    return 0


def _approve(options: argparse.Namespace) -> int:
    from placardry.approval import PATH, approve
    from placardry.files import write_tree
    from placardry.prepared import prepare

    found = approve(prepare(options.book), options.names, options.by, options.on)
    if found.new:
        write_tree(options.book, {PATH: found.file})
    for one in found.kept:
        print(f"`{one.of}` says what {one.by} approved on {one.on}; nothing to do")
    for name in found.new:
        print(f"approved `{name}` in {options.book / PATH}")
    return 0


def _explain(options: argparse.Namespace) -> int:
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
    if options.manual is not None or not manuals:
        manuals = [prepared.manual(options.manual or "")]
    return run_table.table(manuals[0], options.run, _width())


def _schema(options: argparse.Namespace) -> int:
    from placardry.files import require_book, write_tree
    from placardry.schema import FOLDER, schemas

    require_book(options.book)
    written = schemas()
    write_tree(options.book / FOLDER, written)
    print(f"wrote {len(written)} schemas to {options.book / FOLDER}")
    return 0


def _new(options: argparse.Namespace) -> int:
    from placardry.errors import EnvironmentFault
    from placardry.files import is_free, write_tree
    from placardry.starter import starter

    if not is_free(options.folder):
        raise EnvironmentFault(f"`{options.folder}` is not an empty folder; name a new one")
    write_tree(options.folder, starter())
    print(f"started a book in {options.folder}; next: placardry check --book {options.folder}")
    return 0
