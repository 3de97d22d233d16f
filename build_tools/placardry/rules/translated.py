"""Rules on translated texts: made from the present original, with the same references."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from placardry.book.pages import Page
from placardry.book.translations import UNTRANSLATED
from placardry.finding import Family, Note, Severity, Span
from placardry.references import Bad, pieces, references
from placardry.rules.originals import Originals
from placardry.rules.registry import Problem, Subject, rule
from placardry.walk import texts


@rule(Severity.ERROR, Family.PROSE)
def stale_translation(subject: Subject) -> Iterator[Problem]:
    """The original of a translation has changed since it was translated.

    The translation says what the book no longer says.

    Source: common practice, no source.

    Bad:
        procedures/translations/en-GB/coolant.yaml
            translates: procedures/coolant.yaml
            texts:
              scales/coolant/exceeded: {text: Throttle back to idle., of: 00000000}
    Good:
        procedures/translations/en-GB/coolant.yaml
            translates: procedures/coolant.yaml
            texts:
              scales/coolant/exceeded: {text: Throttle back to idle., of: fa06ab87}
    """
    originals = subject.originals
    for language, translation in originals.translations():
        for key, said in translation.texts.items():
            original = originals.by_file.get(translation.translates, {}).get(key)
            if original is None or not said.text:
                continue
            if said.was is None and said.is_of(original.leaf.value):
                continue
            note = Note(original.leaf.span, "the original stands here")
            if said.was is None or not said.is_of(original.leaf.value):
                message = f"the original of `{key}` has changed since it was translated"
                mend = f"type `placardry translate {language}`, which shows both beside each other"
                yield Problem(said.places.at("of"), message, mend, (note,))
            else:
                message = f"`{key}` says what its original was, not what it is"
                mend = "make `text:` say what `of:` says, then remove `was:`"
                yield Problem(said.places.at("was"), message, mend, (note,))
    for (language, path), pages in originals.translated_pages.items():
        for page in pages if path in originals.pages else ():
            yield from _stale_page(page, language, path, originals)


def _stale_page(page: Page, language: str, path: str, originals: Originals) -> Iterator[Problem]:
    note = Note(originals.pages[path].places.at("title"), "the original stands here")
    if page.of != originals.page_digest(path):
        message = f"{path} has changed since it was translated"
        mend = f"type `placardry translate {language}`, then make the page say what {path} says"
        yield Problem(page.places.at("of" if page.of else "translates"), message, mend, (note,))
    elif page.was is not None:
        message = "the page is not translated yet"
        if page.was != UNTRANSLATED:
            message = "the page says what its original was, not what it is"
        mend = f"make it say what {path} says, then remove `was:`"
        yield Problem(page.places.at("was"), message, mend, (note,))


@rule(Severity.ERROR, Family.PROSE)
def changed_translation(subject: Subject) -> Iterator[Problem]:
    """A translation has lost or gained a reference or a safety message.

    A lost reference is a figure that the reader of this language is not given.

    Source: common practice, no source.

    Bad:
        procedures/second.yaml
            manuals:
              tern-eu-gb: {machine: tern, market: eu, language: en-GB}
        content/en-GB/welcome.md
            ---
            translates: content/welcome.md
            of: a8c7cec4
            ---
            # Welcome aboard

            Keep the coolant green.
    Good:
        procedures/second.yaml
            manuals:
              tern-eu-gb: {machine: tern, market: eu, language: en-GB}
        content/en-GB/welcome.md
            ---
            translates: content/welcome.md
            of: a8c7cec4
            ---
            # Welcome aboard

            Keep the coolant in the band {coolant.green}.
    """
    originals = subject.originals
    for _, translation in originals.translations():
        for key, said in translation.texts.items():
            original = originals.by_file.get(translation.translates, {}).get(key)
            if original is not None and not said.is_due and said.is_of(original.leaf.value):
                span = said.places.at("text")
                yield from _changed(span, [original.leaf.value], [said.text])
    for (_, path), pages in originals.translated_pages.items():
        original_page = originals.pages.get(path)
        for page in pages if original_page is not None else ():
            if original_page is None or page.was or page.of != originals.page_digest(path):
                continue
            span = page.places.at("title")
            yield from _changed(span, _texts(original_page), _texts(page))
            before, after = _signals(original_page), _signals(page)
            if before != after:
                message = f"the page has {_listed(after)}, and its original {_listed(before)}"
                yield Problem(span, message, "give it the safety messages of its original")


def _texts(page: Page) -> list[str]:
    return [leaf.value for leaf in texts(page)]


def _signals(page: Page) -> list[str]:
    return [one.hazard.signal for one in page.passages if one.hazard is not None]


def _listed(signals: list[str]) -> str:
    return f"the safety messages {', '.join(signals)}" if signals else "no safety message"


def _changed(span: Span, before: Iterable[str], after: list[str]) -> Iterator[Problem]:
    had = [str(one) for text in before for one in references(text)]
    has = [str(one) for text in after for one in references(text)]
    if had == has or any(isinstance(piece, Bad) for text in after for piece in pieces(text)):
        return  # a misspelt reference was told of already
    old, new = Counter(had), Counter(has)
    lost, gained = sorted((old - new).elements()), sorted((new - old).elements())
    if lost or gained:
        what = [f"lost {_quoted(lost)}"] * bool(lost) + [f"gained {_quoted(gained)}"] * bool(gained)
        mends = [f"write {_quoted(lost)} into it"] * bool(lost)
        mends += [f"remove {_quoted(gained)}"] * bool(gained)
        yield Problem(span, f"the translation has {' and '.join(what)}", " and ".join(mends))


def _quoted(names: list[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)
