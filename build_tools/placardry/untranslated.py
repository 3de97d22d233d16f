"""What a translator has to do in one language, written into the files where it is to be done.

A text that is missing is written down with its original beside an empty `text:`. A translation
whose original has changed keeps its words: the new original is put beside them, and the old one
becomes `was:`. Nothing that somebody translated is ever replaced or removed.

Pure; the command line writes what is given here.
"""

from __future__ import annotations

import json
import posixpath
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from placardry import nodes
from placardry.book.pages import Page
from placardry.book.translations import (
    UNTRANSLATED,
    TranslatedText,
    Translation,
    page_body,
    text_digest,
)
from placardry.errors import PlacardryError
from placardry.files import text_of
from placardry.finding import Span, did_you_mean
from placardry.prepared import Prepared
from placardry.rules.originals import Original, Originals, place_of
from placardry.schema import FOLDER


@dataclass(frozen=True, slots=True)
class ToTranslate:
    """What is to be translated.

    Attributes:
        files: what the files of the language must now hold, by path, where that is something else
        texts: how many texts are still to be written or changed, with those of earlier
        pages: how many pages
    """

    files: Mapping[str, bytes]
    texts: int
    pages: int


def untranslated(prepared: Prepared, language: str) -> ToTranslate:
    """What is still to be translated into a language that a manual of the book is in.

    Raises:
        PlacardryError: the book cannot be read, no manual is in that language, it needs no
            translation, or a file of translations cannot be read.
    """
    book = prepared.book
    if book is None or book.may_hold_more:
        raise PlacardryError("the book cannot be read whole; `placardry check` tells where")
    manuals = [one for one in prepared.manuals if one.language == language]
    if not manuals:
        known = {one.language for one in prepared.manuals} - {book.settings.language}
        hint = did_you_mean(language, known, "declare one under `manuals:` first")
        raise PlacardryError(f"no manual is in the language `{language}`; {hint}")
    if language.partition("-")[0] == book.settings.language.partition("-")[0]:
        raise PlacardryError(f"a manual in `{language}` can be read without any translation")
    originals = Originals(book)
    files: dict[str, bytes] = {}
    texts = pages = 0
    for path, needed in originals.needed(manuals).items():
        place, given = _file_of(originals, language, path)
        files[place] = _texts(originals, place, path, needed, given)
        known_texts = given.texts if given else {}
        texts += sum(key not in known_texts or _is_due(known_texts[key], one)
                     for key, one in needed.items())  # fmt: skip
    for path in {page.path: None for one in manuals for page in one.of(Page).values()}:
        place = place_of(language, path)
        (page, *_) = originals.translated_pages.get((language, path), (None,))
        now = originals.page_digest(path)
        if page is None:
            files[place] = _new_page(place, path, now, originals)
        elif page.of != now:
            files[page.path] = _stale_page(page, now, originals)
        pages += page is None or page.of != now or page.was is not None
    changed = {path: data for path, data in files.items() if book.files.get(path) != data}
    return ToTranslate(changed, texts, pages)


def _is_due(said: TranslatedText, original: Original) -> bool:
    return said.is_due or not said.is_of(original.leaf.value)


def _file_of(originals: Originals, language: str, path: str) -> tuple[str, Translation | None]:
    """The file that translates a source file, and what it holds; None where there is none yet."""
    (place, *_) = originals.files.get((language, path), (place_of(language, path),))
    if originals.is_unreadable(language, path):
        raise PlacardryError(f"{place} cannot be read; `placardry check` tells why")
    return place, originals.book.translations.get(language, {}).get(path)


def _texts(
    originals: Originals,
    place: str,
    path: str,
    needed: Mapping[str, Original],
    given: Translation | None,
) -> bytes:
    """The file of translations with an entry for every text that is needed."""
    if given is None:
        up = posixpath.relpath(FOLDER, posixpath.dirname(place))
        head = f"# yaml-language-server: $schema={up}/translation.json\n"
        head += f"translates: {path}\ntexts:\n"
        return (head + "".join(_entry(key, one) for key, one in needed.items())).encode()
    source = text_of(originals.book.files[place])
    root = given.places.node("texts")
    lines = source.split("\n")
    if not isinstance(root, nodes.Mapping) or _is_in_braces(root, lines):
        raise PlacardryError(f"{place} has its texts inside braces; give each a line of its own")
    edits: list[tuple[Span, str]] = []
    here = root.entries[0][0].span.line  # what is missing comes behind the text before it
    for key, one in needed.items():
        said, entry = given.texts.get(key), root.get(key)
        if said is None or not isinstance(entry, nodes.Mapping):
            edits.append((Span(place, here, 1, here, 1), _entry(key, one)))
            continue
        here = entry.span.end_line + 1
        if not said.is_of(one.leaf.value):
            edits.append(_renewed(entry, said, one, lines))
    return _edited(lines, edits).encode()


def _is_in_braces(node: nodes.Mapping, lines: list[str]) -> bool:
    return lines[node.span.line - 1][node.span.column - 1 :].startswith("{")


def _entry(key: str, original: Original) -> str:
    """The lines of a text that is to be translated."""
    return f'  {key}:\n    of: {_quoted(original.leaf.value)}\n    text: ""\n'


def _renewed(
    entry: nodes.Mapping, said: TranslatedText, original: Original, lines: list[str]
) -> tuple[Span, str]:
    """The edit that gives a translation its new original, and keeps the old one as `was:`."""
    between = ", "
    if not _is_in_braces(entry, lines):
        between = "\n" + " " * (entry.entries[0][0].span.column - 1)
    kept = f"{between}was: {_quoted(said.of)}" if said.text and said.was is None else ""
    return entry.at("of"), _quoted(original.leaf.value) + kept


def _quoted(text: str) -> str:
    """The text as YAML reads it back, whatever it holds: what is JSON is YAML."""
    return json.dumps(" ".join(text.split()), ensure_ascii=False)


def _edited(lines: list[str], edits: Iterable[tuple[Span, str]]) -> str:
    """The text with these stretches replaced, in their order; none of them lies in another."""
    for span, new in sorted(edits, key=lambda one: (one[0].line, one[0].column))[::-1]:
        lines += [""] * (span.line - len(lines))
        ahead = lines[span.line - 1][: span.column - 1]
        behind = lines[span.end_line - 1][span.end_column - 1 :]
        lines[span.line - 1 : span.end_line] = f"{ahead}{new}{behind}".split("\n")
    return "\n".join(lines)


def _new_page(place: str, path: str, now: str, originals: Originals) -> bytes:
    """The page in its own words, to be written over."""
    if place in originals.book.files:
        raise PlacardryError(f"{place} is no translation of {path}; write `translates:` into it")
    front = f"---\ntranslates: {path}\nof: {now}\nwas: {UNTRANSLATED}\n---\n"
    return (front + page_body(text_of(originals.book.files[path]))).encode()


def _stale_page(page: Page, now: str, originals: Originals) -> bytes:
    """The translated page, marked as one of an older original."""
    lines = text_of(originals.book.files[page.path]).split("\n")
    said = page.places.get("of")
    was = "" if page.was else f"\nwas: {page.of or text_digest('')}"
    if said is not None:
        return _edited(lines, [(said.span, f"{now}{was}")]).encode()
    place = page.places.at("translates")
    return _edited(lines, [(place, f"{page.translates}\nof: {now}{was}")]).encode()
