"""Rules on the names that may hold digits: each is a name, and somebody uses it."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.files import BOOK_FILE, text_of
from placardry.finding import Family, Severity
from placardry.recognise import quantities
from placardry.rules.registry import Problem, Subject, rule


@rule(Severity.ERROR, Family.PROSE)
def figure_as_name(subject: Subject) -> Iterator[Problem]:
    """A figure is listed among the names that may hold digits.

    The list would let the figure be typed into words everywhere, and nobody would convert,
    round or correct it.

    Source: common practice, no source.

    Bad:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
            names: [90 °C]
    Good:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill. Fill RON 95.
            names: [RON 95]
    """
    settings = subject.book.settings
    for at, name in enumerate(settings.names):
        if _is_figure(name, settings.language):
            message = f"`{name}` is a figure, not a name"
            mend = "remove it, and give the figure a home under `facts:`"
            yield Problem(settings.places.at("names", at), message, mend)


def _is_figure(name: str, language: str) -> bool:
    return any(found.text == name.strip() for found in quantities(name, language))


@rule(Severity.ADVICE, Family.PROSE)
def idle_name(subject: Subject) -> Iterator[Problem]:
    """A name is listed among those that may hold digits, and holds none or is used nowhere.

    A list that only grows hides what it lets pass.

    Source: common practice, no source.

    Bad:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
            names: [RON 95]
    Good:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill. Fill RON 95.
            names: [RON 95]
    """
    settings = subject.book.settings
    sources = [
        " ".join(text_of(data).split())
        for path, data in subject.book.files.items()
        if path.startswith(("procedures/", "content/")) and path.endswith((".yaml", ".md"))
    ]
    own = " ".join(text_of(subject.book.files.get(BOOK_FILE, b"")).split())
    for at, name in enumerate(settings.names):
        span = settings.places.at("names", at)
        if not any(char.isdigit() for char in name):
            yield Problem(span, f"`{name}` holds no digit", "remove it; other names are free")
        elif _is_figure(name, settings.language):
            continue
        elif own.count(name) < 2 and not any(name in one for one in sources if one != own):
            yield Problem(span, f"`{name}` is used nowhere", "remove it")
