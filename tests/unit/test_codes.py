"""Card codes: what they are of, which slips of a hand they find, and that phones can read them."""

from __future__ import annotations

import itertools

import pytest

from placardry.codes import ALPHABET, READ_AS, as_listed, as_typed, code, is_sound
from placardry.paper import cards
from placardry.paper.sizes import faces
from placardry.rules.specimen import SPECIMEN
from placardry.wording.phrases import Speaker
from tests import faces as book

CODE = code("tern-eu limits 88 °C")
SITE = {"procedures/book.yaml": SPECIMEN["procedures/book.yaml"] + "site-url: https://m.example/\n"}


def test_a_code_is_pinned() -> None:
    # Another value here kills every card in every cockpit: only a new LAYOUT may do that.
    assert CODE == "8M2R-VVFN"
    assert cards.codes(book.usual()) == {
        "fire": "KYTN-C4PT",
        "limits": "38P4-HN7A",
        "oil": "3N47-A2FM",
    }


def test_no_two_characters_look_alike() -> None:
    # Common practice, no source: the sets that people confuse in print and in handwriting.
    for alike in ("0OQD", "1IL", "2Z", "5S", "8B", "6G", "UV"):
        assert len(set(alike) & set(ALPHABET)) <= 1


def test_every_single_wrong_character_is_found() -> None:
    for at, char in itertools.product(range(len(CODE)), ALPHABET):
        wrong = CODE[:at] + char + CODE[at + 1 :]
        assert is_sound(wrong) == (wrong == CODE)


def test_any_two_characters_that_changed_places_are_found() -> None:
    for seed in range(200):
        own = code(f"card {seed}")
        for one, other in itertools.combinations(range(len(own)), 2):
            chars = list(own)
            chars[one], chars[other] = chars[other], chars[one]
            assert is_sound("".join(chars)) == ("".join(chars) == own)


@pytest.mark.parametrize(
    "typed",
    [
        CODE,
        CODE.lower(),
        CODE.replace("-", ""),
        f" {CODE} ",
        f"https://a.example/check.html#{CODE}",
    ],
)
def test_a_code_is_read_however_it_is_typed(typed: str) -> None:
    assert as_typed(typed) == CODE


def test_a_sign_that_no_code_holds_is_read_as_its_look_alike() -> None:
    assert not set(READ_AS) & set(ALPHABET)
    assert set(READ_AS.values()) <= set(ALPHABET)
    assert as_typed("zbgu-2222") == "286V-2222"


@pytest.mark.parametrize(
    ("field", "codes"),
    [
        ("", []),
        ("8M2R-VVFN 2222-2222", ["8M2R-VVFN", "2222-2222"]),
        ("8m2r vvfn,22222222; 8M2RVVFN", ["8M2R-VVFN", "2222-2222"]),
        ("8M2R-VVF 2222-2222", ["8M2R-VVF", "2222-2222"]),
        ("8M2R", ["8M2R"]),
        ("8M2R-VVFN/22222222", ["8M2R-VVFN", "2222-2222"]),
        ("https://a.example/check.html#8M2R-VVFN", ["8M2R-VVFN"]),
        ("none, as far as known?", ["none", "as", "far", "known?"]),
    ],
)
def test_the_codes_in_a_field_of_a_list(field: str, codes: list[str]) -> None:
    assert as_listed(field) == codes


@pytest.mark.parametrize("typed", ["", "K7M4", CODE + "2", "????-????", "２２２２-２２２２"])
def test_what_can_be_no_code_is_not_sound(typed: str) -> None:
    assert not is_sound(as_typed(typed))


def test_a_code_is_of_what_is_read() -> None:
    issued = book.usual()
    own = cards.codes(issued)
    face = cards.unmarked(issued)["limits"]
    draft = cards.marked(issued, face, draft=True, state_line="")
    assert draft["code"] == own["limits"]
    with_wait = book.FILES["procedures/more.yaml"].replace(
        "wait: {minimum: 10", "wait: {minimum: 9"
    )
    changed = cards.codes(Speaker(book.manual_of({"procedures/more.yaml": with_wait})))
    assert {name for name in own if own[name] != changed[name]} == {"fire"}


@pytest.mark.parametrize("size", [name for name, face in faces().items() if not face.brief])
def test_the_square_leads_to_the_card_check(size: str) -> None:
    """Read back by another program from the printed face, as an office printer would print it."""
    import pypdfium2
    import zxingcpp

    pdf = book.printed(size, "[{facts: [oil-mix]}]", **SITE)
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=300 / 72).to_pil()
    found = zxingcpp.read_barcodes(picture)
    assert [one.text.rpartition("#")[0] for one in found] == ["https://m.example/check.html"]
    assert is_sound(found[0].text.rpartition("#")[2])


@pytest.mark.parametrize("size", [name for name, face in faces().items() if face.brief])
def test_a_label_has_its_code_in_letters_alone(size: str) -> None:
    import pypdfium2

    page = pypdfium2.PdfDocument(book.printed(size, "[{facts: [oil-mix]}]", **SITE))[0]
    words = page.get_textpage().get_text_bounded().split()
    assert any(is_sound(word) for word in words)
