"""The printed manual, read back as a stranger would; and the tree that it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest

from placardry import pages
from placardry.pages.inline import escaped
from placardry.pages.page import PageFile
from placardry.paper import manual
from placardry.paper.tree import read
from placardry.wording.phrases import Speaker
from tests import faces as book
from tests import printed

STATE = "DRAFT: not in an issued edition"
PICTURE = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><circle r="4"/></svg>'


def of(
    *markdown: str, speaker: Speaker | None = None, pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """A manual of these pages: `a.md`, `b.md` and so on."""
    made = tuple(
        PageFile(f"{name}.md", name, "operation", text)
        for name, text in zip("abcdef", markdown, strict=False)
    )
    pdf, findings = manual.render(
        speaker or book.usual(), made, pictures or {}, draft=True, state_line=STATE
    )
    assert not findings, [one.message for one in findings]
    assert pdf is not None
    return pdf


@cache
def whole() -> bytes:
    """The manual of the specimen, all of its pages."""
    speaker = book.usual()
    pdf, findings = manual.render(
        speaker, pages.pages(speaker), pages.drawings(speaker), draft=True, state_line=STATE
    )
    assert not findings
    assert pdf is not None
    return pdf


def text_of(pdf: bytes) -> str:
    return " ".join(printed.lines(pdf)).replace("\u00a0", " ")


def test_the_manual_is_a5_and_nothing_overlaps() -> None:
    assert set(printed.sizes_mm(whole())) == {(148.0, 210.0)}
    assert printed.overlaps(whole(), largest=60) == []


def test_the_cover_says_what_it_is() -> None:
    cover = " ".join(glyph.char for glyph in printed.glyphs(whole())[0]).replace(" ", "")
    for words in ("Tern", "Owner'smanual", "SpecimenFlight", "Europe", "DRAFT:", "Poweredflight"):
        assert words in cover
    assert cover.removeprefix("DRAFT").startswith("SpecimenFlight")  # behind it lies DRAFT


def test_every_page_bears_manual_and_state() -> None:
    for page in printed.glyphs(whole())[1:]:
        line = "".join(glyph.char for glyph in page)
        assert "tern-eu·DRAFT:notinanissuededition" in line


def test_contents_and_bookmarks_lead_to_the_pages() -> None:
    marks = printed.bookmarks(whole())
    titles = [page.title for page in pages.pages(book.usual()) if page.path != "register.md"]
    assert [title for title in titles if title not in marks] == []
    contents = "".join(glyph.char for glyph in printed.glyphs(whole())[1])
    assert "Contents" in contents
    assert titles[-1].replace(" ", "") in contents


def test_the_manual_is_tagged_and_its_fonts_are_embedded() -> None:
    assert printed.title(whole()) == "Owner's manual – Tern"
    tags = set(printed.structure(whole()))
    assert {"/TOC", "/H1", "/H2", "/Table", "/TH", "/L", "/Link"} <= tags
    fonts = printed.fonts(whole())
    assert all(fonts.values())
    assert {name.partition("-")[0] for name in fonts} == {"Inter"}


def test_every_figure_of_the_pages_leads_to_the_register() -> None:
    wanted = {
        anchor
        for page in pages.pages(book.usual())
        if page.path != "register.md"
        for anchor in pages.figures_on(page)
    }
    found = {
        link.removeprefix("register.html#")
        for link in printed.links(whole())
        if link.startswith("register.html#")
    }
    assert found == wanted


def test_links_between_pages_stay_in_the_document() -> None:
    pdf = of("# A\n\nSee [that](b.md#there).", "# B\n\n## There {: #there }\n\nHere.")
    assert printed.links(pdf) == []
    assert printed.structure(pdf).count("/Link") > 3  # three of them in the contents


def test_links_to_the_world_stay_addresses() -> None:
    pdf = of("# A\n\n[rules](https://rules.example/) and [card](cards/fire.pdf).")
    assert printed.links(pdf) == ["https://rules.example/", "cards/fire.pdf"]


def test_all_that_pages_may_hold_is_printed() -> None:
    markdown = """\
# Title

Words *in italics* and **bold** and `code`.

!!! warning "\u26a0 WARNING"
    **Hot parts.** They burn.

    Let them cool.

4. Fourth.

    Expect: this.
    {: .expect }

    - Nested one.
    - Nested two.

| one | two |
| --- | ---: |
| left | [88&nbsp;°C](register.md#coolant.red) |

> OPEN
> HERE

![a wheel](wheel.svg)
"""
    pdf = of(markdown, pictures={"wheel.svg": PICTURE})
    text = text_of(pdf)
    for words in (
        *("Words in italics and bold and code.", "WARNING", "Hot parts. They burn."),
        *("4. Fourth.", "Expect: this.", "Nested two.", "left 88 °C", "OPEN HERE"),
    ):
        assert words in text
    assert "\u26a0" not in text  # drawn, not set
    assert {"/Figure", "/Table", "/BlockQuote"} & set(printed.structure(pdf)) >= {"/Table"}
    assert "/Figure" in printed.structure(pdf)


def test_a_picture_that_is_not_there_is_told_in_words() -> None:
    assert "a wheel" in text_of(of("# A\n\n![a wheel](wheel.svg)"))


@pytest.mark.parametrize("name", ["wheel.svg", "wheel.png", "wheel.txt"])
def test_a_picture_that_is_none_is_a_finding(name: str) -> None:
    page = PageFile("guide/a.md", "A", "operation", f"# A\n\n![a]({name}) ![b](good.svg)")
    pictures = {f"guide/{name}": b"no picture", "guide/good.svg": PICTURE}
    pdf, (finding,) = manual.render(book.usual(), (page,), pictures, draft=True, state_line=STATE)
    assert pdf is None
    assert (finding.rule.name, finding.span.path) == ("broken-picture", f"content/{name}")


def test_a_level_of_headings_is_never_left_out() -> None:
    tags = printed.structure(of("# A\n\n#### Deep\n\nwords\n\n## Less"))
    assert [tag for tag in tags if tag.startswith("/H")] == ["/H1", "/H1", "/H2", "/H3", "/H3"]


def test_a_table_too_wide_becomes_records() -> None:
    columns = range(14)
    head = "| " + " | ".join(f"Headingnumber{at}" for at in columns) + " |"
    rule = "|" + " --- |" * len(columns)
    row = "| " + " | ".join(f"valueofcolumn{at}" for at in columns) + " |"
    pdf = of("\n".join(["# A", "", head, rule, row]))
    assert printed.overlaps(pdf, largest=60) == []
    assert "Headingnumber13 valueofcolumn13" in text_of(pdf)


def test_a_hazard_never_parts_from_what_follows() -> None:
    hazard = '!!! danger "\u26a0 DANGER"\n    **Fire.** It kills.\n\n    Keep away.\n'
    for lines in range(18, 34):
        filler = "\n\n".join(f"Line {at}." for at in range(lines))
        pdf = of(f"# A\n\n{filler}\n\n{hazard}\n1. Do it now.")
        page = next(
            "".join(glyph.char for glyph in page)
            for page in printed.glyphs(pdf)[1:]
            if "DANGER" in "".join(glyph.char for glyph in page)
        )
        assert "Doitnow." in page, f"parted after {lines} lines"


HOSTILE = ["#panic()", "$x$", "#{1+1}", "@ref", "a<b>c", "x" * 400, "\\*a"]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: text[:8])
def test_text_is_printed_as_it_stands(text: str) -> None:
    speaker = book.usual()
    written = escaped(text)
    pdf = of(f"# {written}\n\n{written}\n\n| a | b |\n| --- | --- |\n| {written} | c |")
    found = "".join(printed.lines(pdf)).replace(" ", "")
    assert text in found
    assert printed.overlaps(pdf, largest=60) == []
    assert speaker.manual.id in found


def test_a_glyph_that_the_font_lacks_is_a_finding_where_it_was_typed() -> None:
    text = "# Welcome\n\nKeep the coolant inside {coolant.green} ☐.\n"
    speaker = Speaker(book.manual_of({"content/welcome.md": text}))
    pdf, (finding,) = manual.render(
        speaker, pages.pages(speaker), pages.drawings(speaker), draft=True, state_line=STATE
    )
    assert pdf is None
    assert finding.rule.name == "glyph-missing"
    assert (finding.span.path, finding.span.line) == ("content/welcome.md", 3)


def test_the_same_pages_give_the_same_bytes() -> None:
    assert of("# A\n\nwords") == of("# A\n\nwords")


def test_the_tree_keeps_what_entities_say() -> None:
    (para,) = read("a&#42;b&nbsp;c &#60;i&#62; **d** [e](f.md#g)")
    assert para["c"] == [
        {"t": "a*b\u00a0c <i> "},
        {"t": "d", "b": True},
        {"t": " "},
        {"t": "e", "href": "f.md#g"},
    ]


def test_the_tree_starts_a_list_where_it_was_parted() -> None:
    first, hazard, second = read('1. one\n\n!!! notice "NOTICE"\n    Text.\n\n2. two')
    assert (first["start"], second["start"]) == (1, 2)
    assert (hazard["signal"], hazard["word"]) == ("notice", "NOTICE")
