"""Pages: nothing an author typed is markup, every link leads somewhere, what is empty is out."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from xml.etree.ElementTree import Element

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placardry.book.record import Text
from placardry.book.sources import Edition
from placardry.finding import Span
from placardry.nodes import Mapping
from placardry.pages import CHAPTERS, PageFile, drawings, element_tree, pages, pictures, used_in
from placardry.pages.inline import Inline, escaped
from placardry.pages.page import finalized
from placardry.pages.places import REGISTER, Places
from placardry.wording import LANGUAGES
from placardry.wording.phrases import Speaker, spoken
from placardry.wording.words import words
from tests.manuals import RICH, manual_of, speaker_of, told

RICH_PAGES = pages(speaker_of())

HOSTILE = (
    "<script>alert(1)</script>",
    "{{ 7 * 7 }} {% raw %} {{# x #}}",
    '#panic() #import "@preview/x" $x$ @ref <label>',
    "a | b || c \\| d",
    "`code` ``more`` ```",
    "*a* **b** _c_ __d__ ~~e~~",
    "[x](javascript:alert(1)) ![y](z) [z]: w [TOC] [[w]] [^1]",
    "&lt;b&gt; &amp; &#60;i&#62; &nbsp;",
    "# no heading",
    "- no list",
    "1. no list either",
    "12) nor this",
    "+ plus - minus = equals",
    "---",
    "===",
    "> no quotation",
    '!!! danger "no block"',
    "word: {{: #id .class onclick=x }}",
    "::: note",
    "    four spaces",
    "Donau" + "dampf" * 60,
    "back\\slash \\* \\` \\[",
    "“quoted” – dash … ½ µ Ω ⚠ \u00a0 \u202f 10 000",
    "line one\nline two\n\n- line three",
    "&#123;: #x &#125; klzzwxh:0001 wzxhzdk:0",
)


def shape(markdown: str) -> list[tuple[str, str | None, str | None]]:
    """Every element of a page with its identity and address, in order."""
    tree = element_tree(markdown)
    return [(one.tag, one.get("id"), one.get("href")) for one in tree.iter()]


def read(markdown: str) -> str:
    """What is read on a page, with plain spaces."""
    return " ".join("".join(element_tree(markdown).itertext()).split())


@cache
def benign() -> list[tuple[str, list[tuple[str, str | None, str | None]], int]]:
    """Of each page its path, its shape, and how often a text stands on it."""
    made = pages(Speaker(told(manual_of(RICH), "X")))
    return [(page.path, shape(page.markdown), read(page.markdown).count("X")) for page in made]


@pytest.mark.parametrize("text", HOSTILE)
def test_what_an_author_types_is_never_markup(text: str) -> None:
    speaker = Speaker(told(manual_of(RICH), text))
    wanted = " ".join(spoken(speaker.text(text)).split()).casefold()
    for page, (path, wanted_shape, times) in zip(pages(speaker), benign(), strict=True):
        assert page.path == path
        assert shape(page.markdown) == wanted_shape, path
        assert read(page.markdown).casefold().count(wanted) >= times, path


@settings(max_examples=25)
@given(
    st.text(
        st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")),
        min_size=1,
        max_size=30,
    )
    .map(lambda text: text.replace("{", "{{").replace("}", "}}"))
    .filter(str.strip)
)
def test_no_text_is_markup(text: str) -> None:
    wanted = " ".join(text.replace("{{", "{").replace("}}", "}").split())
    said = escaped(wanted)
    for markdown in (said, f"- **x:** {said}", f"| a | b |\n| --- | --- |\n| {said} | {said} |"):
        plain = markdown.replace(said, "X")
        assert shape(markdown) == shape(plain)
        assert wanted in read(markdown)


@pytest.mark.parametrize("text", HOSTILE)
def test_prose_has_no_tags_of_its_own(text: str) -> None:
    speaker = speaker_of()
    write = Inline(speaker, Places(speaker.manual), "guide/x.md")
    tree = element_tree(write.prose(text))
    allowed = {
        *("div", "p", "a", "img", "em", "strong", "code", "pre", "ul", "ol", "li", "blockquote"),
        *("h1", "h2", "hr", "table", "thead", "tbody", "tr", "th", "td", "br"),
    }
    assert {one.tag for one in tree.iter()} <= allowed
    assert all(set(one.attrib) <= {"href", "src", "alt", "title", "start"} for one in tree.iter())
    assert "\u0002" not in "".join(tree.itertext()), "a tag was put aside as raw HTML"


def test_a_template_escapes_what_is_not_markdown() -> None:
    assert finalized("*a*") == "&#42;a&#42;"
    assert finalized(escaped("*a*")) == "&#42;a&#42;"
    assert finalized(None) == ""


def links(page: PageFile) -> Iterator[tuple[str, str]]:
    """The pages and anchors that a page leads to."""
    for one in element_tree(page.markdown).iter("a"):
        path, _, anchor = (one.get("href") or "").partition("#")
        if ":" not in path and path.endswith(".md"):
            yield posixpath.normpath(posixpath.join(posixpath.dirname(page.path), path)), anchor


def test_every_link_leads_somewhere() -> None:
    anchors = {
        page.path: {one.get("id") for one in element_tree(page.markdown).iter()}
        for page in RICH_PAGES
    }
    found = [(page.path, *link) for page in RICH_PAGES for link in links(page)]
    assert len(found) > 100
    for page, path, anchor in found:
        assert path in anchors, f"{page} leads to {path}"
        assert not anchor or anchor in anchors[path], f"{page} leads to {path}#{anchor}"


def test_identities_are_given_once() -> None:
    for page in RICH_PAGES:
        found = [one.get("id") for one in element_tree(page.markdown).iter() if one.get("id")]
        assert len(found) == len(set(found)), page.path
    paths = [page.path for page in RICH_PAGES]
    assert len(paths) == len(set(paths))


def test_the_register_holds_every_figure_and_where_it_is_used() -> None:
    speaker = speaker_of()
    register = RICH_PAGES[-1]
    assert register.path == REGISTER
    rows = {
        one.get("id"): "".join(row.itertext())
        for row in element_tree(register.markdown).iter("tr")
        for one in row.iter("td")
        if one.get("id")
    }
    assert set(rows) == {figure.anchor for figure in speaker.figures.values()}
    assert "procedures/coolant.yaml:5" in rows["coolant.red"]
    assert "Reading the coolant" in rows["coolant.red"]
    used = used_in(RICH_PAGES)
    assert "guide/engine/coolant.md" in used["coolant.red"]
    assert REGISTER not in used["coolant.red"]


def test_printed_faces_are_used_places_too() -> None:
    made = pages(speaker_of(), printed={"coolant.red": ["cards/hot-card.pdf"]})
    row = next(line for line in made[-1].markdown.splitlines() if "`coolant.red`" in line)
    assert "(cards/hot-card.pdf)" in row


def test_the_condition_stands_in_the_row_of_its_limit() -> None:
    limits = next(page for page in RICH_PAGES if page.path == "limits.md")
    row = next(
        "".join(row.itertext())
        for row in element_tree(limits.markdown).iter("tr")
        if "7300" in "".join(row.itertext())
    )
    assert "at full throttle" in row
    assert "5\u00a0min" in row
    assert "maximum" in row


def test_what_to_do_beside_an_aimed_value_is_told_after_it() -> None:
    more = (
        "document: marl-manual\n"
        "limits:\n"
        "  idle-speed:\n"
        "    parameter: engine-speed\n"
        "    nominal: 2000 ± 100 rpm\n"
        "    name: idle\n"
        "    source: page 4\n"
        "    exceeded: Let your dealer set the idle.\n"
    )
    made = pages(speaker_of({**RICH, "procedures/aimed.yaml": more}))
    (page,) = (one for one in made if one.path == "limits.md")
    assert page.markdown.index("2000") < page.markdown.index("**Idle:** Let your dealer")


def test_a_red_band_below_a_scale_is_not_said_to_begin_there() -> None:
    low = (
        "document: marl-manual\n"
        "scales:\n"
        "  speed:\n"
        "    parameter: engine-speed\n"
        "    bands: [red, green from 3000 rpm, red from 7500 rpm]\n"
        "    source: page 4\n"
        "    exceeded: Land.\n"
    )
    (page,) = (
        one
        for one in pages(speaker_of({**RICH, "procedures/low.yaml": low}))
        if one.path == "limits.md"
    )
    rows = [" ".join(row.itertext()) for row in element_tree(page.markdown).iter("tr")]
    said = [" ".join(row.split()) for row in rows if "rpm" in row and "Red" in row]
    assert ["below" in row for row in said] == [True, False]
    assert ["from" in row for row in said] == [False, True]


def test_the_page_of_an_instrument_begins_with_a_capital() -> None:
    files = dict(RICH)
    named = RICH["procedures/instrument.yaml"].replace("name: Wren display", "name: the display")
    files["procedures/instrument.yaml"] = named
    made = {page.path: page for page in pages(speaker_of(files))}
    assert made["instruments/wren.md"].title == "The display"


def test_an_alarm_is_said_with_the_condition_of_its_limit() -> None:
    files = dict(RICH)
    files["procedures/alarms.yaml"] = (
        RICH["procedures/alarms.yaml"]
        .replace("channel: coolant", "channel: speed")
        .replace("guards: coolant.red", "guards: climb-speed")
        .replace("set-point: 88 degC", "set-point: 7200 rpm")
    )
    made = {page.path: page for page in pages(speaker_of(files))}
    for path in ("alarms.md", REGISTER):
        text = element_tree(made[path].markdown)
        said = [
            " ".join("".join(one.itertext()).split())
            for one in text.iter()
            if one.tag in ("li", "td")
        ]
        assert any("7200 rpm, before the limit of 7300 rpm at full throttle" in one for one in said)


def cells(page: str, words_: str) -> list[str]:
    """The cells of the first row that holds these words."""
    found = next(one for one in RICH_PAGES if one.path == page)
    return next(
        [" ".join("".join(cell.itertext()).split()) for cell in row]
        for row in element_tree(found.markdown).iter("tr")
        if words_ in "".join(row.itertext())
    )


def test_a_band_says_its_colour_in_words_and_both_ends() -> None:
    assert cells("limits.md", "Green") == ["Green: normal", "60 to 80 °C", "140 to 176 °F"]
    assert cells("limits.md", "Red: limit")[1:] == ["from 90 °C", "from 194 °F"]


def test_a_field_without_connection_says_what_is_seen_and_why() -> None:
    label, shows, tells = cells("instruments/wren.md", "FUEL")
    assert (label, shows) == ("FUEL", "Tank")
    assert tells == "The field shows “- - -”. Nothing is connected to it on this machine."


def test_a_hazard_stands_before_its_step_and_numbers_go_on() -> None:
    page = next(one for one in RICH_PAGES if one.path == "procedures/too-hot.md")
    tree = element_tree(page.markdown)
    steps = [one for one in tree if one.tag in ("ol", "div")]
    assert [one.tag for one in steps] == ["ol", "div", "ol"]
    assert steps[1].get("class") == "admonition warning"
    assert "".join(steps[1].itertext()).split()[:2] == ["⚠", "WARNING"]
    assert steps[2].get("start") == "2"
    inner = list(steps[2].iter("div"))
    assert [one.get("class") for one in inner] == ["admonition notice"]
    # ANSI Z535.4 4.14: the alert symbol stands with injury alone.
    assert "⚠" not in "".join(inner[0].itertext())


def test_what_is_empty_is_left_out() -> None:
    by_file = {
        "procedures/card.yaml": "cards.md",
        "procedures/alarms.yaml": "alarms.md",
        "procedures/too-hot.yaml": "procedures/too-hot.md",
        "content/engine/coolant.md": "guide/engine/coolant.md",
    }
    without = {path: text for path, text in RICH.items() if path not in by_file}
    more = without["procedures/more.yaml"]
    # The procedure is gone, and with it what calls it.
    without["procedures/more.yaml"] = more[: more.index("tasks:")]
    gone = {*by_file.values(), "schedule.md", "faults.md", "procedures/index.md"}
    assert gone <= {page.path for page in RICH_PAGES}
    assert not gone & {page.path for page in pages(speaker_of(without))}


def test_editions_are_listed_and_a_draft_says_so() -> None:
    places = Mapping((), Span("procedures/editions.yaml"))
    one = Edition(
        number=3,
        dated=date(2026, 1, 1),
        approver="The reviewer",
        summary={"en": Text("First | issue"), "de": Text("Erste Ausgabe")},
        digest="0" * 16,
        withdrawn=date(2026, 2, 1),
        because={"de": Text("Falsch.")},
        places=places,
    )
    draft = {page.path: page.markdown for page in pages(speaker_of(), [one])}
    issued = {page.path: page.markdown for page in pages(speaker_of(), [one], one)}
    assert "DRAFT" in draft["index.md"]
    assert "DRAFT" not in issued["index.md"]
    assert "Edition 3 of 2026-01-01" in issued["index.md"]
    assert "First &#124; issue" in issued["editions.md"]
    assert "Erste Ausgabe" not in issued["editions.md"]
    # WCAG 2.2, 3.1.2: a passage in another language says so.
    assert '2026-02-01 *Falsch.*{: lang="de" }' in issued["editions.md"]


def test_pages_stand_in_the_order_of_their_chapters() -> None:
    order = [CHAPTERS.index(page.chapter) for page in RICH_PAGES]
    assert order == sorted(order)
    assert RICH_PAGES[0].path == "index.md"


def test_the_conditions_of_limits_are_explained() -> None:
    (page,) = (one for one in RICH_PAGES if one.path == "limits.md")
    said = [
        " ".join("".join(one.itertext()).split()) for one in element_tree(page.markdown).iter("li")
    ]
    assert any(one.startswith("At full throttle: ") and "rpm" in one for one in said)


def test_a_unit_that_can_be_set_is_shown_by_its_sign() -> None:
    files = {**RICH, "procedures/more.yaml": RICH["procedures/more.yaml"].replace(
        'allowed: ["1", "2"]\n    factory: "2"\n    delivered: "1"',
        'allowed: [degC, degF]\n    factory: degF\n    delivered: degC',
    )}  # fmt: skip
    (page,) = (one for one in pages(speaker_of(files)) if one.path == "settings.md")
    text = "".join(element_tree(page.markdown).itertext())
    assert "°C, °F" in text
    assert "deg" not in text


def test_pictures_that_pages_show_come_along() -> None:
    text = "# Welcome\n\n![The machine](pictures/tern.png)\n"
    files = {**RICH, "content/welcome.md": text}
    kept = pictures(
        pages(speaker_of(files)),
        {"content/pictures/tern.png": b"picture", "content/pictures/other.png": b"other"},
    )
    assert kept == {"guide/pictures/tern.png": b"picture"}


def test_the_drawing_numbers_every_callout() -> None:
    drawn = drawings(speaker_of())["panel.svg"].decode()
    assert re.findall(r">(\d+)</text>", drawn) == ["1", "2"]


def test_the_tree_resolves_every_entity() -> None:
    tree = element_tree("| a |\n| --- |\n| &#124;&nbsp;`x &lt;`&#60; {: #i } |\n")
    cell: Element = next(tree.iter("td"))
    assert "".join(cell.itertext()) == "|\u00a0x &lt;<"
    assert cell.get("id") == "i"


def test_languages_say_the_same_with_the_same_slots() -> None:
    english = words("en")
    for language in LANGUAGES:
        table = words(language)
        assert set(table.table) == set(english.table), language
        for key in table.table:
            slots = [{name for name, slot in one.pieces(key) if slot} for one in (table, english)]
            assert slots[0] == slots[1], f"{language}: {key}"
