"""YAML text as nodes: every scalar stays text, every node knows its place.

What YAML would lose in silence is a finding. libyaml's events are walked with a stack of our
own, so that no nesting can exhaust Python's. Knows nothing of records.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import yaml

from placardry.finding import Finding, Note, Rule, Span
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.source_text import HIDDEN, HIDDEN_CHARACTER, read_text, shortened
from placardry.syntax_rules import MISSING_COLON, TOO_DEEP
from placardry.yaml_faults import explain, plain_spaces, without_space
from placardry.yaml_rules import (
    ALIAS,
    DASH_WITHOUT_SPACE,
    DUPLICATE_KEY,
    EMPTY_FILE,
    EMPTY_VALUE,
    KEY_NOT_TEXT,
    MERGE_KEY,
    NOT_A_MAPPING,
    SECOND_DOCUMENT,
    TAG,
    TEXT_CUT_BY_HASH,
    TEXT_SPLIT_BY_COMMA,
    UNQUOTED_REFERENCE,
)

MOST_LEVELS = 50
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # only its events are used
_Event = Any  # its stubs say that a mark may be missing; the parsers always give one
_HASH = re.compile(r"(?<=[ ])#")
_KEY_WITHOUT_SPACE = re.compile(r"([a-z][a-z-]*):([^\s/:][^\s:]*)")
_LIKE_A_REFERENCE = re.compile(r"[a-z][a-z0-9-]*(/[a-z][a-z0-9-]*)?(\.[a-z0-9-]+)?")
_FIGURE_SPLIT = re.compile(r"(?:above |below |at least |at most )?[-\u2212]?[0-9]+,[0-9]")
_NUMBERS = re.compile(r"[0-9.]+(?:, ?[0-9.]+)+")
_DECIMAL = re.compile(r"[0-9]+,[0-9]+")
_CURLY = "\u201c\u201d\u201e\u201f"  # quotation marks that mean nothing to YAML
# What a comment looks like that was meant as text: `#3`, `#left`, `# 3`; or the text before it
# waits for more: an open bracket, `see`, `no.`
_MEANT_AS_TEXT = re.compile(r"#(\w|\s*\d+\b(?!\s*\w))")
_WAITS_FOR_MORE = re.compile(r"(\([^()]*|\b(see|no\.|number|item|part|page|step|size|nr\.))$", re.I)


def read_yaml(path: str, data: bytes) -> tuple[Mapping | None, tuple[Finding, ...]]:
    """The mapping that a YAML file holds, and what is wrong with its text.

    A value that is missing, and was reported, is a plain scalar without text. None if the file
    cannot be read as a whole; it is then known as broken, and there is at least one finding.
    """
    text, findings = read_text(path, data)
    if text is None:
        return None, tuple(findings)
    root, more = read_yaml_text(path, text)
    if any(finding.rule.name == "tab" for finding in findings):
        more = tuple(finding for finding in more if finding.rule.name != "tab")
    return root, (*findings, *more)


def read_yaml_text(path: str, text: str) -> tuple[Mapping | None, tuple[Finding, ...]]:
    """Like `read_yaml`, for characters that `source_text.read_text` has already judged."""
    text, spaces = plain_spaces(path, text)
    reader = _Reader(path, text)
    reader.findings += spaces
    root = reader.read()
    if isinstance(root, Mapping):
        return root, tuple(reader.findings)
    if root is not None and not reader.findings:
        reader.say(NOT_A_MAPPING, root.span, "the file does not begin with a key",
                   "begin the file with a key and a colon, such as `limits:`")  # fmt: skip
    elif root is None and not reader.findings:
        reader.say(EMPTY_FILE, Span(path), "the file says nothing",
                   "write its content, or delete the file")  # fmt: skip
    return None, tuple(reader.findings)


class _Open:
    """A list or mapping whose end has not been read yet."""

    __slots__ = ("bare", "entries", "flow", "is_mapping", "items", "key", "key_end", "keys",
                 "last", "split", "start")  # fmt: skip

    def __init__(self, event: _Event) -> None:
        mark = event.start_mark
        self.start = (mark.line + 1, mark.column + 1)
        self.flow = bool(event.flow_style)
        self.is_mapping = type(event) is yaml.MappingStartEvent
        self.last: Node | None = None  # a block list or mapping ends with its last child
        self.items: list[Node] = []
        self.entries: list[tuple[Scalar, Node]] = []
        self.keys: dict[str, Scalar] = {}
        self.key: Scalar | None = None
        self.key_end: yaml.Mark | None = None
        self.bare: list[Scalar] = []  # keys in braces with neither colon nor value
        self.split: int | None = None  # the index of the finding on the last value, if split


_DROPPED = Scalar("", Span(""))  # stands for a key that was refused, until its value has passed


class _Reader:
    """One pass over one file's events."""

    def __init__(self, path: str, text: str) -> None:
        self.path = path
        self.text = text
        self.lines = text.split("\n")
        self.findings: list[Finding] = []
        self.stack: list[_Open] = []
        self.anchors: dict[str, int] = {}  # the index of the finding that reported each
        self.root: Node | None = None
        self.hashes = {
            n for n, line in enumerate(self.lines, 1) if "#" in line and _HASH.search(line)
        }

    def say(self, rule: Rule, span: Span, message: str, mend: str, *notes: Note) -> None:
        self.findings.append(Finding(rule, span, message, mend, notes))

    def read(self) -> Node | None:
        """The root node; None if there is none or the text cannot be read."""
        loader = _LOADER(self.text)
        try:
            while (event := loader.get_event()) is not None:
                kind = type(event)
                if kind is yaml.ScalarEvent:
                    self._scalar(event)
                elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
                    if event.anchor or event.tag:
                        self._properties(event)
                    self.stack.append(_Open(event))
                    if len(self.stack) > MOST_LEVELS:
                        self._too_deep(event.start_mark)
                        return None
                elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                    self._close(event)
                elif kind is yaml.AliasEvent:
                    self._alias(event)
                elif kind is yaml.DocumentStartEvent and self.root is not None:
                    span = self._span(event.start_mark, event.end_mark)
                    self.say(SECOND_DOCUMENT, span, "a second document begins here",
                             "move what follows into a file of its own")  # fmt: skip
                    break
        except yaml.MarkedYAMLError as error:
            self._fault(explain(self.path, self.lines, error))
            return None
        return self.root

    def _span(self, start: yaml.Mark, end: yaml.Mark) -> Span:
        return Span(self.path, start.line + 1, start.column + 1, end.line + 1, end.column + 1)

    def _scalar(self, event: _Event) -> None:
        # The hot path of every check: each name below is looked up once per scalar of the book, and
        # a span is made as the tuple that it is, which takes a third of the time.
        start, end, text, style = event.start_mark, event.end_mark, event.value, event.style or ""
        line, end_line, end_column = start.line + 1, end.line + 1, end.column + 1
        place = (self.path, line, start.column + 1, end_line, end_column)
        span = tuple.__new__(Span, place)
        is_hole = not text and not style
        if event.anchor or event.tag:
            self._properties(event)
            if line == end_line and not style:  # the span is that of the text alone
                span = span._replace(column=end_column - len(text))
        if not style:
            if end_line in self.hashes and text:
                self._hash(text, end)
            if line != end_line and text[:1] == "-":
                text = self._list_as_text(text, span)
        elif style == '"':
            text = self._escaped(text, span)
        elif style in "|>":
            span = self._trimmed(span)
        self._add(Scalar(text, span, style), end, is_hole)

    def _escaped(self, text: str, span: Span) -> str:
        """Report a character that an escape puts into the text, and nobody could see."""
        match = HIDDEN.search(text)
        if match is None:
            return text
        message = f"the text holds the hidden character U+{ord(match[0]):04X}, as an escape"
        mend = "delete the backslash and what belongs to it, or put the text in single quotes"
        self.say(HIDDEN_CHARACTER, span, message, mend)
        return HIDDEN.sub("\ufffd", text)

    def _trimmed(self, span: Span) -> Span:
        """The span of a block scalar up to the end of its last line that is not blank."""
        line = span.end_line
        if span.end_column == 1:
            line -= 1
        while line > span.line and not self.lines[line - 1].strip():
            line -= 1
        return Span(self.path, span.line, span.column, line, len(self.lines[line - 1]) + 1)

    def _add(self, node: Node, end: yaml.Mark, is_hole: bool = False) -> None:
        """Put a finished node into the list or mapping that it stands in."""
        if not self.stack:
            if not is_hole:
                self.root = node
            return
        top = self.stack[-1]
        top.last = node
        if not top.is_mapping:
            if is_hole:
                self._empty(node.span, "a list item", "write the item behind the `-`, or remove it")
            top.items.append(node)
        elif (key := top.key) is None:
            if type(node) is Scalar and node.text and node.text != "<<":
                top.key = node
            else:
                top.key = self._key(node, is_hole)
            top.key_end = end
        else:
            top.key = None
            if is_hole and key is not _DROPPED:
                self._hole(top, key, node, end)
            elif key is not _DROPPED:
                self._entry(top, key, node)

    def _key(self, node: Node, is_hole: bool) -> Scalar:
        """The node as a key; `_DROPPED` if it cannot be one."""
        if not isinstance(node, Scalar):
            what = "list" if isinstance(node, Sequence) else "mapping"
            self.say(KEY_NOT_TEXT, node.span, f"a {what} stands where a key should be",
                     "write a word as the key, or put text that begins so in quotes")  # fmt: skip
        elif is_hole:
            self.say(KEY_NOT_TEXT, node.span, "no key stands before the colon",
                     "write a key before the colon")  # fmt: skip
        elif node.text == "<<" and not node.style:
            self.say(MERGE_KEY, node.span, "`<<` takes in another mapping",
                     "write its keys and values here")  # fmt: skip
        else:
            return node
        return _DROPPED

    def _entry(self, top: _Open, key: Scalar, node: Node) -> None:
        """Put a key and its value into a mapping, unless the key was there before."""
        first = top.keys.setdefault(key.text, key)
        if first is key:
            top.entries.append((key, node))
            top.split = None
            return
        name = shortened(key.text)
        is_item = len(self.stack) > 1 and not self.stack[-2].is_mapping and not top.flow
        otherwise = ", or begin this line with `- ` if it is an item of its own"
        self.say(DUPLICATE_KEY, key.span, f"`{name}` stands here a second time",
                 f"keep one of the two values of `{name}`{otherwise if is_item else ''}",
                 Note(first.span, f"the first `{name}`"))  # fmt: skip

    def _hole(self, top: _Open, key: Scalar, node: Node, end: yaml.Mark) -> None:
        """A key with nothing behind it: without even a colon, or forgotten."""
        if top.flow and top.key_end and ":" not in self.text[top.key_end.index : end.index]:
            self._bare_key(top, key)
            return
        name = shortened(key.text)
        span = key.span._replace(end_line=node.span.line, end_column=node.span.column)
        self._empty(span, f"`{name}`", f"write the value of `{name}`, or remove the key")
        self._entry(top, key, node)

    def _empty(self, span: Span, what: str, mend: str) -> None:
        self.say(EMPTY_VALUE, span, f"{what} has no value", mend)

    def _bare_key(self, top: _Open, key: Scalar) -> None:
        """A key in braces without colon and space: `key:value`, text that a comma split, a word.

        The text is mended, so that it is complained of only once.
        """
        if match := _KEY_WITHOUT_SPACE.fullmatch(key.text):
            message, mend = without_space(match[1], match[2])
            self.say(MISSING_COLON, key.span, message, mend)
            self._entry(top, Scalar(match[1], key.span), Scalar(match[2].strip("\"'"), key.span))
            return
        owner, before = top.entries[-1] if top.entries else (key, key)
        if owner is key or top.bare or not isinstance(before, Scalar) or before.style:
            top.bare.append(key)
            return
        end = (before.span.end_line, before.span.end_column + 1)
        comma = "," if end == (key.span.line, key.span.column) else ", "
        span = Span(*before.span[:3], *key.span[3:])
        whole = Scalar(f"{before.text}{comma}{key.text}", span)
        top.entries[-1] = (owner, whole)
        is_number = _DECIMAL.fullmatch(whole.text) is not None  # or two of a list
        if top.split is None and _FIGURE_SPLIT.match(whole.text) and not is_number:
            return  # whoever reads the figure says what is wrong with its comma
        shown = shortened(key.text)
        message = f"a comma splits `{shown}` from the text before it"
        text = shortened(whole.text.strip(_CURLY))
        mend = f'put the whole text in quotes: `{owner.text}: "{text}"`'
        if _NUMBERS.fullmatch(text):
            mend = f"put a list in brackets: `{owner.text}: [{text}]`"
            if is_number:
                mend += f"; of one number write the comma as a point: `{text.replace(',', '.')}`"
        if top.split is None:
            top.split = len(self.findings)
            self.say(TEXT_SPLIT_BY_COMMA, key.span, message, mend)
        else:
            self.findings[top.split] = replace(self.findings[top.split], mend=mend)

    def _close(self, event: _Event) -> None:
        """Finish a list or mapping; a block one ends with its last child."""
        top = self.stack.pop()
        mark = event.end_mark
        if top.flow or top.last is None:
            end = (mark.line + 1, mark.column + 1)
        else:
            end = top.last.span[3:]
        span = tuple.__new__(Span, (self.path, *top.start, *end))
        if not top.is_mapping:
            self._add(Sequence(tuple(top.items), span), mark)
            return
        if len(top.bare) == 1 and not top.entries and _LIKE_A_REFERENCE.fullmatch(top.bare[0].text):
            written = f"{{{top.bare[0].text}}}"
            self.say(UNQUOTED_REFERENCE, span, f"`{written}` stands without quotes",
                     f'put the text in quotes: `"{written}"`')  # fmt: skip
            self._add(Scalar(written, span, '"'), mark)
            return
        if top.bare:
            names = shortened(", ".join(key.text for key in top.bare))
            mend = f"write `[{names}]` for a list, or a colon and a value behind each"
            self._empty(top.bare[0].span, f"`{shortened(top.bare[0].text)}`", mend)
        self._add(Mapping(tuple(top.entries), span), mark)

    def _hash(self, text: str, end: yaml.Mark) -> None:
        """Report text that ends at a comment which looks like more of it."""
        rest = self.lines[end.line][end.column :]
        comment = rest.lstrip(" ")
        if not comment.startswith("#"):
            return
        if _MEANT_AS_TEXT.match(comment) or _WAITS_FOR_MORE.search(text):
            column = end.column + 1 + len(rest) - len(comment)
            span = Span(self.path, end.line + 1, column, end.line + 1, column + len(comment))
            last = text.rsplit(" ", 1)[-1]
            message = f"`{shortened(comment)}` is cut off behind `{shortened(last)}` as a comment"
            mend = "put the whole text in quotes, or a space behind the `#` of a comment"
            self.say(TEXT_CUT_BY_HASH, span, message, mend)

    def _list_as_text(self, text: str, span: Span) -> str:
        """Report a list that YAML took for one text, for want of spaces behind its dashes.

        Gives the text back if it is one, else the empty text of a value that was reported.
        """
        if not any(line.lstrip()[:1] == "-" for line in self.lines[span.line : span.end_line]):
            return text
        first = shortened(text.split()[0])
        self.say(DASH_WITHOUT_SPACE, span, f"`{first}` begins no list item",
                 f"write `- {first[1:]}`, with a space behind every dash")  # fmt: skip
        return ""

    def _fault(self, fault: Finding) -> None:
        """Report what ended the reading; what was said of the same place came from it too."""
        lines = range(fault.span.line, fault.span.end_line + 1)
        self.findings = [old for old in self.findings if old.span.line not in lines]
        self.findings.append(fault)

    def _properties(self, event: _Event) -> None:
        """Report the anchor and the tag of a node."""
        mark = event.start_mark
        line, column = mark.line + 1, mark.column + 1
        if event.anchor:
            span = Span(self.path, line, column, line, column + 1 + len(event.anchor))
            self.anchors[event.anchor] = len(self.findings)
            mend = f"remove `&{event.anchor}`, or put text that begins with `&` in quotes"
            self.say(ALIAS, span, f"`&{event.anchor}` marks a value to be repeated", mend)
        elif event.tag:
            word = self.lines[mark.line][mark.column :].split(" ", 1)[0]
            span = Span(self.path, line, column, line, column + len(word))
            self.say(TAG, span, f"`{word}` is read as a tag",
                     f"remove `{word}`, or put text that begins with `!` in quotes")  # fmt: skip

    def _alias(self, event: _Event) -> None:
        """Report an alias: with its anchor, or alone if it has none."""
        span = self._span(event.start_mark, event.end_mark)
        name = str(event.anchor)
        if (at := self.anchors.get(name)) is not None:
            old = self.findings[at]
            note = Note(span, f"`*{name}` repeats the value")
            self.findings[at] = replace(old, related=(*old.related, note))
        else:
            mend = "write the value out, or put text that begins with `*` in quotes"
            self.say(ALIAS, span, f"`*{name}` repeats a value that nothing marks", mend)
        self._add(Scalar("", span), event.end_mark)

    def _too_deep(self, mark: yaml.Mark) -> None:
        span = Span(self.path, mark.line + 1, mark.column + 1, mark.line + 1, mark.column + 2)
        self.say(TOO_DEEP, span, f"more than {MOST_LEVELS} levels stand inside each other",
                 "remove the brackets or dashes that are too many")  # fmt: skip
