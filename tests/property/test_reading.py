"""Any bytes give findings, never a traceback; the text at a span is its scalar."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from placardry.files import text_of
from placardry.markdown_reader import read_page
from placardry.nodes import Mapping, Node, Scalar, Sequence
from placardry.references import Bad, Reference, doubled, locate, pieces, plain
from placardry.report import FORMATS, report
from placardry.yaml_reader import read_yaml

# Short runs of what means something to YAML, Markdown and our lexer, so that it meets itself.
TOKENS = st.sampled_from(
    [
        *(
            "a",
            "key",
            "b: ",
            ": ",
            ":",
            "\n",
            "\n  ",
            "\n    ",
            "- ",
            "-",
            "? ",
            "{",
            "}",
            "[",
            "]",
        ),
        *(", ", " #", "# ", "#3", '"', "'", "&x ", "*x", "!t ", "<<: ", "| ", ">", "|\n  ", "\\"),
        *("---\n", "...", "\t", "@", "`", "```", "```applies ", "```hazard\n", "%", "°", "漢", "𝛼"),
        *("é", "\u202e", "\x1b", "\r\n", "\x85", "{a.b}", "{{", "}}", "<b>", "!!! ", "|---|"),
    ]
)
SOUP = st.lists(TOKENS, max_size=40).map("".join)


def nodes(node: Node) -> list[Node]:
    if isinstance(node, Mapping):
        below = [part for pair in node.entries for part in pair]
    else:
        below = list(node.items) if isinstance(node, Sequence) else []
    return [node, *(deeper for part in below for deeper in nodes(part))]


def check(data: bytes) -> None:
    for read in (read_yaml, read_page):
        root, findings = read("x", data)
        assert root is not None or findings
        lines = text_of(data).split("\n")
        for finding in findings:
            span = finding.span
            assert 1 <= span.line <= span.end_line <= len(lines) + 1
            assert span.column >= 1
            assert (span.line, span.column) <= (span.end_line, span.end_column)
        for format in FORMATS:
            assert report(findings, {"x": data}, format=format)


@given(st.binary(max_size=200))
@example(b"%")
@example(b"\xef\xbb\xbf")
@example(b"a: \xff")
def test_any_bytes_give_findings(data: bytes) -> None:
    check(data)


@given(SOUP)
def test_any_text_gives_findings(text: str) -> None:
    check(text.encode())


@given(SOUP.map(lambda text: f"k: {text}\n"))
def test_the_text_at_a_plain_scalar_is_the_scalar(text: str) -> None:
    root, findings = read_yaml("x", text.encode())
    if root is None or findings:
        return
    lines = text_of(text.encode()).split("\n")
    for node in nodes(root):
        span = node.span
        if isinstance(node, Scalar) and not node.style and span.line == span.end_line:
            assert lines[span.line - 1][span.column - 1 : span.end_column - 1] == node.text
            assert locate(node, "\n".join(lines), 0, len(node.text)) == span
        assert (span.line, span.column) <= (span.end_line, span.end_column)
        assert span.end_line <= len(lines)


@given(
    st.dictionaries(
        st.from_regex(r"[a-z]{1,6}", fullmatch=True),
        st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF, categories=["L", "N", "P"])),
    )
)
def test_quoted_text_comes_back_as_it_was(texts: dict[str, str]) -> None:
    lines = [f"{key}: '{value.replace(chr(39), chr(39) * 2)}'" for key, value in texts.items()]
    root, _ = read_yaml("x", "\n".join(["first: x", *lines]).encode())
    assert root is not None
    for key, value in texts.items():
        if key != "first":
            node = root.get(key)
            assert isinstance(node, Scalar)
            assert node.text == value


IDS = st.from_regex(r"[a-z][a-z0-9]{0,4}(-[a-z0-9]{1,3}){0,2}", fullmatch=True)
REFERENCES = st.builds(Reference, st.none() | IDS, IDS, st.none() | IDS, st.just(0), st.just(0))


@given(st.lists(REFERENCES | st.text("ab {}.\n", max_size=5), max_size=8))
def test_references_go_round(parts: list[Reference | str]) -> None:
    written = "".join(str(part) if isinstance(part, Reference) else doubled(part) for part in parts)
    found = pieces(written)
    assert not any(isinstance(piece, Bad) for piece in found)
    assert [str(piece) for piece in found if isinstance(piece, Reference)] == [
        str(part) for part in parts if isinstance(part, Reference)
    ]
    wanted = "".join(str(part) for part in parts)
    assert plain(written, str) == wanted


@given(SOUP)
def test_every_reference_stands_where_it_says(text: str) -> None:
    for piece in pieces(text):
        if not isinstance(piece, str):
            assert text[piece.start : piece.end] == (
                piece.text if isinstance(piece, Bad) else str(piece)
            )
