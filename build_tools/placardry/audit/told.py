"""The rules of the audit, and what a finding of it says: figure, found, expected."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from placardry.finding import Family, Finding, Rule, Severity, Span, in_order
from placardry.report import report

if TYPE_CHECKING:
    from placardry.audit.claims import Claim


def _rule(name: str, manual: str) -> Rule:
    return Rule(name, Severity.ERROR, Family.EDITIONS, manual)


UNIDENTIFIED = _rule(
    "figure-without-identity",
    """A finished file holds a figure that no link leads from to the register.

    Nobody can tell where it comes from, and no correction in the book will ever reach it.

    Source: common practice, no source.
    """,
)
UNKNOWN = _rule(
    "figure-not-in-register",
    """A figure in a finished file is identified by a row that the register does not have.

    Source: common practice, no source.
    """,
)
WRONG = _rule(
    "figure-with-wrong-value",
    """A figure in a finished file has another value than its row in the register publishes.

    One of the two was changed behind the book's back, and an owner cannot know which.

    Source: common practice, no source.
    """,
)
UNSAFE = _rule(
    "figure-rounded-unsafely",
    """A published value lies on the unsafe side of the exact one, or is not what rounding gives.

    A maximum may only lose by rounding, a minimum only gain, a range only shrink; a nominal
    value stays inside of its band.

    Source: IEEE/ANSI 268 (a limit that may not be violated is rounded inwards).
    """,
)
UNCONDITIONED = _rule(
    "figure-without-condition",
    """A limit stands in a finished file without the condition under which alone it holds.

    The condition stands in the same sentence, table row, cell or list item, as the register
    words it; else an owner takes a limit at full power for one at all times.

    Source: common practice, no source.
    """,
)
NEGATED = _rule(
    "condition-negated",
    """A word before the condition of a figure turns it into its opposite: `not at full throttle`.

    The limit is then read as one that holds at all other times.

    Source: common practice, no source.
    """,
)
BOUND = _rule(
    "bound-word-contradicts",
    """The word before a figure says the wrong side: `at least` before a maximum.

    It is judged by the kind of the figure, and in a PDF by the same words on the manual's pages.

    Source: common practice, no source.
    """,
)
FOREIGN = _rule(
    "figure-of-another-machine",
    """A finished file identifies a figure by the register of another manual, or of none of these.

    An owner sees only their machine: its figures come from the register beside the page.

    Source: common practice, no source.
    """,
)
ABSENT = _rule(
    "figure-missing",
    """A finished file does not hold a figure that its register says it prints.

    A limit that was taken out of a page, a card or a PDF is as dangerous as a wrong one: nobody
    looks for what is not there. `used_in` in the register names the files. The printed manual
    must also mention a figure as often as the pages do, and the sheet as often as its cards.

    Source: common practice, no source.
    """,
)
UNNAMED = _rule(
    "figure-not-in-used-in",
    """A finished file holds a figure, and the register does not name it among those that do.

    It was put there after the build, and no correction in the book will reach it.

    Source: common practice, no source.
    """,
)
HIDDEN = _rule(
    "figure-hidden",
    """A page or a PDF holds words that its reader is not shown: hidden, unpainted, off the page.

    What is not seen is not followed, and a program that copies the text finds it all the same.

    Source: common practice, no source.
    """,
)
STRANGE = _rule(
    "part-of-no-build",
    """A page or a PDF holds what no build puts there: a frame, a note, another base of its links.

    Such a part can show an owner any figure, or lead every link of the page elsewhere.

    Source: common practice, no source.
    """,
)
ASTRAY = _rule(
    "address-elsewhere",
    """The links of a file to the register or the card check lead to another address than the rest.

    An owner who follows one reads what somebody else wrote.

    Source: common practice, no source.
    """,
)
GAUGE = _rule(
    "gauge-differs-from-register",
    """A gauge strip is not drawn as its figures in the register say.

    Each band, red line and numeral stands true to scale, in the colour of its row; an owner looks
    at the colour before the numeral.

    Source: 14 CFR 25.1549 (what is marked red, green and yellow).
    """,
)
MIXED = _rule(
    "editions-mixed",
    """Files that lie together are of different editions, or of a draft and an edition.

    One of them is left from an earlier build, and its figures may be out of date.

    Source: common practice, no source.
    """,
)
UNLISTED = _rule(
    "file-not-in-manifest",
    """A file lies in the published folder that its manifest does not list.

    It is left from an earlier build or was put there by hand.

    Source: common practice, no source.
    """,
)
MISSING = _rule(
    "file-missing",
    """The manifest lists a file that is not there, or the register names it as one with figures.

    Source: common practice, no source.
    """,
)
CHANGED = _rule(
    "file-changed",
    """A file does not have the digest that its manifest gives: it was changed after the build.

    Source: common practice, no source.
    """,
)
DISAGREE = _rule(
    "registers-disagree",
    """A copy of the register says other things of a figure than the copies beside it.

    The register is published as JSON, as a table and as a page, for each manual and for all;
    the one that stands alone with what it says is reported.

    Source: common practice, no source.
    """,
)
SOURCE = _rule(
    "source-changed",
    """A copy of the register names another source of a figure than the copies beside it.

    Source: common practice, no source.
    """,
)
MALFORMED = _rule(
    "malformed-output",
    """A register, manifest, page or PDF cannot be read, or a register is not there at all.

    What cannot be read cannot be traced.

    Source: common practice, no source.
    """,
)
SEARCH = _rule(
    "search-differs",
    """The search index holds words or figures that the place it leads to does not.

    A reader who searches sees the figure in the list of results, without opening the page.

    Source: common practice, no source.
    """,
)
SCHEDULE = _rule(
    "due-differs-from-schedule",
    """The due calculator computes otherwise with a task than the schedule says.

    Whether an overrun is taken off, the end of the month, events, hard use: the marks of its row.

    Source: common practice, no source.
    """,
)
BOOK = _rule(
    "output-differs-from-book",
    """The published register says other things of a figure than the book does today.

    The folder was built from another state of the book, or changed since.

    Source: common practice, no source.
    """,
)


FORMER = _rule(
    "former-value-changed",
    """A value that is printed as history is not what its figure was in the edition named.

    It must say of which figure and edition it is; `editions.json` tells what stood there.

    Source: common practice, no source.
    """,
)
PAST = _rule(
    "editions-disagree",
    """What is said of an edition or of a card's code differs from what `editions.json` tells.

    It lies in the folder of each manual and beside the merged register; the copies, the page of
    editions, the card check and the foot of each card must say the same.

    Source: common practice, no source.
    """,
)


@dataclass(frozen=True, slots=True)
class Told:
    """A finding of the audit: which figure, what stands there, what should (as in the JSON)."""

    finding: Finding
    figure: str = ""
    found: str = ""
    expected: str = ""


def tell(
    rule: Rule,
    span: Span,
    message: str,
    mend: str,
    figure: str = "",
    found: str = "",
    expected: str = "",
) -> Told:
    """A finding at a place of a finished file."""
    return Told(Finding(rule, span, message, mend), figure, found, expected)


def on_line(path: str, line: int) -> Span:
    """The place of a finding on a line of a finished file."""
    return Span(path, line, 1, line, 1)


def line_at(data: bytes, at: int) -> int:
    """The line in which a place of a file lies; the first for a place below 0, not found."""
    return data.count(b"\n", 0, max(at, 0)) + 1


def at_words(path: str, data: bytes, words: str) -> Span:
    """The line of a file in which words stand first; the first line where they do not."""
    return on_line(path, line_at(data, data.find(words.encode())))


def told_of(
    rule: Rule,
    claim: Claim,
    says: str,
    mend: str,
    expected: str = "",
    figure: str = "",
    found: str = "",
) -> Told:
    """A finding on a figure where it is printed; the reader of the file adds the line.

    `figure` and `found` are as the claim has them where they are not given.
    """
    block = claim.block
    where = f" on page {block.page}" if block.page else ""
    shown, around = (" ".join(text.split()) for text in (claim.text, claim.group))
    near = f" in “{around if len(around) <= 90 else around[:89] + '…'}”" if around != shown else ""
    message = f"`{shown}`{where}{near} {says}"
    span = Span(block.file)
    return tell(rule, span, message, mend, figure or claim.anchor, found or shown, expected)


def as_json(told: Iterable[Told], quantities: Mapping[str, int], files: Mapping[str, int]) -> str:
    """The findings in the shape that `check` gives them, with figure, found and expected.

    Shape: `{"findings": [{…, "figure", "found", "expected"}], "quantities": {…}, "files": {…}}`,
    the last two by kind of file.
    """
    known = {one.finding: one for one in told}
    whole = json.loads(report(known, {}, format="json"))
    for row, finding in zip(whole["findings"], in_order(known), strict=True):
        one = known[finding]
        row["figure"] = one.figure or None
        row["found"], row["expected"] = one.found or None, one.expected or None
    whole |= {"quantities": dict(sorted(quantities.items())), "files": dict(sorted(files.items()))}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"
