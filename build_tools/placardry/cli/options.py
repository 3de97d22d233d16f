"""What can be typed behind the commands that publish editions and read back what was published."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path

from placardry.cli import audit_output, issue
from placardry.wording import LANGUAGES

Command = argparse.ArgumentParser
_Add = Callable[[str, Callable[[argparse.Namespace], int], str], Command]


def add_audit(add: _Add) -> None:
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


def add_issuing(add_for_book: _Add) -> None:
    """The commands on editions and the cards issued in them."""
    release = add_for_book("release", issue.release, "Issue an edition, or withdraw one.")
    release.add_argument(
        "--on",
        type=day,
        metavar="DATE",
        help="the day of it (of the first: the book's date; of a withdrawal: today)",
    )
    release.add_argument("--by", metavar="NAME", help="who approves it")
    release.add_argument("--author", metavar="NAME", help="who wrote what has changed")
    what = release.add_mutually_exclusive_group(required=True)
    what.add_argument("--summary", metavar="TEXT", help="what is new, for owners")
    what.add_argument("--withdraw", type=count, metavar="N", help="the edition to withdraw")
    release.add_argument("--because", metavar="TEXT", help="why it is withdrawn")
    release.add_argument(
        "--again",
        action="store_true",
        help="issue cards again that have the code or figures of a withdrawn edition",
    )
    for language in LANGUAGES:
        for name in ("summary", "because"):
            release.add_argument(
                f"--{name}-{language}", metavar="TEXT", help=f"the same in `{language}`"
            )

    cards = add_for_book("cards", issue.cards, "Say which issued cards still hold.")
    cards.add_argument("--code", metavar="CODE", help="only this one, as printed on the card")
    cards.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")

    recall = add_for_book("recall", issue.recall, "Say which aircraft carry outdated cards.")
    recall.add_argument("list", type=Path, metavar="LIST", help="CSV: serial, machine, cards")
    recall.add_argument("--out", type=Path, metavar="DIR", help="write change notices there")
    recall.add_argument("--format", choices=("text", "json"), default="text", help="how (text)")


def day(text: str) -> date:
    """A date as ISO 8601 writes it."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is not a date such as 2026-05-01") from None


def count(text: str) -> int:
    """A whole number above nothing."""
    if text.isascii() and text.isdigit() and int(text[:9]) > 0:
        return int(text[:9])
    raise argparse.ArgumentTypeError(f"`{text}` is not a whole number above nothing")
