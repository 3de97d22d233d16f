"""A review as the one comment on a pull request, folded until a forge takes it."""

from __future__ import annotations

from collections.abc import Sequence

from placardry.report.markdown import plain
from placardry.review.judged import Review, Style, counted, details, headline, sides, verdict
from placardry.review.seen import Seen

MARKER = "<!-- placardry review -->"  # by this a workflow finds its own comment again
OPEN_CHANGES = 10  # those that need no click
FOOT = "\nJudged by the book's own data. The makers' documents hold; whoever approves reads them.\n"


def render(review: Review, style: Style) -> str:
    """The demands that are open, the changes most dangerous first, then what is met."""
    head = "\n".join(
        [
            MARKER,
            f"### {_first_capital(plain(counted(review)))}",
            "",
            f"{plain(sides(review))}. **{_first_capital(plain(verdict(review)))}.**",
            "",
        ]
    )
    unmet = [f"- [ ] **{plain(one.demand)}**: {plain(one.why)}"
             for one in review.demands if not one.met]  # fmt: skip
    met = [f"- [x] {plain(one.demand)}: {plain(one.why)}" for one in review.demands if one.met]
    room = _Room((style.most or 10**9) - len(head) - len(FOOT))
    body = room.take(unmet, "demands that are open", share=3) + room.fold(review.changes)
    body += room.take(met, "demands that are met", "\n#### Met\n\n")
    return head + body + FOOT


class _Room:
    """The letters that are left; what does not fit is counted, never cut in two."""

    SPARE = 400  # for the lines that count what was left out

    def __init__(self, letters: int) -> None:
        self.letters = letters - self.SPARE

    def take(self, lines: Sequence[str], what: str, title: str = "", share: int = 1) -> str:
        """As many of these lines as fit; `share` is 3 for a third of the room."""
        if not lines:
            return ""
        said = title
        for at, line in enumerate(lines):
            if len(said) + len(line) + 1 > self.letters // share:
                said += f"- {len(lines) - at} more {what}\n"
                break
            said += line + "\n"
        self.letters -= len(said)
        return said

    def fold(self, changes: Sequence[Seen]) -> str:
        """The changes: the first ones open, the others folded, then headlines, then a count."""
        said = ""
        for at, seen in enumerate(changes):
            whole = _whole(seen, is_open=at < OPEN_CHANGES)
            short = f"- {_headline(seen)}\n"
            if len(said) + len(whole) <= self.letters * 3 // 4:
                said += whole
            elif len(said) + len(short) <= self.letters * 7 // 8:
                said += short
            else:
                left = changes[at:]
                said += f"\nand {len(left)} more, none more dangerous than these\n"
                break
        self.letters -= len(said)
        return ("\n" if said else "") + said


def _whole(seen: Seen, *, is_open: bool) -> str:
    rows = "".join(f"- {word}: {plain(text)}\n" for word, text in details(seen))
    opening = "<details open>" if is_open and seen.direction != "neutral" else "<details>"
    return f"{opening}<summary>{_headline(seen)}</summary>\n\n{rows}\n</details>\n"


def _headline(seen: Seen) -> str:
    said = plain(headline(seen))
    word = seen.direction.upper()
    return said.replace(f"{word},", f"<b>{word}</b>,") if seen.direction != "neutral" else said


def _first_capital(text: str) -> str:
    return text[:1].upper() + text[1:]
