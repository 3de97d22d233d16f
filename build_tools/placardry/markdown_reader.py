"""Pages of author Markdown as nodes in the shape of their record, so that all knows its place.

A page begins with front matter (YAML between two lines of `---`; may be left out) and a title
(`# …`). Below stand headings, lists, tables, emphasis, code, links and pictures, and three fenced
blocks, which begin in the first column; a block inside another has the shorter fence:

    ````applies {engine: marl-230}        only where this applies
    Prose, also with blocks.
    ```hazard                             a safety message, as in a procedure's step
    signal: warning
    hazard: turning propeller
    consequence: It can kill or maim.
    avoid: Keep clear of it.
    ```
    ````
    ```quotation                          the words of a placard or a document, as they stand
    Max. 40 min
    ```

Everything else that some Markdown program knows gets a finding: print could not show it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from placardry.finding import Finding, Rule, Span, did_you_mean
from placardry.markdown_rules import (
    FOREIGN_MARKUP,
    HTML_IN_MARKDOWN,
    MALFORMED_BLOCK,
    PAGE_WITHOUT_TITLE,
    SECOND_TITLE,
    UNSAFE_LINK,
)
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.source_text import read_text, shortened
from placardry.yaml_reader import read_yaml_text
from placardry.yaml_rules import DUPLICATE_KEY

# The extensions of Python-Markdown that every writer renders author text with.
EXTENSIONS = ("tables", "sane_lists")
BLOCKS = ("applies", "hazard", "quotation")
MOST_LEVELS = 10

_FENCE = re.compile(r"(?P<indent> *)(?P<marks>`{3,}|~{3,}) *(?P<kind>[^\s{`]*) *(?P<rest>[^`]*)$")
_TITLE = re.compile(r"# +(?P<words>\S.*)")
_CODE = re.compile(r"(?<!`)(`+)(?!`).+?(?<!`)\1(?!`)")
_LINK = re.compile(r"(?:\]\(\s*<?|^ {0,3}\[[^\]]+\]:\s*<?)(?P<scheme>[A-Za-z][A-Za-z0-9+.-]*):")
_SCHEMES = ("http", "https", "mailto")
_HTML = re.compile(r"</?[A-Za-z][^<>]*>?|<[!?][^<>]*>?|&(?:#\d+|#[xX][0-9A-Fa-f]+|[A-Za-z]\w*);")
_SIGN = re.compile(r"[]!?=>:[<&$~+^]|--")  # one of them is in whatever the patterns find
_FOREIGN: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), mend)
    for pattern, mend in (
        (r"^ *(?:!!!|\?\?\?\+?) ?.*", "write a block ```hazard or plain prose"),
        (r"^ *===[+!]? *\".*", "write a block ```applies, or a heading for each case"),
        (r"^ *>.*", "write a block ```quotation"),
        (r"^(?:=+|-{2,}) *$", "leave a blank line above, or write the heading as `## …`"),
        (r"^ {0,3}: {1,3}\S.*", "write a list or a table"),
        (r"^ *[-*+] \[[ xX]\] ", "write a plain list"),
        (r"^ *\*\[[^\]]+\]:.*", "write the words out where they are used"),
        (r"-{1,2}8<-{1,2}.*", "write the passage itself"),
        (r"\[\[[^\]]*\]?\]?", "write a link as `[words](page.md)`"),
        (r"\[\^[^\[\]]+\]", "write the note into the sentence"),
        (r"(?<![\w:/]):[a-z][a-z0-9_+-]+:(?![\w:])", "write a word in its place"),
        (r"\$\$|(?<![\w$])\$[^\s\d$][^$]*\$", "write the formula in words"),
        (r"==[^\s=][^=]*==|~~[^\s~][^~]*~~|\+\+[^\s+][^+]*\+\+|\^\^[^\s^][^^]*\^\^",
         "write `**…**` for emphasis"),
    )
)  # fmt: skip


def read_page(path: str, data: bytes) -> tuple[Mapping | None, tuple[Finding, ...]]:
    """A page as a mapping for its record's decoder, and what is wrong with its text.

    Shape: the keys of the front matter, then `title`, `path` and `passages`, a list of mappings
    with `markdown`, `line`, and where they hold `applies` (a list, outermost first), `hazard`
    and `quotation: yes`. None if the page is broken as a whole.
    """
    text, findings = read_text(path, data)
    if text is None:
        return None, tuple(findings)
    page = _Page(path, text.split("\n"))
    node = page.read()
    if any(finding.rule.name == "tab" for finding in findings):
        page.findings = [finding for finding in page.findings if finding.rule.name != "tab"]
    return node, (*findings, *page.findings)


class _Page:
    """One pass over the lines of one page; lines count from 0 here."""

    def __init__(self, path: str, lines: list[str]) -> None:
        self.path = path
        self.lines = lines
        self.findings: list[Finding] = []
        self.title: Scalar | None = None
        self.passages: list[Node] = []
        self.broken = False

    def say(self, rule: Rule, line: int, start: int, end: int, message: str, mend: str) -> None:
        span = Span(self.path, line + 1, start + 1, line + 1, max(end, start) + 1)
        self.findings.append(Finding(rule, span, message, mend))

    def read(self) -> Mapping | None:
        front, body = self._front()
        self._passages(body, len(self.lines), ())
        if self.title is None:
            self.broken = True
            self.say(PAGE_WITHOUT_TITLE, body, 0, 0, "the page has no title",
                     "begin the page with a line such as `# Warming up`")  # fmt: skip
        if self.title is None or self.broken:
            return None
        span = Span(self.path, 1, 1, len(self.lines), len(self.lines[-1]) + 1)
        own: tuple[tuple[str, Node], ...] = (
            ("title", self.title),
            ("path", Scalar(self.path, self.title.span)),
            ("passages", Sequence(tuple(self.passages), span)),
        )
        names = dict(own)
        for key, _ in front:
            if key.text in names:
                message = f"`{key.text}` is given by the page itself"
                mend = f"remove `{key.text}`"
                self.findings.append(Finding(DUPLICATE_KEY, key.span, message, mend))
        kept = (entry for entry in front if entry[0].text not in names)
        return Mapping((*kept, *((Scalar(name, node.span), node) for name, node in own)), span)

    def _front(self) -> tuple[tuple[tuple[Scalar, Node], ...], int]:
        """The entries of the front matter, and the line on which the body begins."""
        if self.lines[0].rstrip() != "---":
            return (), 0
        ends = (n for n, line in enumerate(self.lines) if n and line.rstrip() in ("---", "..."))
        end = next(ends, None)
        if end is None:
            self.broken = True
            self.say(MALFORMED_BLOCK, 0, 0, 3, "the front matter is not closed",
                     "write a line of `---` behind its last key")  # fmt: skip
            return (), 1
        if not any(line.strip() for line in self.lines[1:end]):
            return (), end + 1
        root = self._yaml("\n" + "\n".join(self.lines[1:end]))
        return (root.entries if root else ()), end + 1

    def _yaml(self, text: str) -> Mapping | None:
        """YAML that stands in the page, with blank lines before it so that its places are right."""
        root, findings = read_yaml_text(self.path, text)
        self.findings += findings
        self.broken = self.broken or root is None
        return root

    def _passages(self, line: int, end: int, applies: tuple[Node, ...]) -> None:
        """Read the lines up to `end`, which hold only where all of `applies` do."""
        start = line
        while line < end:
            match = _FENCE.match(self.lines[line])
            if match is None:
                if self._line(line, is_inside=bool(applies)):
                    self._prose(start, line, applies)
                    start = line + 1
                line += 1
                continue
            self._prose(start, line, applies)
            close = self._close(line, end, match["marks"])
            if close is None:
                self.broken = True
                marks = match["marks"]
                self.say(MALFORMED_BLOCK, line, 0, len(self.lines[line]), "the block is not closed",
                         f"write a line of `{marks}` behind the block")  # fmt: skip
                return
            self._block(match, line, close, applies)
            start = line = close + 1
        self._prose(start, end, applies)

    def _close(self, line: int, end: int, marks: str) -> int | None:
        """The line of the fence that closes the block begun on `line`.

        A block inside another has the shorter fence, so one that is as long begins the next.
        """
        fence = re.compile(rf" *{marks[0]}{{{len(marks)},}} *(?P<next>[a-z][^`]*)?$")
        for inside in range(line + 1, end):
            if match := fence.match(self.lines[inside]):
                return None if match["next"] else inside
        return None

    def _line(self, line: int, *, is_inside: bool) -> bool:
        """Judge a line of prose; whether it is the page's title."""
        text = self.lines[line]
        self.findings.extend(_foreign(self.path, line, self.lines))
        match = _TITLE.match(text)
        if match is None:
            return False
        words = match["words"].rstrip()
        if words.endswith("#") and words.rstrip("#").endswith(" "):  # `# Title #`
            words = words.rstrip("# ")
        if self.title is not None or is_inside:
            self.say(SECOND_TITLE, line, 0, len(text), f"`{shortened(words)}` is a title",
                     "begin the heading with `##`")  # fmt: skip
            return False
        start = match.start("words") + 1
        span = Span(self.path, line + 1, start, line + 1, start + len(words))
        self.title = Scalar(words, span)
        return True

    def _prose(self, start: int, end: int, applies: tuple[Node, ...], *more: str) -> None:
        """Keep lines of prose as one passage, unless they are blank."""
        while start < end and not self.lines[start].strip():
            start += 1
        while end > start and not self.lines[end - 1].strip():
            end -= 1
        if start == end:
            return
        span = Span(self.path, start + 1, 1, end, len(self.lines[end - 1]) + 1)
        markdown = Scalar("\n".join(self.lines[start:end]), span, "|")
        flags: dict[str, Node] = {name: Scalar("yes", span) for name in more}
        self._passage(markdown, applies, flags)

    def _passage(self, markdown: Scalar, applies: tuple[Node, ...], more: dict[str, Node]) -> None:
        """Add a passage as the node of its record."""
        span = markdown.span
        fields: dict[str, Node] = {"markdown": markdown, "line": Scalar(str(span.line), span)}
        if applies:
            fields["applies"] = Sequence(applies, applies[0].span)
        fields |= more
        entries = tuple((Scalar(name, node.span), node) for name, node in fields.items())
        self.passages.append(Mapping(entries, span))

    def _block(
        self, match: re.Match[str], line: int, close: int, applies: tuple[Node, ...]
    ) -> None:
        """Read one fenced block, its fences on `line` and `close`."""
        kind, rest = match["kind"], match["rest"].strip()
        length = len(self.lines[line])
        if match["indent"]:
            self.say(MALFORMED_BLOCK, line, 0, length, "the fenced block is indented",
                     "begin it in the first column")  # fmt: skip
        elif kind not in BLOCKS:
            known = "write one of the kinds " + ", ".join(f"`{name}`" for name in BLOCKS)
            message = (
                f"`{shortened(kind)}` is no kind of block" if kind else "the block has no kind"
            )
            self.say(MALFORMED_BLOCK, line, 0, length, message, did_you_mean(kind, BLOCKS, known))
        elif len(applies) == MOST_LEVELS:
            message = f"more than {MOST_LEVELS} blocks stand inside each other"
            self.say(MALFORMED_BLOCK, line, 0, length, message, "write one `applies` for them")
        elif bool(rest) is not (kind == "applies"):
            says = f"`{shortened(rest)}` stands behind `{kind}`" if rest else "nothing applies here"
            mend = f"remove `{shortened(rest)}`" if rest else "write `applies {engine: …}`"
            self.say(MALFORMED_BLOCK, line, 0, length, says, mend)
        elif kind == "applies":
            column = match.start("rest")
            node = self._yaml("\n" * line + " " * column + match["rest"])
            if node is not None:
                self._passages(line + 1, close, (*applies, node))
        elif kind == "hazard":
            self._hazard(line, close, applies)
        else:
            for inside in range(line + 1, close):
                self.findings.extend(_foreign(self.path, inside, self.lines))
            self._prose(line + 1, close, applies, "quotation")

    def _hazard(self, line: int, close: int, applies: tuple[Node, ...]) -> None:
        """A safety message: its body is YAML, and may hold `applies` of its own."""
        body = self.lines[line + 1 : close]
        if not any(text.strip() for text in body):
            self.say(MALFORMED_BLOCK, line, 0, len(self.lines[line]), "the block is empty",
                     "write `signal`, `hazard`, `consequence` and `avoid` into it")  # fmt: skip
            return
        node = self._yaml("\n" * (line + 1) + "\n".join(body))
        if node is not None:
            self._passage(Scalar("", node.span, "|"), applies, {"hazard": node})


def _foreign(path: str, line: int, lines: list[str]) -> Iterator[Finding]:
    """The markup on a line that is outside of the fixed set: the first of each sort."""
    if not _SIGN.search(lines[line]):
        return
    text = _CODE.sub(lambda match: " " * len(match[0]), lines[line])

    def say(rule: Rule, match: re.Match[str], mend: str) -> Finding:
        start = match.start() + len(match[0]) - len(match[0].lstrip())
        words = match[0].strip()
        end = start + len(words)
        span = Span(path, line + 1, start + 1, line + 1, end + 1)
        return Finding(rule, span, f"`{shortened(words)}` is no markup of a page", mend)

    for match in _LINK.finditer(text):
        if match["scheme"].lower() not in _SCHEMES:
            span = Span(path, line + 1, match.start("scheme") + 1, line + 1, match.end() + 1)
            message = f"`{match['scheme']}:` is no address of a page"
            mend = "link to a page of the book, or to an address with https:"
            yield Finding(UNSAFE_LINK, span, message, mend)
    if html := _HTML.search(text):
        mend = "write `[words](address)`" if "://" in html[0] else "write it in Markdown"
        if html[0].startswith("&"):
            mend = "type the character itself"
        yield say(HTML_IN_MARKDOWN, html, mend)
    is_below_text = line > 0 and lines[line - 1].strip() and not lines[line - 1].startswith("|")
    for pattern, mend in _FOREIGN:
        found = pattern.search(text)
        if found and (is_below_text or not re.fullmatch(r"[=-]+ *", text)):
            yield say(FOREIGN_MARKUP, found, mend)
            return
