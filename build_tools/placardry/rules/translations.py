"""Rules on what is translated: every text that a manual prints, once, and nothing else."""

from __future__ import annotations

import collections.abc
from collections.abc import Iterator

from placardry.book.machines import ManualEntry
from placardry.book.pages import Page
from placardry.book.translations import text_digest
from placardry.finding import Family, Note, Severity, Span, did_you_mean
from placardry.nodes import Mapping
from placardry.rules.originals import Original, Originals, place_of
from placardry.rules.registry import Problem, Subject, rule
from placardry.rules.texts import holders
from placardry.wording.words import LANGUAGES


@rule(Severity.ERROR, Family.PROSE)
def language_without_words(subject: Subject) -> Iterator[Problem]:
    """A manual, or the book, is in a language that the package has no words for.

    Signal words, units and the words of steps come translated with the package, from fixed
    lists; without the list there is no safe word to print.

    Source: ISO 3864-2, seen as a summary (signal words come from a fixed list).

    Bad:
        procedures/finnish.yaml
            manuals:
              tern-eu-fi: {machine: tern, market: eu, language: fi}
    Good:
        procedures/second.yaml
            manuals:
              tern-eu-en: {machine: tern, market: eu, language: en-GB}
    """
    own = subject.book.settings
    entries = [one for by_id in subject.book.of(ManualEntry).values() for one in by_id]
    places = [(own.language, own.places.at("language"))]
    places += [
        (entry.language, entry.places.at("language"))
        for entry in entries
        if entry.language != own.language
    ]
    for language, span in places:
        if primary(language) not in LANGUAGES:
            mend = did_you_mean(language, LANGUAGES, f"write one of {', '.join(LANGUAGES)}")
            yield Problem(span, f"there are no words for the language `{language}`", mend)


def primary(language: str) -> str:
    """The language without its region: `en` of `en-GB`."""
    return language.partition("-")[0].lower()


@rule(Severity.ERROR, Family.PROSE)
def missing_translation(subject: Subject) -> Iterator[Problem]:
    """A text that a manual prints has no translation into the manual's language.

    A warning in another language is no warning. A regional form of the book's own language
    (`en-GB`) needs only the texts in which it differs.

    Source: common practice, no source.

    Bad:
        procedures/second.yaml
            manuals:
              tern-eu-de: {machine: tern, market: eu, language: de}
    Good:
        procedures/second.yaml
            manuals:
              tern-eu-gb: {machine: tern, market: eu, language: en-GB}
    """
    originals = subject.originals
    own = primary(subject.book.settings.language)
    if own not in LANGUAGES:
        return  # its own language is the mistake, and no translation would mend it
    wanted: dict[str, set[int]] = {}
    pages: dict[tuple[str, str], Page] = {}
    for manual in subject.manuals:
        language = manual.language
        if primary(language) != own and primary(language) in LANGUAGES:
            wanted.setdefault(language, set()).update(holders(manual))
            for page in manual.of(Page).values():
                pages[language, page.path] = page
    for language, shown in wanted.items():
        for path, texts_ in originals.by_file.items():
            yield from _missing(originals, language, path, _needed(texts_, shown, subject))
    for language, path in pages:
        yield from _missing_page(originals, language, path)


def _needed(
    originals: collections.abc.Mapping[str, Original], shown: set[int], subject: Subject
) -> dict[str, Original]:
    settings = subject.book.settings
    return {
        key: one
        for key, one in originals.items()
        if (one.owner is settings or id(one.leaf.holder.places) in shown)
        and one.is_needed(settings.names)
    }


def _missing(
    originals: Originals, language: str, path: str, needed: dict[str, Original]
) -> Iterator[Problem]:
    """What is to be said of the texts of one file: each, or all at once if none is translated."""
    if originals.is_unreadable(language, path):
        return
    translation = originals.book.translations.get(language, {}).get(path)
    given = translation.texts if translation is not None else {}
    missing = [(key, one) for key, one in needed.items() if key not in given]
    if translation is not None:
        for key, one in missing:
            yield Problem(
                one.leaf.span,
                f"`{key}` is not translated into `{language}`",
                f"add `{_entry(key, one)}` to {translation.places.span.path}",
            )
    elif missing:
        key, one = missing[0]
        yield Problem(
            one.leaf.span,
            f"no text of {path} is translated into `{language}`; missing are {len(missing)}",
            f"write {place_of(language, path)} with `translates: {path}` and `texts:`, and below "
            f"it first `{_entry(key, one)}`",
        )


def _entry(key: str, one: Original) -> str:
    return f"{key}: {{text: …, of: {text_digest(one.leaf.value)}}}"


def _missing_page(originals: Originals, language: str, path: str) -> Iterator[Problem]:
    page = originals.pages[path]
    if (language, path) in originals.translated_pages:
        return
    if f"page/{language}-{page.id}" in originals.book.broken:
        return
    yield Problem(
        page.places.at("title"),
        f"the page is not translated into `{language}`",
        f"write {place_of(language, path)} with `translates: {path}` and "
        f"`of: {originals.page_digest(path)}` in its front matter",
    )


@rule(Severity.ERROR, Family.PROSE)
def translation_of_nothing(subject: Subject) -> Iterator[Problem]:
    """A translation names a file or a text that the book does not have.

    The text that it was meant for stays untranslated.

    Source: common practice, no source.

    Bad:
        procedures/translations/en-GB/coolant.yaml
            translates: procedures/coolant.yaml
            texts:
              scales/coolant/exeeded: {text: Throttle back to idle., of: fa06ab87}
    Good:
        procedures/translations/en-GB/coolant.yaml
            translates: procedures/coolant.yaml
            texts:
              scales/coolant/exceeded: {text: Throttle back to idle., of: fa06ab87}
    """
    book = subject.book
    originals = subject.originals
    for _, translation in originals.translations():
        path = translation.translates
        known = originals.by_file.get(path, {})
        if path not in book.files:
            mend = did_you_mean(path, originals.by_file, "write the path of a file of the book")
            yield Problem(translation.places.at("translates"), f"there is no file {path}", mend)
            continue
        for key, said in translation.texts.items():
            if key not in known and not originals.is_broken(path, key):
                span = translation.places.node("texts")
                place = span.key(key) if isinstance(span, Mapping) else None
                yield Problem(
                    place.span if place else said.places.span,
                    f"{path} has no text `{key}`",
                    did_you_mean(key, known, "remove it, for its original is gone"),
                )
    for (_, path), pages in originals.translated_pages.items():
        broken = f"page/{path.removeprefix('content/').removesuffix('.md').replace('/', '-')}"
        for page in pages if path not in originals.pages and broken not in book.broken else ():
            mend = did_you_mean(path, originals.pages, "write the path of a page of the book")
            yield Problem(page.places.at("translates"), f"there is no page {path}", mend)


@rule(Severity.ERROR, Family.PROSE)
def repeated_translation(subject: Subject) -> Iterator[Problem]:
    """Two files translate one source file, or one page, into the same language.

    Only one of them is read, and nobody can tell which.

    Source: common practice, no source.

    Bad:
        procedures/translations/en-GB/coolant.yaml
            translates: procedures/coolant.yaml
            texts:
              scales/coolant/exceeded: {text: Throttle back to idle., of: fa06ab87}
        procedures/translations/en-GB/limits.yaml
            translates: procedures/coolant.yaml
            texts:
              limits/engine-speed-maximum/exceeded: {text: Throttle back., of: 812e117b}
    Good:
        procedures/translations/en-GB/coolant.yaml
            translates: procedures/coolant.yaml
            texts:
              scales/coolant/exceeded: {text: Throttle back to idle., of: fa06ab87}
              limits/engine-speed-maximum/exceeded: {text: Throttle back., of: 812e117b}
    """
    originals = subject.originals
    roots = subject.book.roots
    groups: dict[tuple[str, str], list[Span]] = {
        key: [roots[path].at("translates") for path in paths]
        for key, paths in originals.files.items()
    }
    for key, pages in originals.translated_pages.items():
        groups[key] = [page.places.at("translates") for page in pages]
    for (language, path), (first, *others) in groups.items():
        for other in others:
            message = f"{path} is translated into `{language}` twice"
            mend = "put all the texts into one file and remove the other"
            yield Problem(other, message, mend, (Note(first, "it is translated here too"),))
