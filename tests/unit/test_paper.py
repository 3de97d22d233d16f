"""Cards and sheets, read back as a stranger would; the printed manual is in test_paper_manual."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from placardry.book.cards import Card
from placardry.paper import cards, sheets
from placardry.paper.sizes import faces
from placardry.paper.typesetter import typeset
from placardry.rules.specimen import SPECIMEN
from placardry.wording.phrases import Speaker
from tests import faces as book
from tests import printed

REGISTER = "../register.html#"
HOSTILE = ["#panic()", "$x$", "*a* _b_", "<script>alert(1)</script>", "#{1+1}", "\\u{41}", "@ref"]


def issued(name: str) -> bytes:
    pdf, findings = book.printed_card(book.usual(), name)
    assert not findings
    assert pdf is not None
    return pdf


@pytest.mark.parametrize("name", ["limits", "fire", "oil"])
def test_a_card_reads_as_it_should(name: str, golden: Callable[[str, str | bytes], None]) -> None:
    pdf = issued(name)
    golden(f"paper/{name}.txt", "\n".join(printed.lines(pdf)) + "\n")
    golden(f"paper/{name}.boxes.txt", printed.boxes(pdf))


@pytest.mark.parametrize("name", ["limits", "fire", "oil"])
def test_two_readers_find_the_same_words(name: str) -> None:
    pdf = issued(name)
    other = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    found = sorted(" ".join(printed.lines(pdf)).split())
    assert sorted(other.replace("\u00a0", " ").split()) == found


@pytest.mark.parametrize("name", ["limits", "fire", "oil"])
def test_nothing_prints_over_something_else(name: str) -> None:
    assert printed.overlaps(issued(name)) == []


def test_the_overlap_detector_sees() -> None:
    import typst

    made = typst.compile(b"#place[first words]\n#place(dx: 2pt)[second words]", format="pdf")
    assert isinstance(made, bytes)
    assert printed.overlaps(made)


@pytest.mark.parametrize("size", faces())
def test_a_card_has_exactly_its_size(size: str) -> None:
    face = faces()[size]
    pdf = book.printed(size, "[{facts: [oil-mix]}]")
    # Typst keeps lengths in points; two hundredths of a millimetre are below any cutter.
    assert printed.sizes_mm(pdf) == [pytest.approx((face.width, face.height), abs=0.02)]


def test_a_card_is_tagged_and_its_fonts_are_embedded() -> None:
    pdf = issued("limits")
    assert printed.catalog(pdf)["/MarkInfo"]["/Marked"]
    assert printed.catalog(pdf)["/Lang"] == "en"
    assert printed.title(pdf) == "Engine limits – Tern"
    assert printed.structure(pdf).count("/H1") == 1
    assert printed.structure(pdf).count("/H2") == 2
    assert printed.fonts(pdf) == {"Inter-Regular": True, "Inter-Bold": True}


def test_every_figure_leads_to_its_row_in_the_register() -> None:
    anchors = {link.removeprefix(REGISTER) for link in printed.links(issued("limits"))}
    assert anchors == {
        *("coolant.green", "coolant.yellow", "coolant.red"),
        *("coolant-climb", "coolant-climb.within", "engine-speed-maximum", "speed-avoid"),
        *("oil-mix", "coolant-alarm", "service.hours", "service.hours-1", "service.hours-2"),
    }


def test_with_a_site_the_figures_lead_to_it() -> None:
    settings = SPECIMEN["procedures/book.yaml"] + "site-url: https://fenwick.example/m\n"
    pdf = book.printed("A6 portrait", "[{facts: [oil-mix]}]", **{"procedures/book.yaml": settings})
    check, figure = printed.links(pdf)
    assert check.startswith("https://fenwick.example/m/check.html#")
    assert figure == "https://fenwick.example/m/tern-eu/register.html#oil-mix"


def test_the_cards_of_each_figure_are_known() -> None:
    found = cards.printed(cards.unmarked(book.usual()))
    assert found["oil-mix"] == ("cards/limits.pdf", "cards/oil.pdf")
    assert found["wait"] == ("cards/fire.pdf",)


def test_a_condition_stands_in_the_row_of_its_limit() -> None:
    text = " ".join(printed.lines(issued("limits")))
    climb = text[text.index("Coolant in the climb") :]
    assert "at full throttle for at most 5\u00a0min" in climb[: climb.index("86")] or (
        "at full throttle" in climb[:90]
    )


def test_both_units_stand_on_a_card_with_room() -> None:
    assert "(194\u00a0°F)" in " ".join(printed.lines(issued("limits")))


def test_a_draft_says_so_across_its_face() -> None:
    pdf, _ = book.printed_card(book.usual(), "limits", draft=True)
    assert pdf is not None
    marks = [glyph for glyph in printed.glyphs(pdf)[0] if glyph.size > 40]
    assert "".join(glyph.char for glyph in marks) == "DRAFT"
    assert min(glyph.left for glyph in marks) < 120
    assert max(glyph.right for glyph in marks) > 300
    assert not [glyph for glyph in printed.glyphs(issued("limits"))[0] if glyph.size > 40]
    # All else reads as on the issued card.
    rest = sorted(glyph.char for glyph in printed.glyphs(pdf)[0] if glyph.size <= 40)
    assert rest == sorted(glyph.char for glyph in printed.glyphs(issued("limits"))[0])


@pytest.mark.parametrize("size", faces())
def test_the_whole_draft_mark_stands_on_the_face(size: str) -> None:
    speaker = Speaker(book.manual_of(book.card_of(size, "[{facts: [oil-mix]}]")))
    card = speaker.manual.get(Card, "card")
    face = cards.face_of(speaker, card)
    assert face is not None
    made = typeset("card.typ", {**face, "draft": "ENTWURF"}, speaker.manual.settings.dated)
    assert made.pdf is not None
    ((width, height),) = (
        (one / printed.POINT_MM for one in sides) for sides in printed.sizes_mm(made.pdf)
    )
    page = printed.glyphs(made.pdf)[0]
    largest = max(glyph.size for glyph in page)
    marks = [glyph for glyph in page if glyph.size == largest]
    assert "".join(glyph.char for glyph in marks) == "ENTWURF"
    assert all(0 <= one.left < one.right <= width for one in marks)
    assert all(0 <= one.top < one.bottom <= height for one in marks)
    # Across the face: the word spans most of one of its sides.
    assert max(one.right for one in marks) - min(one.left for one in marks) > 0.5 * width


def test_an_alarm_fires_for_its_limit_and_not_only_under_its_condition() -> None:
    more = book.FILES["procedures/more.yaml"] + (
        "alarms:\n"
        "  climb-alarm:\n"
        "    name: climb alarm\n"
        "    instrument: wren\n"
        "    channel: coolant\n"
        "    guards: coolant-climb\n"
        "    set-point: 85 degC\n"
        "    fires: at-or-above\n"
        "    shows: The lamp lights.\n"
    )
    pdf = book.printed("A6 portrait", "[{alarms: [climb-alarm]}]", **{"procedures/more.yaml": more})
    text = " ".join(" ".join(printed.lines(pdf)).split())
    assert "for the limit at full throttle" in text


@pytest.mark.parametrize(("name", "said"), [("    name: loss on one circuit\n", False), ("", True)])
def test_a_difference_is_called_one_only_where_its_name_does_not_say_so(
    name: str, said: bool
) -> None:
    limit = (
        "  loss:\n    parameter: engine-speed\n    drop: 150 to 400 rpm\n    source: page 4\n"
        f"    exceeded: Do not fly.\n{name}"
    )
    more = book.FILES["procedures/more.yaml"].replace("facts:", f"{limit}facts:")
    pdf = book.printed("A6 portrait", "[{limits: [loss]}]", **{"procedures/more.yaml": more})
    assert ("drop" in " ".join(printed.lines(pdf)).split()) == said


def test_a_band_that_is_open_to_one_side_says_which_on_a_card() -> None:
    more = book.FILES["procedures/more.yaml"] + (
        "scales:\n"
        "  speed:\n"
        "    parameter: engine-speed\n"
        "    bands: [red, yellow from 2000 rpm, green from 3000 rpm, red from 7500 rpm]\n"
        "    source: page 4\n"
        "    exceeded: Reduce power.\n"
    )
    pdf = book.printed("A6 portrait", "[{scales: [speed]}]", **{"procedures/more.yaml": more})
    text = " ".join(" ".join(printed.lines(pdf)).split())
    assert "limit below 2000 rpm" in text
    assert "limit from 7500 rpm" in text


def test_a_lowest_band_that_is_no_limit_says_that_it_lies_below() -> None:
    more = book.FILES["procedures/more.yaml"] + (
        "scales:\n"
        "  speed:\n"
        "    parameter: engine-speed\n"
        "    bands: [yellow, green from 3000 rpm]\n"
        "    source: page 4\n"
        "    exceeded: Reduce power.\n"
    )
    pdf = book.printed("A6 portrait", "[{scales: [speed]}]", **{"procedures/more.yaml": more})
    text = " ".join(" ".join(printed.lines(pdf)).split())
    assert "caution below 3000 rpm" in text
    assert "normal from 3000 rpm" in text


def test_the_state_and_the_manual_stand_at_the_foot() -> None:
    text = " ".join(printed.lines(issued("limits")))
    assert f"tern-eu / limits · {book.STATE}" in text
    assert "The makers' documents" in text


def test_memory_items_are_boxed_and_the_hazard_precedes_its_step() -> None:
    text = "\n".join(printed.lines(issued("fire")))
    words = ["By heart", "1 Set", "2 Get out.", "DANGER", "Burning petrol.", "3 Wait", "Expect:"]
    places = [text.index(word) for word in words]
    assert places == sorted(places)


def test_too_much_for_a_face_is_a_finding_at_the_size() -> None:
    speaker = Speaker(book.manual_of(book.card_of("label 60x25", "[{procedure: fire}]")))
    pdf, (finding,) = book.printed_card(speaker)
    assert pdf is None
    assert finding.rule.name == "card-overflows"
    assert str(finding.span) == "procedures/cards/card.yaml:3:7"
    assert "`label 60x25` has" in finding.message


def test_a_title_that_leaves_no_room_is_a_finding() -> None:
    files = book.card_of("label 60x25", "[{text: Stop.}]", "Stop at once " * 60)
    _, findings = book.printed_card(Speaker(book.manual_of(files)))
    assert [one.rule.name for one in findings] == ["card-overflows"]
    assert "has 0 mm" in findings[0].message


@pytest.mark.parametrize("text", ["word ", "w", "Kolbenbolzen-"])
def test_a_text_without_end_is_a_finding(text: str) -> None:
    words = (text * 9_000)[:9_000].strip()
    speaker = Speaker(book.manual_of(book.card_of("A6 portrait", f'[{{text: "{words}"}}]')))
    pdf, findings = book.printed_card(speaker)
    assert pdf is None
    assert [one.rule.name for one in findings] == ["card-overflows"]


@pytest.mark.parametrize("text", HOSTILE)
def test_text_is_printed_as_it_stands(text: str) -> None:
    escaped = text.replace("\\", "\\\\").replace("{", "{{").replace("}", "}}")
    pdf = book.printed("A6 portrait", f'[{{text: "{escaped}"}}]', title=f'"{escaped}"')
    found = "".join(printed.lines(pdf)).replace(" ", "").replace("Tern", "")
    assert found.count(text.replace(" ", "")) == 2  # the title and the body


def test_a_long_word_is_broken_and_stays_whole_in_the_text() -> None:
    word = "Kolbenbolzensicherungsringzange" * 3
    pdf = book.printed("A7 portrait", f"[{{text: {word}}}]")
    assert word in "".join(printed.lines(pdf))
    right = max(glyph.right for glyph in printed.glyphs(pdf)[0])
    assert right * printed.POINT_MM <= 74 - 4 + 0.1


def test_a_glyph_that_the_font_lacks_is_a_finding() -> None:
    speaker = Speaker(book.manual_of(book.card_of("A6 portrait", '[{text: "tick ☐ and 漢"}]')))
    pdf, findings = book.printed_card(speaker)
    assert pdf is None
    assert [one.rule.name for one in findings] == ["glyph-missing"] * 2
    assert {str(one.span) for one in findings} == {"procedures/cards/card.yaml:5:16"}
    messages = sorted(one.message for one in findings)
    assert "`☐` (U+2610 ballot box)" in messages[0]
    assert "`漢`" in messages[1]


def test_an_unknown_size_is_left_to_the_rules() -> None:
    speaker = Speaker(book.manual_of(book.card_of("B9 round", "[{facts: [oil-mix]}]")))
    assert book.printed_card(speaker) == (None, ())


ONE_CARD = """
import sys
from tests import faces as book
sys.stdout.buffer.write(book.printed_card(book.usual(), "limits", draft=True)[0])
"""


def test_the_same_bytes_anywhere(tmp_path: Path) -> None:
    """In another process, folder, time zone and locale, with another seed of hashes."""
    root = Path(__file__).parents[2]
    path = os.pathsep.join([str(root), str(root / "build_tools")])
    environment = {
        **os.environ,
        **{"PYTHONPATH": path, "TZ": "Pacific/Apia", "LC_ALL": "C", "PYTHONHASHSEED": "7"},
    }
    command = [sys.executable, "-c", ONE_CARD]
    made = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=True)
    assert made.stdout == book.printed_card(book.usual(), "limits", draft=True)[0]


# Sheets


def test_a_sheet_holds_every_card_with_its_words() -> None:
    speaker = book.usual()
    pdf, findings = sheets.render(speaker, cards.unmarked(speaker).values())
    assert not findings
    assert pdf is not None
    assert printed.sizes_mm(pdf) == [pytest.approx((210, 297), abs=0.02)]
    text = " ".join(printed.lines(pdf))
    for name in ("limits", "fire", "oil"):
        assert f"tern-eu / {name}" in text
    assert len(printed.links(pdf)) == sum(
        len(printed.links(issued(name))) for name in ("limits", "fire", "oil")
    )
    assert printed.overlaps(pdf) == []


def test_no_cards_no_sheet() -> None:
    assert sheets.render(book.usual(), []) == (None, ())


@pytest.mark.parametrize("count", [1, 4, 9])
@pytest.mark.parametrize("size", [(148, 105), (105, 148), (74, 105), (90, 40), (148, 210)])
def test_cards_lie_beside_each_other(size: tuple[int, int], count: int) -> None:
    sizes = [size, (60, 25)] * count
    spots = sheets.laid_out(sizes)
    taken: set[tuple[int, int, int]] = set()
    for (width, height), spot in zip(sizes, spots, strict=True):
        across, down = (height, width) if spot.is_turned else (width, height)
        assert spot.x + across <= sheets.WIDTH_MM
        assert spot.y + down <= sheets.HEIGHT_MM
        cells = {
            (spot.sheet, x, y)
            for x in range(spot.x, spot.x + across)
            for y in range(spot.y, spot.y + down)
        }
        assert not cells & taken
        taken |= cells


def test_four_cards_of_a6_fill_one_sheet() -> None:
    assert {spot.sheet for spot in sheets.laid_out([(148, 105)] * 4)} == {0}
    assert {spot.sheet for spot in sheets.laid_out([(105, 148)] * 4)} == {0}
