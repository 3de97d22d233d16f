"""A review for a terminal, most dangerous first, in lines of its width."""

from __future__ import annotations

import textwrap

from placardry.report.excerpt import safe
from placardry.review.judged import Review, Style, counted, details, headline, sides, verdict

# SGR codes (ECMA-48, 8.3.117); the words say it too.
_TINTS = {"LOOSENED": "1;31", "UNDECIDED": "1;35", "TIGHTENED": "1;33"}


def render(review: Review, style: Style) -> str:
    """The changes, then the demands, what is open first."""
    said = [f"{counted(review)} ({sides(review)})", verdict(review)]
    if review.touched.unread:
        said.append(f"the pages of {len(review.touched.unread)} more manuals were not compared")
    blocks = ["\n".join(_wrapped(line, "", style) for line in said)]
    for seen in review.changes:
        lines = [_wrapped(headline(seen), "  ", style)]
        lines += [_wrapped(f"  {word}: {text}", "    ", style) for word, text in details(seen)]
        blocks.append("\n".join(lines))
    if review.demands:
        rows = [
            _wrapped(f"  {'met ' if one.met else 'OPEN'}  {one.demand}: {one.why}", " " * 8, style)
            for one in review.demands
        ]
        blocks.append("\n".join(["demands of the policy:", *rows]))
    text = "\n\n".join(blocks) + "\n"
    return _tinted(text) if style.colour else text


def _wrapped(text: str, indent: str, style: Style) -> str:
    """The text in lines; a word longer than a line (a path, an id) stays whole."""
    return "\n".join(
        textwrap.wrap(
            safe(text), max(style.width, 40), subsequent_indent=indent,
            break_long_words=False, break_on_hyphens=False,
        )
    )  # fmt: skip


def _tinted(text: str) -> str:
    for word, code in _TINTS.items():
        text = text.replace(f"{word},", f"\x1b[{code}m{word}\x1b[0m,")
    return text.replace("  OPEN  ", "  \x1b[1;31mOPEN\x1b[0m  ")
