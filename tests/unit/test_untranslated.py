"""What a translator is given: every text once, and no word of a translation lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from placardry import cli
from placardry.book.procedures import Procedure
from placardry.errors import PlacardryError
from placardry.files import write_tree
from placardry.prepared import Prepared, judge
from placardry.untranslated import ToTranslate, untranslated
from tests.books import files

FIRE = "procedures/translations/de/fire.yaml"
WELCOME = "content/de/welcome.md"
GERMAN = "manuals:\n  tern-eu-de: {machine: tern, market: eu, language: de}\n"


def german(**more: str) -> dict[str, bytes]:
    """The specimen with a German manual."""
    return {**files(second=GERMAN), **{path: text.encode() for path, text in more.items()}}


def to_do(book: dict[str, bytes]) -> ToTranslate:
    return untranslated(judge(book), "de")


def rules(prepared: Prepared, path: str) -> list[str]:
    return [one.rule.name for one in prepared.findings if one.span.path == path]


def filled(book: dict[str, bytes]) -> dict[str, bytes]:
    """The book with every text of the skeletons written, and every page read over."""
    found = to_do(book)
    said = {
        path: data.replace(b'text: ""', b'text: "Worte"').replace(b"was: untranslated\n", b"")
        for path, data in found.files.items()
    }
    return {**book, **said}


def test_every_text_stands_beside_its_original() -> None:
    found = to_do(german())
    assert found.files[FIRE].decode() == (
        "# yaml-language-server: $schema=../../schema/translation.json\n"
        "translates: procedures/fire.yaml\n"
        "texts:\n"
        "  title:\n"
        '    of: "Fire"\n'
        '    text: ""\n'
        "  when:\n"
        '    of: "when there is fire or smoke"\n'
        '    text: ""\n'
        "  steps/0/do:\n"
        '    of: "Land and leave the machine."\n'
        '    text: ""\n'
    )
    assert (
        found.files[WELCOME]
        .decode()
        .startswith(
            "---\ntranslates: content/welcome.md\nof: a8c7cec4\nwas: untranslated\n---\n# Welcome\n"
        )
    )
    assert found.pages == 1
    assert found.texts == sum(data.count(b'text: ""') for data in found.files.values())


def test_a_skeleton_is_told_of_once_a_file_until_it_is_filled() -> None:
    book = german()
    given = judge({**book, **to_do(book).files})
    assert rules(given, FIRE) == ["missing-translation"]
    assert rules(given, WELCOME) == ["stale-translation"]
    assert {one.rule.name for one in given.findings} == {"missing-translation", "stale-translation"}
    assert judge(filled(book)).findings == ()


def test_it_is_written_once() -> None:
    book = german()
    once = {**book, **to_do(book).files}
    again = to_do(once)
    assert again.files == {}
    assert again.texts == to_do(book).texts
    done = to_do(filled(book))
    assert (done.files, done.texts, done.pages) == ({}, 0, 0)


def changed(book: dict[str, bytes], path: str, old: str, new: str) -> dict[str, bytes]:
    assert old.encode() in book[path]
    return {**book, path: book[path].replace(old.encode(), new.encode())}


def test_a_changed_original_stands_beside_the_old_one_and_the_old_translation() -> None:
    book = changed(filled(german()), FIRE, '"Worte"', '"Feuer"')
    book = changed(book, "procedures/fire.yaml", "Land and leave", "Land at once and leave")
    assert rules(judge(book), FIRE) == ["stale-translation"]
    found = to_do(book)
    assert list(found.files) == [FIRE]
    assert found.texts == 1
    assert (
        found.files[FIRE]
        .decode()
        .endswith(
            "  steps/0/do:\n"
            '    of: "Land at once and leave the machine."\n'
            '    was: "Land and leave the machine."\n'
            '    text: "Feuer"\n'
        )
    )
    book = {**book, **found.files}
    assert rules(judge(book), FIRE) == ["stale-translation"]
    # A second change before anybody has looked: the words are still of the first original.
    book = changed(book, "procedures/fire.yaml", "Land at once", "Land now")
    again = to_do(book).files[FIRE].decode()
    assert '    of: "Land now and leave the machine."\n    was: "Land and leave the m' in again
    done = {**book, FIRE: again.replace('    was: "Land and leave the machine."\n', "").encode()}
    assert rules(judge(done), FIRE) == []


def test_a_hand_written_file_keeps_its_form_and_its_comments() -> None:
    own = (
        "translates: procedures/fire.yaml\n"
        "texts:\n"
        '  title: {text: "Feuer", of: "00000000"}  # as on the placard\n'
        "  steps/0/do:\n"
        "    text: >-\n"
        "      Landen und das Gerät\n"
        "      verlassen.\n"
        "    of: Land and leave the machine."
    )
    found = to_do(german(**{FIRE: own})).files[FIRE].decode()
    assert found == (
        "translates: procedures/fire.yaml\n"
        "texts:\n"
        '  title: {text: "Feuer", of: "Fire", was: "00000000"}  # as on the placard\n'
        "  when:\n"
        '    of: "when there is fire or smoke"\n'
        '    text: ""\n'
        "  steps/0/do:\n"
        "    text: >-\n"
        "      Landen und das Gerät\n"
        "      verlassen.\n"
        "    of: Land and leave the machine."
    )


@pytest.mark.parametrize(
    "text",
    [
        'Say \\"no\\": it is {coolant.red} # or more',
        "Zurück – „sofort“, 5 °C",
        r"A \\ and a \u00e4",
        "{{not a reference}}: - [x], 'y' & *z*",
        "two   spaces and a\n  line",
    ],
)
def test_whatever_the_original_says_is_read_back(text: str) -> None:
    book = german()
    fire = book["procedures/fire.yaml"].decode()
    line = f'  - do: "{text}"'
    book["procedures/fire.yaml"] = fire.replace(
        "  - do: Land and leave the machine.", line
    ).encode()
    original = judge(book).manuals[0].of(Procedure)["fire"].steps[0].do  # type: ignore[union-attr]
    prepared = judge({**book, **to_do(book).files})
    assert prepared.book is not None
    said = prepared.book.translations["de"]["procedures/fire.yaml"].texts["steps/0/do"]
    assert said.is_of(original)
    assert said.of.split() == original.split()


def test_a_changed_page_keeps_its_words() -> None:
    book = changed(filled(german()), WELCOME, "# Welcome", "# Willkommen")
    book = changed(book, "content/welcome.md", "Keep the coolant", "Always keep the coolant")
    found = to_do(book)
    said = found.files[WELCOME].decode()
    assert found.pages == 1
    assert "was: a8c7cec4\n---\n# Willkommen\n" in said
    assert rules(judge({**book, **found.files}), WELCOME) == ["stale-translation"]
    assert to_do({**book, **found.files}).files == {}


@pytest.mark.parametrize(
    ("language", "wrong"),
    [("fr", "no manual is in the language `fr`"), ("en", "without any translation")],
)
def test_what_needs_no_translation_is_refused(language: str, wrong: str) -> None:
    with pytest.raises(PlacardryError, match=wrong):
        untranslated(judge(german()), language)


def test_a_file_that_cannot_be_read_is_not_touched() -> None:
    book = german(**{FIRE: "translates: procedures/fire.yaml\ntexts: {title: {text: [}\n"})
    with pytest.raises(PlacardryError, match="cannot be read"):
        to_do(book)
    book = german(**{FIRE: "translates: procedures/fire.yaml\ntexts: {title: {text: a, of: b}}\n"})
    with pytest.raises(PlacardryError, match="inside braces"):
        to_do(book)


def test_the_command_writes_and_says_what_is_left(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_tree(tmp_path, german())
    assert cli.main(["translate", "de", "--book", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert f"wrote {tmp_path / FIRE}" in said
    assert "to translate into `de`: texts " in said
    write_tree(tmp_path, filled(german()))
    assert cli.main(["translate", "de", "--book", str(tmp_path)]) == 0
    assert capsys.readouterr().out == "everything is translated into `de`\n"
    assert cli.main(["translate", "fr", "--book", str(tmp_path)]) == 2
