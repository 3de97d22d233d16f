from __future__ import annotations

import textwrap
import time

import pytest

from placardry.finding import Finding, Rule
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.yaml_reader import read_yaml


def read(text: str) -> tuple[Mapping | None, tuple[Finding, ...]]:
    return read_yaml("procedures/x.yaml", text.encode())


def mapping(text: str) -> Mapping:
    root, findings = read(text)
    assert findings == ()
    assert root is not None
    return root


def simple(node: Node | None) -> object:
    """The node as plain lists and pairs, to compare with."""
    if isinstance(node, Mapping):
        return {key.text: simple(value) for key, value in node.entries}
    if isinstance(node, Sequence):
        return [simple(item) for item in node.items]
    return node.text if node else None


def place(finding: Finding) -> tuple[int, int, int]:
    return (finding.span.line, finding.span.column, finding.span.end_column)


def test_every_scalar_stays_text() -> None:
    # The traps of YAML 1.1's types (yaml.org/type): sexagesimals, octals, booleans, dates.
    text = "{a: 1:50, b: 25:00:00, c: on, d: 010, e: 1_000, f: .nan, g: 2026-05-01, h: ~, i: 1e3}"
    assert simple(mapping(f"x: {text}")) == {
        "x": {"a": "1:50", "b": "25:00:00", "c": "on", "d": "010", "e": "1_000", "f": ".nan",
              "g": "2026-05-01", "h": "~", "i": "1e3"}
    }  # fmt: skip


def test_spans_are_exact_behind_characters_of_any_width() -> None:
    root = mapping("läng°: '𝛼β'\nd: {e: 88 °C}\n")
    (key, value), (_, flow) = root.entries
    assert (key.span.line, key.span.column, key.span.end_column) == (1, 1, 6)
    assert (value.span.column, value.span.end_column) == (8, 12)
    assert (flow.span.column, flow.span.end_column) == (4, 14)
    assert root.at("d", "e").column == 8
    assert root.at("d", "e").end_column == 13


def test_a_block_mapping_ends_with_its_last_child() -> None:
    root = mapping("a:\n  b: 1\n  c:\n    - d\n\n# comment\n\nz: 2\n")
    span = root.at("a")
    assert (span.line, span.column, span.end_line, span.end_column) == (2, 3, 4, 8)


def test_a_block_scalar_ends_with_its_last_line() -> None:
    root = mapping("a: |\n  one\n  two\n\n\n# comment\nb: 1\n")
    span = root.at("a")
    assert (span.line, span.column, span.end_line, span.end_column) == (1, 4, 3, 6)
    assert simple(root.get("a")) == "one\ntwo\n"


def test_windows_lines_and_a_byte_order_mark_change_nothing() -> None:
    unix, _ = read_yaml("x", b"a: 1\nb:\n  c: 2\n")
    windows, findings = read_yaml("x", b"\xef\xbb\xbfa: 1\r\nb:\r\n  c: 2\r\n")
    assert findings == ()
    assert windows == unix
    assert windows is not None
    assert unix is not None
    assert windows.at("b", "c") == unix.at("b", "c")


# text, the rule, its line, column and end column, and words of the mend
CASES = [
    ("a: 1\na: 2\n", "duplicate-key", (2, 1, 2), "keep one"),
    ("a:\n  - b: 1\n    b: 2\n", "duplicate-key", (3, 5, 6), "begin this line with `- `"),
    ("a: see item #3\n", "text-cut-by-hash", (1, 13, 15), "in quotes"),
    ("a: see # 3\n", "text-cut-by-hash", (1, 8, 11), "in quotes"),
    ("a: turn it (left # or right)\n", "text-cut-by-hash", (1, 18, 29), "in quotes"),
    ("a: 1\nkey #1: 2\n", "text-cut-by-hash", (2, 1, 10), "in quotes"),
    ("a: one\n  # aside\n  two\n", "text-cut-by-hash", (2, 3, 10), "move the comment"),
    ("a: {b: stop, then look}\n", "text-split-by-comma", (1, 14, 23), 'b: "stop, then look"'),
    ("a: {b: x, y, z, c: 1}\n", "text-split-by-comma", (1, 11, 12), 'b: "x, y, z"'),
    ("a: {b: “x, y”}\n", "text-split-by-comma", (1, 12, 14), 'b: "x, y"'),
    ("a: {b: 250, 40}\n", "text-split-by-comma", (1, 13, 15), "in brackets: `b: [250, 40]`"),
    ("a: {b: 40,40}\n", "text-split-by-comma", (1, 11, 13), "`b: [40,40]`; of one number"),
    ("a: {b: 40,40,5}\n", "text-split-by-comma", (1, 11, 13), "in brackets: `b: [40,40,5]`"),
    ("a: {b: see 1, 2}\n", "text-split-by-comma", (1, 15, 16), 'b: "see 1, 2"'),
    ("a: {coolant.red}\n", "unquoted-reference", (1, 4, 17), '"{coolant.red}"'),
    ("a: {coolant.red} is hot\n", "unquoted-reference", (1, 4, 24), 'a: "{coolant.red} is hot"'),
    ("a: {limit/x} is\nb: 1\n", "unquoted-reference", (1, 4, 16), 'a: "{limit/x} is"'),
    ("- {x.y} is\n- b\n", "unquoted-reference", (1, 3, 11), '- "{x.y} is"'),
    ("a: {b: {x.y} is}\n", "unquoted-reference", (1, 8, 13), "in quotes"),
    ("a: &here 1\n", "alias", (1, 4, 9), "remove `&here`"),
    ("a: *there\n", "alias", (1, 4, 10), "write the value out"),
    ("a: !!python/name:os.system x\n", "tag", (1, 4, 27), "remove"),
    ("a: !important x\n", "tag", (1, 4, 14), "remove `!important`"),
    ("a: 1\n<<: {b: 2}\n", "merge-key", (2, 1, 3), "write its keys"),
    ("? [a, b]\n: c\n", "key-not-text", (1, 3, 9), "write a word"),
    ("a:\nb: 1\n", "empty-value", (1, 1, 3), "write the value of `a`"),
    ("a:\n  - x\n  -\n", "empty-value", (3, 4, 4), "behind the `-`"),
    ("a: {b: , c: 1}\n", "empty-value", (1, 5, 8), "write the value of `b`"),
    ("a: {b, c}\n", "empty-value", (1, 5, 6), "write `[b, c]`"),
    ("a: 1\n---\nb: 2\n", "second-document", (2, 1, 4), "file of its own"),
    ("a:\n  -b\n  -c\n", "dash-without-space", (2, 3, 5), "write `- b`"),
    ("", "empty-file", (1, 1, 1), "delete the file"),
    ("# a comment\n---\n", "empty-file", (1, 1, 1), "delete the file"),
    ("- a\n- b\n", "not-a-mapping", (1, 1, 4), "begin the file with a key"),
    ('a: "text\nb: 2\n', "unclosed-quote", (1, 4, 5), 'type `"`'),
    ("a: {b: 1\nc: 2\n", "unclosed-bracket", (1, 4, 5), "type `}`"),
    ("a: [b]]\n", "unclosed-bracket", (1, 7, 8), "remove the `]`"),
    ("a:\n    b: 1\n  c: 2\n", "wrong-indentation", (3, 3, 5), "column 1 or 5"),
    ("a: 1\n  b: 2\n", "wrong-indentation", (2, 3, 5), "column 1"),
    ("a:\n  b: 1\nc: 2\n  d: 3\n", "wrong-indentation", (4, 3, 5), "`c:` above it in column 3"),
    ("a:\n b: 1\n  c: 2\n  d: 3\n", "wrong-indentation", (3, 3, 5), "`b:` above it in column 3"),
    ("a: 1\n- b\n", "wrong-indentation", (2, 1, 2), "a key with a colon"),
    ("a: 1\nb\nc: 2\n", "missing-colon", (2, 1, 2), "write `b:`"),
    ("a: 1\nleast 60 degC\nc: 3\n", "missing-colon", (2, 1, 14), "write `least: 60 degC`"),
    ("a: 1\nb:\u00a02\nc: 3\n", "wrong-indentation", (2, 3, 4), "type a space"),
    ("a:\n  b: 1\n\u00a0\u00a0c: 2\n", "wrong-indentation", (3, 1, 3), "type a space"),
    ("a: {b:c, d: e}\n", "missing-colon", (1, 5, 8), "write `b: c`"),
    ("a: {b: on, c:d}\n", "missing-colon", (1, 12, 15), "write `c: d`"),
    ("a: [b,, c]\n", "syntax-error", (1, 7, 8), "remove the comma"),
    ('a: "x and\nb: 1\nc: {d: e, f: "g"}\n', "unclosed-quote", (1, 4, 5), 'type `"`'),
    ('a: {b: "x, c: "y z"}\n', "unclosed-quote", (1, 8, 9), 'type `"`'),
    ("a: 'x and\nb: it's\n", "unclosed-quote", (1, 4, 5), "type `'`"),
    ('a:\n  b: "one\n   two" three\n', "syntax-error", (3, 9, 10), "in quotes"),
    ("a: 1\nb:2\nc: 3\n", "missing-colon", (2, 1, 4), "write `b: 2`"),
    ("a: note: this\n", "text-needs-quotes", (1, 4, 14), 'a: "note: this"'),
    ("a: @x\n", "text-needs-quotes", (1, 4, 6), 'a: "@x"'),
    ("a: `x`\n", "text-needs-quotes", (1, 4, 7), 'a: "`x`"'),
    ("a: %x\n", "text-needs-quotes", (1, 4, 6), 'a: "%x"'),
    ("a: > 5 bar\n", "text-needs-quotes", (1, 4, 11), 'a: "> 5 bar"'),
    ("a: *bold* text\n", "text-needs-quotes", (1, 4, 15), 'a: "*bold* text"'),
    ('a: "x" and y\n', "text-needs-quotes", (1, 4, 13), "in quotes"),
    ("a: {b: c: d}\n", "text-needs-quotes", (1, 9, 10), "in quotes"),
    ('a: "c:\\path"\n', "syntax-error", (1, 7, 9), "single quotes"),
    ("a:\n\tb: 1\n", "tab", (2, 1, 2), "replace every tab"),
    ("a: x\ty\n", "tab", (1, 5, 6), "replace every tab"),
]


@pytest.mark.parametrize(("text", "rule", "where", "mend"), CASES)
def test_one_mistake_gives_one_finding(
    text: str, rule: str, where: tuple[int, int, int], mend: str
) -> None:
    _, findings = read(text)
    assert [(finding.rule.name, place(finding)) for finding in findings] == [(rule, where)]
    assert mend in findings[0].mend
    assert findings[0].message[0] not in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    assert not findings[0].message.endswith(".")


def test_a_decimal_comma_in_braces_is_left_to_whoever_reads_the_figure() -> None:
    """Who wrote `1,5` means a number; to put it in quotes would be the wrong mend."""
    root = mapping("a: {b: 13,2 to 14,6 V, c: at least 0,5 mm, d: 0,5 ± 0,05 mm, e: -0,5}\n")
    assert simple(root.get("a")) == {
        "b": "13,2 to 14,6 V", "c": "at least 0,5 mm", "d": "0,5 ± 0,05 mm", "e": "-0,5",
    }  # fmt: skip


INNOCENT = [
    "a: 88 degC  # from the maker's table\n",
    "a: 88 degC # kept low\n",
    "a: x  ## a section\n",
    "a: colour#3\n",
    'a: "see #3"\n',
    "a: |\n  see #3\n",
    "a: [stop, look]\n",
    "a: {b: 1:50, c: x}\n",
    "a: 'it''s'\n",
    "a: http://example.org/x\n",
    "---\na: 1\n...\n",
    "a: {}\nb: []\n",
    "? long key\n: 1\n",
    'a: ""\n',
    "a: -5 degC\n",
    "a: x\n  - y\n",
]


@pytest.mark.parametrize("text", INNOCENT)
def test_no_false_alarm(text: str) -> None:
    root, findings = read(text)
    assert findings == ()
    assert root is not None


def test_what_a_comma_split_is_put_together_again() -> None:
    root, _ = read("a: {b: stop, then look, c: 1}\n")
    assert simple(root) == {"a": {"b": "stop, then look", "c": "1"}}


def test_the_first_of_two_values_stays_and_both_places_are_named() -> None:
    root, findings = read("a: 1\nb: 2\na: 3\n")
    assert simple(root) == {"a": "1", "b": "2"}
    assert findings[0].related[0].span.line == 1


def test_an_anchor_and_its_aliases_are_one_mistake() -> None:
    _, findings = read("a: &x 1\nb: *x\nc: *x\n")
    assert len(findings) == 1
    assert [note.span.line for note in findings[0].related] == [2, 3]


def test_a_missing_value_is_a_plain_scalar_without_text() -> None:
    root, _ = read("a:\nb: ''\n")
    assert root is not None
    missing, empty = (node for _, node in root.entries)
    assert isinstance(missing, Scalar)
    assert isinstance(empty, Scalar)
    assert (missing.text, missing.style) == ("", "")
    assert (empty.text, empty.style) == ("", "'")


@pytest.mark.parametrize("opening", ["[", "{", "- ", "? ", "a: {b: ", "[]" * 2 + "["])
def test_a_million_brackets_neither_crash_nor_hang(opening: str) -> None:
    start = time.perf_counter()
    root, findings = read(opening * (10**6 // len(opening)))
    assert root is None
    assert len(findings) == 1
    assert time.perf_counter() - start < 10  # a guard against quadratic time, not a measurement


def test_nesting_is_limited() -> None:
    assert read("a: " + "[" * 49 + "x" + "]" * 49)[1] == ()
    assert [finding.rule.name for finding in read("a: " + "[" * 50 + "x" + "]" * 50)[1]] == [
        "too-deep"
    ]


def test_a_line_of_a_megabyte_is_refused_at_its_place() -> None:
    root, findings = read("a: 1\nb: " + "word " * 200_000 + "end\n")
    assert root is None
    assert [(one.rule.name, one.span.line) for one in findings] == [("line-too-long", 2)]


def test_a_long_paragraph_on_one_line_is_read() -> None:
    root, findings = read("a: " + "word " * 1_900 + "end\n")
    assert findings == ()
    assert root is not None
    assert root.at("a").end_column == 4 + 9_503


# What an escape puts into a text would pass a reviewer by like any other hidden character.
@pytest.mark.parametrize("escape", [r"\0", r"\e[31m", r"\a", r"\u202e", r"\xad", r"\U000E0041"])
def test_no_escape_hides_a_character(escape: str) -> None:
    root, findings = read(f'a: "stop {escape} now"\n')
    assert [one.rule.name for one in findings] == ["hidden-character"]
    assert root is not None
    assert "\ufffd" in str(simple(root.get("a")))


@pytest.mark.parametrize("escape", [r"\n", r"\"", r"\\", r"\u00b0"])
def test_other_escapes_stay(escape: str) -> None:
    assert read(f'a: "stop {escape} now"\n')[1] == ()


def test_aliases_cannot_explode() -> None:
    lines = ["a0: &a0 [x]"] + [
        f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 40)
    ]
    root, findings = read("\n".join(lines))
    assert root is not None
    assert {finding.rule.name for finding in findings} == {"alias"}


ENCODINGS = [
    (b"a: 40 \xb0C\n", "bad-encoding", 7, "UTF-8"),
    ("a: 1\n".encode("utf-16"), "bad-encoding", 1, "UTF-8"),
    ("a: stop‮ now\n".encode(), "hidden-character", 8, "delete"),
    (b"a: b\x00c\n", "hidden-character", 5, "delete"),
    (b"a: b\x1b[31mc\n", "hidden-character", 5, "delete"),
    ("a: zero\u200bwidth\n".encode(), "hidden-character", 8, "delete"),
    ("a: soft\u00adhyphen\n".encode(), "hidden-character", 8, "delete"),
    (b"a: 1\rb: 2\r", "hidden-character", 5, "line ends"),
]


@pytest.mark.parametrize(("data", "rule", "column", "mend"), ENCODINGS)
def test_characters_that_lie(data: bytes, rule: str, column: int, mend: str) -> None:
    _, findings = read_yaml("x", data)
    assert findings[0].rule.name == rule
    assert findings[0].span.column == column
    assert mend in findings[0].mend


def test_every_rule_of_reading_has_a_manual() -> None:
    from placardry import markdown_rules, source_text, syntax_rules, yaml_rules

    rules = [
        value
        for module in (markdown_rules, source_text, syntax_rules, yaml_rules)
        for value in vars(module).values()
        if isinstance(value, Rule)
    ]
    assert len(rules) > 25
    for rule in rules:
        assert "Source:" in textwrap.dedent(rule.manual)
        assert rule.summary[0].isupper()
