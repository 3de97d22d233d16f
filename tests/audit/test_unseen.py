"""What a forger hides, covers or adds beside the figures of a page, a PDF or the search index."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any

import pypdf
import pytest
import typst
from pypdf.annotations import AnnotationDictionary, FreeText, Rectangle

from placardry import audit
from placardry.audit import hosts, pdf, search, unseen
from placardry.audit.missing import Held
from tests.audit.conftest import MANUAL

PAGE = f"{MANUAL}/limits.html"
CARD = f"{MANUAL}/cards/limits.pdf"
SHEET = f"{MANUAL}/cards/sheet-a4.pdf"
FIGURE = re.compile(r'<a href="register\.html#head\.red">[^<]*</a>')


def told(path: str, data: bytes, registers: audit.Registers) -> list[str]:
    return [one.finding.rule.name for one in audit.audit_file(path, data, registers).told]


@pytest.mark.parametrize(
    ("before", "behind"),
    [
        ("<span hidden>", "</span>"),
        ('<span style="display:none">', "</span>"),
        ('<span style="white-space:nowrap;opacity: 0">', "</span>"),
        ('<span aria-hidden="true">', "</span>"),
        ("<noscript>", "</noscript>"),
        ("<dialog>", "</dialog>"),
        ("<b hidden>", "</b>"),
    ],
)
def test_a_figure_that_is_hidden_is_told(
    before: str, behind: str, files: dict[str, bytes], registers: audit.Registers
) -> None:
    forged = FIGURE.sub(lambda found: before + found[0] + behind, files[PAGE].decode(), count=1)
    assert told(PAGE, forged.encode(), registers) == ["figure-hidden"]


def test_what_pages_write_around_figures_hides_none(
    files: dict[str, bytes], registers: audit.Registers
) -> None:
    wrapped = FIGURE.sub(
        lambda found: f'<span style="white-space:nowrap">{found[0]}</span>', files[PAGE].decode()
    )
    assert told(PAGE, wrapped.encode(), registers) == []


@pytest.mark.parametrize(
    "part",
    [
        '<base href="https://manuals.other.example/">',
        '<iframe srcdoc="Red line 240 °C"></iframe>',
        '<img alt="" src="data:image/svg+xml,<svg/>">',
        '<meta http-equiv="Refresh" content="0; url=old.html">',
        "<ol reversed><li>Stop.</li></ol>",
        '<object data="old.pdf"></object>',
    ],
)
def test_what_no_build_writes_is_told(
    part: str, files: dict[str, bytes], registers: audit.Registers
) -> None:
    forged = files[PAGE].replace(b"</article>", part.encode() + b"</article>", 1)
    found = audit.audit_file(PAGE, forged, registers).told
    assert [one.finding.rule.name for one in found] == ["part-of-no-build"]
    line = forged[: forged.index(part.encode())].count(b"\n") + 1
    assert [one.finding.span.line for one in found] == [line]


def test_a_figure_in_a_field_is_read(files: dict[str, bytes], registers: audit.Registers) -> None:
    field = '<input type="text" value="240 °C"></article>'.encode()
    forged = files[PAGE].replace(b"</article>", field, 1)
    assert told(PAGE, forged, registers) == ["figure-without-identity"]


def edited(data: bytes, edit: Callable[[pypdf.PdfWriter], object]) -> bytes:
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(data))
    edit(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def test_a_blank_page_does_no_harm(files: dict[str, bytes], registers: audit.Registers) -> None:
    forged = edited(files[CARD], lambda writer: writer.add_blank_page())
    assert told(CARD, forged, registers) == []


@pytest.mark.parametrize(
    "note",
    [Rectangle(rect=(20, 20, 200, 60)), FreeText(text="", rect=(20, 20, 200, 60))],
    ids=["rectangle", "words"],
)
def test_a_note_over_a_card_is_told(
    note: AnnotationDictionary, files: dict[str, bytes], registers: audit.Registers
) -> None:
    forged = edited(files[CARD], lambda writer: writer.add_annotation(0, note))
    assert told(CARD, forged, registers) == ["part-of-no-build"]


def test_text_that_is_set_unpainted_is_told(
    files: dict[str, bytes], registers: audit.Registers
) -> None:
    def unpaint(writer: pypdf.PdfWriter) -> None:
        content: Any = writer.pages[0].raw_get("/Contents").get_object()
        content.set_data(content.get_data().replace(b"BT 0 Tr", b"BT 3 Tr", 1))

    assert told(CARD, edited(files[CARD], unpaint), registers) == ["figure-hidden"]


def test_text_off_the_page_is_told(files: dict[str, bytes], registers: audit.Registers) -> None:
    def crop(writer: pypdf.PdfWriter) -> None:
        page = writer.pages[0]
        page.cropbox.upper_right = (page.mediabox.right, page.mediabox.top / 2)

    assert told(CARD, edited(files[CARD], crop), registers) == ["figure-hidden"]


def test_text_that_no_paint_is_left_of_is_told() -> None:
    """Typst writes a transparent fill, and pdfium reads it."""
    made = typst.compile(b"#text(fill: rgb(0, 0, 0, 0))[88 degC]")
    _, blocks = pdf.read("a.pdf", made)
    (found,) = unseen.judged("a.pdf", made, blocks)
    assert (found.finding.rule.name, found.found) == ("figure-hidden", "88 degC")


def test_the_code_that_is_heard_is_the_code_that_stands_there(
    files: dict[str, bytes], registers: audit.Registers
) -> None:
    def retell(writer: pypdf.PdfWriter) -> None:
        objects: list[Any] = list(writer._objects)
        for one in objects:
            if isinstance(one, dict) and "C873-RPJC" in str(one.get("/Alt", "")):
                said = str(one["/Alt"]).replace("C873-RPJC", "H4T6-CCA7")
                one[pypdf.generic.NameObject("/Alt")] = pypdf.generic.TextStringObject(said)

    for path in (CARD, SHEET):
        forged = edited(files[path], retell)
        assert told(path, forged, registers) == ["editions-disagree"]


OURS, THEIRS = "https://manuals.fenwick.example", "https://evil.example"


def led(target: str, data: bytes) -> bytes:
    def lead(writer: pypdf.PdfWriter) -> None:
        for note in writer.pages[0]["/Annots"]:  # type: ignore[attr-defined]
            action = note.get_object().get("/A") or {}
            if target in str(action.get("/URI", "")):
                away = str(action["/URI"]).replace(OURS, THEIRS)
                action[pypdf.generic.NameObject("/URI")] = pypdf.generic.TextStringObject(away)

    return edited(data, lead)


@pytest.mark.parametrize("target", ["register.html", "check.html"])
def test_a_card_that_leads_to_another_host_is_told(target: str, files: dict[str, bytes]) -> None:
    held = {}
    for path in (CARD, SHEET, f"{MANUAL}/cards/too-hot-card.pdf"):
        data = led(target, files[path]) if path == CARD else files[path]
        _, blocks = pdf.read(path, data)
        held[path] = Held({}, frozenset(), hosts.hosts_of(blocks))
    (found,) = hosts.judged(held)
    assert (found.finding.rule.name, found.finding.span.path) == ("address-elsewhere", CARD)
    assert (found.found, found.expected) == (THEIRS, OURS)
    assert not list(hosts.judged({SHEET: held[SHEET]}))


def test_a_page_whose_figure_leads_to_another_host_is_told() -> None:
    ours, theirs = {"": 12}, {"": 11, THEIRS: 1}
    pages = {"a.html": ours, "b.html": theirs, "c.html": ours}
    found = list(hosts.judged({path: Held({}, frozenset(), one) for path, one in pages.items()}))
    assert [one.finding.span.path for one in found] == ["b.html"]


INDEX = "search/search_index"


def index_told(files: dict[str, bytes], **changed: bytes) -> list[tuple[str, str]]:
    start = f"{MANUAL}/"
    own = {path[len(start) :]: data for path, data in files.items() if path.startswith(start)}
    own |= {f"{INDEX}.{end}": data for end, data in changed.items()}
    found, _ = search.judged(start, own)
    return [(one.finding.rule.name, one.finding.span.path) for one in found]


@pytest.mark.parametrize("end", ["js", "json"])
def test_nothing_stands_behind_the_index(end: str, files: dict[str, bytes]) -> None:
    path = f"{MANUAL}/{INDEX}.{end}"
    assert index_told(files) == []
    made = files[path] + b';__index.docs[0].text="240 {C}"'
    assert index_told(files, **{end: made}) == [("malformed-output", path)]


def test_a_section_taken_out_of_the_index_is_told(files: dict[str, bytes]) -> None:
    script = files[f"{MANUAL}/{INDEX}.js"].decode()
    data = files[f"{MANUAL}/{INDEX}.json"].decode()
    entry = re.compile(r'\{"location":"limits\.html#mass","title":(?:"(?:[^"\\]|\\.)*"|[^{}"])*\},')
    assert entry.search(data), "the index is written otherwise; sort the pattern out"
    left = {"js": entry.sub("", script).encode(), "json": entry.sub("", data).encode()}
    assert index_told(files, **left) == [("search-differs", f"{MANUAL}/{INDEX}.json")]
    one = {"js": left["js"]}
    assert index_told(files, **one) == [("search-differs", f"{MANUAL}/{INDEX}.js")]
