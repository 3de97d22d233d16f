"""Rules on what is translated: every text that a manual prints, once, and nothing else."""

from __future__ import annotations

import collections.abc
from collections.abc import Iterator

from placardry.book.machines import ManualEntry
from placardry.book.pages import Page
from placardry.finding import Family, Note, Severity, Span, did_you_mean
from placardry.nodes import Mapping
from placardry.resolve import Manual
from placardry.rules.originals import Original, Originals
from placardry.rules.registry import Problem, Subject, rule
from placardry.wording import LANGUAGES


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
    by_language: dict[str, list[Manual]] = {}
    for manual in subject.manuals:
        if primary(manual.language) != own and primary(manual.language) in LANGUAGES:
            by_language.setdefault(manual.language, []).append(manual)
    for language, manuals in by_language.items():
        for path, needed in originals.needed(manuals).items():
            yield from _missing(originals, language, path, needed)
        for path in {page.path: None for one in manuals for page in one.of(Page).values()}:
            yield from _missing_page(originals, language, path)


def _missing(
    originals: Originals, language: str, path: str, needed: collections.abc.Mapping[str, Original]
) -> Iterator[Problem]:
    """What is to be said of the texts of one file: each, or all at once if none is translated."""
    if originals.is_unreadable(language, path):
        return
    translation = originals.book.translations.get(language, {}).get(path)
    texts = translation.texts if translation is not None else {}
    given = {key for key, said in texts.items() if said.text}
    missing = [(key, one) for key, one in needed.items() if key not in given]
    for key, one in missing if given else missing[:1]:
        message = f"`{key}` is not translated into `{language}`"
        if not given:
            count = len(missing)
            message = f"no text of {path} is translated into `{language}`: {count} to write"
        span = texts[key].places.at("text") if key in texts else one.leaf.span
        yield Problem(span, message, _mend(language, is_there=key in texts))


def _mend(language: str, *, is_there: bool) -> str:
    if is_there:
        return "write the translation between the quotes of `text:`"
    return f"type `placardry translate {language}` and fill in what it writes"


def _missing_page(originals: Originals, language: str, path: str) -> Iterator[Problem]:
    page = originals.pages[path]
    if (language, path) in originals.translated_pages:
        return
    if f"page/{language}-{page.id}" in originals.book.broken:
        return
    message = f"the page is not translated into `{language}`"
    yield Problem(page.places.at("title"), message, _mend(language, is_there=False))


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
