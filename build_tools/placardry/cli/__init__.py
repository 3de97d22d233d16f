"""The command line: what can be typed (the functions stand in `commands`), and each exit code.

0 nothing wrong; 1 errors were found; 2 the job could not be done; 3 our own fault.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

from placardry import __version__
from placardry.cli import commands
from placardry.cli.options import Command, add_audit, add_issuing, count, day
from placardry.errors import PlacardryError

FORMATS = ("text", "json", "sarif", "markdown")
REVIEW_FORMATS = ("text", "markdown", "json", "html", "annotations", "code-quality")


def run() -> NoReturn:
    """Run a command and leave at once: to take a book apart piece by piece costs a sixth more."""
    gc.set_threshold(100_000)  # a book is many small things, and hardly any of them is garbage
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def main(arguments: list[str] | None = None) -> int:
    """Run a command; the exit code."""
    options = parser().parse_args(arguments)
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


def parser() -> argparse.ArgumentParser:
    """The parser of all that can be typed."""
    whole = argparse.ArgumentParser(
        prog="placardry",
        description="Keep every limit of a machine once; check it, and publish it everywhere.",
    )
    whole.add_argument("--version", action="version", version=f"placardry {__version__}")
    known = whole.add_subparsers(metavar="COMMAND", required=True)

    def add(name: str, run: Callable[[argparse.Namespace], int], about: str) -> Command:
        command = known.add_parser(name, help=about, description=about)
        command.set_defaults(command=run)
        return command

    def add_for_book(name: str, run: Callable[[argparse.Namespace], int], about: str) -> Command:
        command = add(name, run, about)
        command.add_argument(
            "--book", type=Path, default=Path(), metavar="DIR", help="the book's folder (this one)"
        )
        return command

    def add_judging(
        name: str,
        run: Callable[[argparse.Namespace], int],
        about: str,
        on: str = "judge dates by this day (the book's date)",
    ) -> Command:
        command = add_for_book(name, run, about)
        command.add_argument("--on", type=day, metavar="DATE", help=on)
        return command

    check = add_judging("check", commands.check, "Say what is wrong with the book.")
    check.add_argument("--format", choices=FORMATS, default="text", help="how to say it (text)")

    build = add_judging("build", commands.build, "Publish the book's manuals, if nothing is wrong.")
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

    serve = add_for_book(
        "serve", commands.serve, "Show a manual live while its sources are edited."
    )
    serve.add_argument("--manual", metavar="ID", help="which one (the first)")
    serve.add_argument(
        "--port", type=_port, default=8000, metavar="N", help="port on this machine (8000)"
    )

    due = add_judging(
        "due",
        commands.due,
        "Say what maintenance is due on a machine, and why.",
        "as of this day (today)",
    )
    due.add_argument("--machine", required=True, metavar="ID", help="which one")
    due.add_argument("--hours", required=True, metavar="H", help="as the counter shows: 25.5")
    due.add_argument(
        "--done",
        action="append",
        default=[],
        metavar="TASK=H,DATE",
        help="when a task was done, or TASK=never; may be repeated, also for one task",
    )
    due.add_argument(
        "--event", action="append", default=[], metavar="TASK=yes|no",
        help="whether what a task is done after has happened since; may be repeated",
    )  # fmt: skip
    due.add_argument("--new", type=day, metavar="DATE", help="when the machine was new")
    due.add_argument("--severe", action="store_true", help="the machine is used hard")
    due.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")

    approve = add_for_book(
        "approve", commands.approve, "Approve what records say now; a later edit is found."
    )
    approve.add_argument("names", nargs="+", metavar="ID", help="as `limit/coolant`, or `coolant`")
    approve.add_argument("--by", required=True, metavar="NAME", help="who approves")
    approve.add_argument("--on", required=True, type=day, metavar="DATE", help="and on which day")
    approve.add_argument("--author", metavar="NAME", help="who wrote what is approved")

    translate = add_for_book(
        "translate", commands.translate, "Write down what is still to be translated."
    )
    translate.add_argument("language", metavar="LANGUAGE", help="as manuals name it: de")

    review = add_judging("review", commands.review, "Say what a change does to the limits.")
    review.add_argument("before", metavar="BASE", help="a git revision, a folder or an edition")
    review.add_argument(
        "after", nargs="?", metavar="HEAD", help="likewise (the working folder as it is)"
    )
    review.add_argument(
        "--format", choices=REVIEW_FORMATS, help="how to say it (text, or as --out ends)"
    )
    review.add_argument(
        "--out",
        type=Path,
        metavar="PLACE",
        help="a folder for a page with pictures of the cards, or a file such as review.html",
    )
    review.add_argument(
        "--most", type=count, metavar="N", help="letters at most; the least dangerous go first"
    )

    add_audit(add)

    add_issuing(add_for_book)

    explain = add_judging(
        "explain",
        commands.explain,
        "Explain a rule, or list them all; or run a procedure of the book.",
    )
    explain.add_argument("rule", nargs="?", metavar="RULE", help="its name, as findings show it")
    explain.add_argument("--run", metavar="PROCEDURE", help="how its steps change the machine")
    explain.add_argument("--manual", metavar="ID", help="in which manual (the first that has it)")
    explain.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")

    add_for_book("schema", commands.schema, "Write the JSON Schemas that editors complete by.")

    new = add("new", commands.new, "Start a book of your own from a small sound one.")
    new.add_argument("folder", type=Path, metavar="DIR", help="a new folder")
    return whole


def _port(text: str) -> int:
    if text.isascii() and text.isdigit() and 0 < int(text[:6]) < 2**16:
        return int(text)
    raise argparse.ArgumentTypeError(f"`{text}` is not a port: a number from 1 to 65535")
