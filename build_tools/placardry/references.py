"""References in author text: `{id}`, `{kind/id}`, `{id.part}`, `{kind/id.part}`.

The only thing in author text that is not plain words, and inert: a reference is looked up,
never evaluated. `{{` and `}}` are plain braces; every other brace is a mistake with a place.
Knows nothing of what a reference leads to.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import islice

from placardry.finding import MOST_IN_TEXT, Family, Finding, Rule, Severity, Span, light
from placardry.nodes import Scalar
from placardry.notation import quoted

ID = r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*"
_PART = r"[a-z0-9]+(?:-[a-z0-9]+)*"
_REFERENCE = rf"\{{(?:(?P<kind>{ID})/)?(?P<id>{ID})(?:\.(?P<part>{_PART}))?\}}"
_TOKEN = re.compile(
    rf"(?P<open>\{{\{{)|(?P<close>\}}\}})|{_REFERENCE}|(?P<bad>\{{[^{{}}\n]*\}}?|\}})"
)

MALFORMED_REFERENCE = Rule(
    "malformed-reference",
    Severity.ERROR,
    Family.PROSE,
    """A brace in author text begins no reference.

    `{id}`, `{kind/id}` and `{id.part}` stand for a figure or a record that is written elsewhere.
    Ids are lower-case words joined by hyphens. A brace that is none of these would be printed.

    Source: common practice, no source.

    Bad:
        content/warming-up.md
            # Warming up

            Keep the engine at idle for {Warm up time}.
    Good:
        content/warming-up.md
            # Warming up

            Keep the engine at idle. Braces are written {{twice}}.
    """,
)


@light
class Reference:
    """One reference and the stretch of its text, braces included.

    Units: `start` and `end` are offsets in code points, half-open.
    """

    kind: str | None
    id: str
    part: str | None
    start: int
    end: int

    def __str__(self) -> str:
        kind = f"{self.kind}/" if self.kind else ""
        part = f".{self.part}" if self.part else ""
        return f"{{{kind}{self.id}{part}}}"


@light
class Bad:
    """A brace that begins no reference, with what stands behind it."""

    text: str
    start: int
    end: int


@lru_cache(maxsize=65536)
def pieces(text: str) -> tuple[str | Reference | Bad, ...]:
    """The text in order: plain passages with braces undoubled, references, stray braces."""
    if "{" not in text and "}" not in text:
        return (text,) if text else ()
    found: list[str | Reference | Bad] = []
    plain_words: list[str] = []
    here = 0

    def flush() -> None:
        if words := "".join(plain_words):
            found.append(words)
        plain_words.clear()

    for match in _TOKEN.finditer(text):
        plain_words.append(text[here : match.start()])
        here = match.end()
        if match["open"] or match["close"]:
            plain_words.append(match[0][0])
            continue
        flush()
        if match["id"]:
            found.append(
                Reference(match["kind"], match["id"], match["part"], match.start(), match.end())
            )
        else:
            found.append(Bad(match[0], match.start(), match.end()))
    plain_words.append(text[here:])
    flush()
    return tuple(found)


def references(text: str) -> Iterator[Reference]:
    """The references of the text, in order."""
    if "{" in text:
        yield from (piece for piece in pieces(text) if isinstance(piece, Reference))


def plain(text: str, say: Callable[[Reference], str]) -> str:
    """The text with every reference said by `say`; stray braces stay as they are."""
    return "".join(
        say(piece)
        if isinstance(piece, Reference)
        else piece.text
        if isinstance(piece, Bad)
        else piece
        for piece in pieces(text)
    )


def doubled(text: str) -> str:
    """Plain words as author text: every brace doubled, so that `plain` gives them back."""
    return text.replace("{", "{{").replace("}", "}}")


def malformed(scalar: Scalar, source: str) -> Iterator[Finding]:
    """A finding for every brace in the scalar that begins no reference."""
    if "{" not in scalar.text and "}" not in scalar.text:
        return
    stray = (piece for piece in pieces(scalar.text) if isinstance(piece, Bad))
    for piece in islice(stray, MOST_IN_TEXT):
        yield Finding(
            MALFORMED_REFERENCE,
            locate(scalar, source, piece.start, piece.end),
            f"`{quoted(piece.text)}` is no reference",
            _mend(piece.text),
        )


def _mend(text: str) -> str:
    """What to type in the place of a stray brace: the nearest reference if there is one."""
    if not text.startswith("{"):
        return "remove the `}`, or write `}}` for a plain brace"
    if not text.endswith("}"):
        return "close the reference with `}`, or write `{{` for a plain brace"
    if len(text) > 100:
        return "write a name between the braces, or `{{` and `}}` for plain braces"
    slashes = [_kebab(word) for word in text[1:-1].split("/")]
    guess = "{" + "/".join(slashes) + "}"
    if re.fullmatch(_REFERENCE, guess):
        return f"write `{guess}`, or `{{{text}}}` for plain braces"
    return f"write `{{id}}`, `{{kind/id}}` or `{{id.part}}`, or `{{{text}}}` for plain braces"


def _kebab(words: str) -> str:
    return re.sub(r"[\s_-]+", "-", words.strip().lower())


def locate(scalar: Scalar, source: str, start: int, end: int) -> Span:
    """The span in the file of `scalar.text[start:end]`; the scalar's own where it is not found.

    `source` is the file's text as `files.text_of` gives it.
    """
    span = scalar.span
    is_one_line = scalar.style == "" and span.line == span.end_line
    if is_one_line and span.end_column - span.column == len(scalar.text):
        begin = span.column + start
        return Span(span.path, span.line, begin, span.line, begin + end - start)
    spoken = _as_written(scalar.text[start:end], "")
    wanted = _as_written(scalar.text[start:end], scalar.style)
    if spoken is None or wanted is None:
        return span
    earlier = sum(match.start() < start for match in spoken.finditer(scalar.text))
    lines = source.split("\n")[span.line - 1 : span.end_line]
    if len(lines) != span.end_line - span.line + 1:
        return span
    lines[-1] = lines[-1][: span.end_column - 1]
    slice_ = " " * (span.column - 1) + "\n".join(lines)[span.column - 1 :]
    for count, match in enumerate(wanted.finditer(slice_)):
        if count == earlier:
            return _span_of(span, slice_, match.start(), match.end())
    return span


def _as_written(words: str, style: str) -> re.Pattern[str] | None:
    """A pattern for how the words may stand in the file: white space is free, quotes escaped."""
    if style == "'":
        words = words.replace("'", "''")
    elif style == '"':
        words = words.replace("\\", "\\\\").replace('"', '\\"')
    parts = words.split()
    return re.compile(r"\s+".join(map(re.escape, parts))) if parts else None


def _span_of(within: Span, slice_: str, start: int, end: int) -> Span:
    """The span of a stretch of `slice_`, which begins on the first line of `within`."""

    def place(offset: int) -> tuple[int, int]:
        before = slice_[:offset]
        return within.line + before.count("\n"), offset - (before.rfind("\n") + 1) + 1

    return Span(within.path, *place(start), *place(end))
