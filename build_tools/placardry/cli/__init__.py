"""The command line: what can be typed (the functions stand in `commands`), and each exit code.

0 nothing wrong; 1 errors were found; 2 the job could not be done; 3 our own fault.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import NoReturn

from placardry import __version__
from placardry.cli import audit_output, commands, issue
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
    known = parser.add_subparsers(metavar="COMMAND", required=True)

    def add(name: str, run: Callable[[argparse.Namespace], int], about: str) -> _Command:
        command = known.add_parser(name, help=about, description=about)
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

    due = add_judging("due", commands.due, "Say what maintenance is due on a machine, and why.")
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
        "approve", commands.approve, "Approve what records say now; a later edit is found."
    )
    approve.add_argument("names", nargs="+", metavar="ID", help="as `limit/coolant`, or `coolant`")
    approve.add_argument("--by", required=True, metavar="NAME", help="who approves")
    approve.add_argument("--on", required=True, type=_day, metavar="DATE", help="and on which day")
    approve.add_argument("--author", metavar="NAME", help="who wrote what is approved")

    review = add_judging("review", commands.review, "Say what a change does to the limits.")
    review.add_argument("before", metavar="BASE", help="a git revision, a folder or an edition")
    review.add_argument(
        "after", nargs="?", metavar="HEAD", help="likewise (the working folder as it is)"
    )
    review.add_argument(
        "--format", choices=REVIEW_FORMATS, default="text", help="how to say it (text)"
    )
    review.add_argument(
        "--out", type=Path, metavar="DIR", help="write a page with pictures of the cards there"
    )
    review.add_argument(
        "--most", type=_count, metavar="N", help="letters at most; the least dangerous go first"
    )

    _add_audit(add)

    _add_issuing(add_for_book, add_judging)

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
    return parser


_Command = argparse.ArgumentParser
_Add = Callable[[str, Callable[[argparse.Namespace], int], str], _Command]


def _add_audit(add: _Add) -> None:
    """The command that reads back what was published."""
    command = add("audit", audit_output.audit, "Trace every published figure, here or elsewhere.")
    command.add_argument(
        "out", type=Path, nargs="?", metavar="OUT", help="a published folder, or one manual's"
    )
    command.add_argument(
        "--book", type=Path, metavar="DIR", help="compare it with the figures of this book too"
    )
    command.add_argument(
        "--text",
        type=Path,
        nargs="+",
        default=[],
        metavar="FILE",
        help="judge what was published elsewhere: captions, web pages, texts, PDFs",
    )
    command.add_argument("--machine", metavar="ID", help="whose figures such texts mean")
    command.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")
    command.add_argument(
        "--workers", type=int, default=os.cpu_count() or 1, metavar="N", help="processes to use"
    )


def _add_issuing(add_for_book: _Add, add_judging: _Add) -> None:
    """The commands on editions and the cards issued in them."""
    release = add_judging("release", issue.release, "Issue an edition, or withdraw one.")
    release.add_argument("--by", metavar="NAME", help="who approves it")
    release.add_argument("--author", metavar="NAME", help="who wrote what has changed")
    what = release.add_mutually_exclusive_group(required=True)
    what.add_argument("--summary", metavar="TEXT", help="what is new, for owners")
    what.add_argument("--withdraw", type=_count, metavar="N", help="the edition to withdraw")
    release.add_argument("--because", metavar="TEXT", help="why it is withdrawn")

    cards = add_for_book("cards", issue.cards, "Say which issued cards still hold.")
    cards.add_argument("--code", metavar="CODE", help="only this one, as printed on the card")
    cards.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")

    recall = add_for_book("recall", issue.recall, "Say which aircraft carry outdated cards.")
    recall.add_argument("list", type=Path, metavar="LIST", help="CSV: serial, machine, cards")
    recall.add_argument("--out", type=Path, metavar="DIR", help="write change notices there")
    recall.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is not a date such as 2026-05-01") from None


def _count(text: str) -> int:
    if text.isascii() and text.isdigit() and int(text[:9]) > 0:
        return int(text[:9])
    raise argparse.ArgumentTypeError(f"`{text}` is not a whole number above nothing")


def _port(text: str) -> int:
    if text.isascii() and text.isdigit() and 0 < int(text[:6]) < 2**16:
        return int(text)
    raise argparse.ArgumentTypeError(f"`{text}` is not a port: a number from 1 to 65535")
