"""Former values, the page of editions and the card check, against what stood in the editions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from placardry.audit import verdicts
from placardry.audit.claims import Claim, plain
from placardry.audit.past import NAME, History, Issue, Key
from placardry.audit.register import Register
from placardry.audit.told import FORMER, MIXED, PAST, UNCONDITIONED, Told, at_words, tell, told_of
from placardry.codes import is_sound
from placardry.finding import Span
from placardry.notation import read_loosely
from placardry.recognise import ends_in

if TYPE_CHECKING:
    from selectolax.lexbor import LexborHTMLParser

_MEND = "build the manual again; what was issued is never edited"
_NUMERAL = re.compile(r"[-\u2212]?[0-9]+(?:[.,][0-9]+)*")


def judged(claim: Claim, register: Register) -> Iterator[Told]:
    """What is wrong with a value that is printed as history."""
    former, history = claim.former, register.history
    if former is None:
        says = "is printed as history, and no link says of which figure and edition"
        yield told_of(FORMER, claim, says, _MEND)
        return
    manual = former.manual or register.manual_in(claim.manual)
    latest = history.latest.number if history.latest else 0
    number = former.edition or latest
    state = history.figures.get((manual, former.anchor), {}).get(number)
    if state is None:
        says = f"is said to be `{former.anchor}` in edition {number}, which did not hold it"
        yield told_of(FORMER, claim, says, _MEND, figure=former.anchor)
        return
    unit, numbers = numbers_of(claim)
    right = state.numbers(unit)
    if right is None or numbers != right:
        says = f"is not what `{former.anchor}` was in edition {number}: {state.said}"
        yield told_of(FORMER, claim, says, _MEND, state.said, former.anchor)
    elif state.condition and plain(state.condition) not in plain(claim.group):
        says = f"stands without the condition that `{former.anchor}` had, “{state.condition}”"
        yield told_of(UNCONDITIONED, claim, says, _MEND, state.condition, former.anchor)


def numbers_of(claim: Claim) -> tuple[str, frozenset[Fraction]]:
    """The unit and the numbers of a figure as printed."""
    figure = claim.figure
    if figure is None:
        language = claim.language.partition("-")[0]
        found = [read_loosely(one, language)[0] for one in _NUMERAL.findall(claim.text)]
        return "", frozenset(found)
    given = ends_in(figure).values()
    return next(iter(given)).unit.symbol, frozenset(end.value for end in given)


_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MARK = re.compile(
    r"\b(?:Edition|edition|Ausgabe) ([0-9]+) (?:of|vom) ([0-9]{4}-[0-9]{2}-[0-9]{2})"
)
_PAIR = re.compile(r"\b([0-9]+) (?:of|vom) ([0-9]{4}-[0-9]{2}-[0-9]{2})")
CODE = re.compile(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b")
# At the head of a page or alone on one; a sentence may name the edition of a document.
_HEAD = re.compile(rf"(?:^|[\w-]+ · ){_MARK.pattern}")
_FOOT = re.compile(r"\b([0-9A-Z]{4}-[0-9A-Z]{4})\s+·\s+([\w-]+)\s+/\s+([\w-]+)")


def marks(text: str) -> list[tuple[int, str]]:
    """The editions that a text names with their days."""
    return [(int(number), day) for number, day in _MARK.findall(" ".join(text.split()))]


def printed(span: Span, text: str, register: Register, folder: str) -> Iterator[Told]:
    """What a line of a PDF says of the edition that it is of, and of the code of its card."""
    text = " ".join(text.split())
    history, foot = register.history, _FOOT.search(text)
    if foot is not None and history.path:
        code, manual, card = foot.groups()
        if folder and manual != (own := register.manual_in(folder)):
            message = f"the foot names the manual `{manual}`; the card lies with `{own}`"
            yield tell(PAST, span, message, _MEND, "", manual, own)
            return
        held = history.code((manual, card))
        within, _, name = span.path.removesuffix(".pdf").rpartition("/")
        if within.rpartition("/")[2] == "cards" and card != name and history.code((manual, name)):
            message = f"this is the file of the card `{name}`, and its foot that of `{card}`"
            yield tell(PAST, span, message, _MEND, "", card, name)
            return
        if not is_sound(code) or (marks(text) and code != held):
            message = f"`{code}` is not the code of the card `{card}`, which is {held or 'a draft'}"
            yield tell(PAST, span, message, _MEND, "", code, held)
            return
        issued = history.since((manual, card)) if held else None
        yield from _named_rightly(span, text, issued.mark if issued else None, f"card `{card}`")
    elif _HEAD.search(text) and "cards/" not in span.path:
        yield from _named_rightly(span, text, register.mark, "register")


def _named_rightly(
    span: Span, text: str, right: tuple[int | str, str] | None, of: str
) -> Iterator[Told]:
    for mark in marks(text):
        if mark != right:
            message = f"{_said(mark)} is named here; the {of} is {_said(right)}"
            yield tell(MIXED, span, message, _MEND, "", _said(mark), _said(right))


def _said(mark: tuple[int | str, str] | None) -> str:
    return f"edition {mark[0]} of {mark[1]}" if mark else "a draft"


def page_of_editions(path: str, data: bytes, history: History) -> Iterator[Told]:
    """The rows of the page of editions: number, day, what is new, day of withdrawal."""
    from selectolax.lexbor import LexborHTMLParser

    seen = set()
    for row in LexborHTMLParser(data.decode("utf-8", "replace")).css("tr"):
        cells = [" ".join(cell.text().split()) for cell in row.css("td")]
        if len(cells) < 3 or not cells[0].isdecimal() or not _DAY.search(cells[1]):
            continue
        seen.add(int(cells[0]))
        issue = history.editions.get(int(cells[0]))
        told = " ".join(cells)
        if issue is None:
            yield _row(path, data, cells[0], told, "no such edition")
            continue
        days = {issue.dated, issue.withdrawn} - {""}
        if set(_DAY.findall(" ".join([cells[1], *cells[3:]]))) != days:
            yield _row(path, data, cells[0], told, " ".join(sorted(days)))
        elif not any(summary in cells[2] for summary in issue.summaries):
            yield _row(path, data, cells[0], told, " or ".join(issue.summaries))
    for number in sorted(history.editions.keys() - seen if seen else ()):
        yield _row(path, data, str(number), "", _said(history.editions[number].mark))


def _row(path: str, data: bytes, number: str, found: str, expected: str) -> Told:
    span = at_words(path, data, f"<td>{number}</td>")
    message = f"edition {number} is told as `{found or 'nothing'}`; `{NAME}` has `{expected}`"
    return tell(PAST, span, message, _MEND, "", found, expected)


def card_check(path: str, data: bytes, history: History, manual: str) -> Iterator[Told]:
    """The card check: each code ever issued, and the editions that it names.

    `manual` is that of the page; empty for the page of all.
    """
    from selectolax.lexbor import LexborHTMLParser

    page = LexborHTMLParser(data.decode("utf-8", "replace"))
    seen = set()
    for row in page.css("tr[data-code]"):
        code = row.attributes.get("data-code") or ""
        cell = row.css_first("td")
        shown = cell.text().strip() if cell is not None else ""
        seen.add(code)
        span = at_words(path, data, f'data-code="{code}"')
        verdict = row.css_first("strong")  # behind it an author may say what they like
        named = marks(verdict.text()) if verdict is not None else []
        yield from _code(span, code, shown, named, history)
        if row.css_first("ul") is not None:
            between = row.css_first("p.between")
            ends = marks(between.text()) if between is not None else []
            yield from _between(span, code, ends, history)
    around = " ".join(" ".join(one.text() for one in page.css("main > p")).split())
    known = [one.mark for one in history.editions.values()]
    for number, day in _PAIR.findall(around) if known else ():
        if (int(number), day) not in known:
            found, expected = _said((int(number), day)), _said(known[-1])
            message = f"the page names {found}, which there is not"
            yield tell(PAST, Span(path), message, _MEND, "", found, expected)
    yield from _fresh(path, page, history)
    for card, codes in sorted(history.cards.items()):
        for code in sorted({*codes.values()} - seen if card[0] == (manual or card[0]) else ()):
            message = f"nothing is told of the code `{code}` of the card `{card[1]}`"
            yield tell(PAST, Span(path), message, _MEND, "", "", code)
    yield from verdicts.judged(path, data, page, history)


def _fresh(path: str, page: LexborHTMLParser, history: History) -> Iterator[Told]:
    """The day as of which the page says what it says: that of the latest entry of the ledger."""
    known = page.css_first("main > p.known")
    text = known.text() if known is not None else ""
    days = _DAY.findall(_PAIR.sub("", " ".join(text.split())))
    if history.day and days != [history.day]:
        found = ", ".join(days)
        message = f"the page is as of {found or 'no day'}; an edition was last issued or "
        message += f"withdrawn on {history.day}"
        yield tell(PAST, Span(path), message, _MEND, "", found, history.day)


def _between(
    span: Span, code: str, named: list[tuple[int, str]], history: History
) -> Iterator[Told]:
    """The editions that the changes of a card lie between: the last that had it, and the latest."""
    held, latest = history.held_by(code), history.latest
    stood = [one.mark for one in history.standing if held and one.number in held[1]]
    right = [max(stood), latest.mark] if stood and latest else []
    if right and named != right:
        found, expected = (" to ".join(map(_said, each)) for each in (named, right))
        message = f"changes of `{code}` lie between {expected}, not {found or 'any named'}"
        yield tell(PAST, span, message, _MEND, "", found, expected)


def _code(
    span: Span, code: str, shown: str, named: list[tuple[int, str]], history: History
) -> Iterator[Told]:
    """A row of the card check: whether there was such a code, and which edition it must name."""
    held = history.held_by(code)
    if held is None or shown != code:
        stray = code if held is None else shown
        message = f"`{stray}` is told of as a code; no card of any edition had it"
        yield tell(PAST, span, message, _MEND, "", stray, code if held else "")
        return
    right = _named(history, *held)
    for mark in named:
        if right and mark != right.mark:
            found, expected = _said(mark), _said(right.mark)
            message = f"of `{code}` it names {found}; right is {expected}"
            yield tell(PAST, span, message, _MEND, "", found, expected)


def _named(history: History, card: Key, held: tuple[int, ...]) -> Issue | None:
    """The edition that is named of a code: the latest, or that which replaced or dropped it."""
    latest = history.latest
    if latest is None or latest.number in held:
        return latest
    last = max((one.number for one in history.standing if one.number in held), default=0)
    codes, is_printed = history.cards[card], bool(history.code(card))
    after = [
        one
        for one in history.standing
        if one.number > last and (is_printed or one.number not in codes)
    ]
    # Where no standing edition had the code it is withdrawn, and no edition is named.
    return min(after, key=lambda one: one.number) if last and after else None
