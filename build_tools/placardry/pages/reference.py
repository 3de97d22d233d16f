"""Cards, sources, editions, and the register with the pages on which each figure is used."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from placardry.book.cards import Card
from placardry.book.figures import Quotation
from placardry.book.sources import Document
from placardry.figures import Figure
from placardry.pages.changes import in_tongue, told
from placardry.pages.inline import Inline, Markdown, escaped
from placardry.pages.page import PageFile, Writing, cells, figures_on, identified
from placardry.pages.places import REGISTER
from placardry.wording.phrases import Run, sentence

TYPES = ("limit", "alarm", "setting", "interval", "fact", "derived", "example")
CARDS = "cards"


def cards(writing: Writing) -> Iterator[PageFile]:
    """The printed faces, each with its size, its place and its file."""
    path = "cards.md"
    write = writing.inline(path)
    rows = [
        cells(
            (
                identified(write.start(card.title), card.id),
                escaped(_size(writing, card.size)),
                write.word(f"card.{card.audience}"),
                write.text(card.place),
                write.link(f"{card.id}.pdf", f"{CARDS}/{card.id}.pdf"),
            )
        )
        for card in writing.manual.of(Card).values()
    ]
    if rows:
        title = writing.word("page.cards")
        yield writing.page(path, title, "reference", "cards", rows=rows, folder=Markdown(CARDS))


def _size(writing: Writing, size: str) -> str:
    """The size of a card in the manual's language: `A6 quer`, `Etikett 90x40`."""
    spelt = {word: writing.word(f"card.{word}") for word in ("portrait", "landscape", "label")}
    return " ".join(spelt.get(word, word) for word in size.split(" "))


def sources(writing: Writing) -> Iterator[PageFile]:
    """The documents that the figures come from, and the words that were quoted."""
    path = "sources.md"
    write = writing.inline(path)
    rows = [
        cells(
            (
                identified(write.text(one.title), one.id),
                write.text(one.issuer),
                escaped(one.edition),
                _day(one.dated),
                write.word(f"source.{one.kind}"),
            )
        )
        for one in writing.manual.of(Document).values()
    ]
    quotations = [
        (write.phrase((Run(one.words, style="quotation"),)), cited(write, one))
        for one in writing.manual.of(Quotation).values()
    ]
    if rows:
        title = writing.word("page.sources")
        yield writing.page(path, title, "reference", "sources", rows=rows, quotations=quotations)


def cited(write: Inline, record: Figure | Quotation) -> Markdown:
    """Where something comes from: the document as a link, and the place in it."""
    source = record.source
    if source is None:
        return Markdown("")
    place = write.text(source.place)
    if source.document is None:
        return place
    return Markdown(f"{write.name('document', source.document)}, {place}")


def editions(writing: Writing) -> Iterator[PageFile]:
    """The issued editions, newest first, and what each changed in this manual."""
    path = "editions.md"
    write, words = writing.inline(path), writing.speaker.words
    rows = [
        cells(
            (
                Markdown(str(one.number)),
                _day(one.dated),
                in_tongue(one.summary, words),
                escaped(one.approver),
                Markdown(f"{_day(one.withdrawn)} {in_tongue(one.because, words)}".strip()),
            )
        )
        for one in sorted(writing.editions, key=lambda one: -one.number)
    ]
    if rows:
        title = writing.word("page.editions")
        news = tuple(told(writing, write))
        yield writing.page(path, title, "reference", "editions", rows=rows, told=news)


def _day(day: date | None) -> Markdown:
    return Markdown(day.isoformat() if day else "")


def register(writing: Writing, pages: Iterable[PageFile]) -> Iterator[PageFile]:
    """Every figure with its home, its source and the pages that use it."""
    write = writing.inline(REGISTER)
    titles = {page.path: page.title for page in pages}
    used = used_in(pages)
    groups = []
    for type_ in TYPES:
        own = [figure for figure in writing.speaker.figures.values() if figure.type == type_]
        rows = [_row(writing, write, one, titles, used.get(one.anchor, ())) for one in own]
        if rows:
            groups.append((write.word(f"register.{type_}"), rows))
    if groups:
        title = writing.word("page.register")
        yield writing.page(REGISTER, title, "reference", "register", groups=groups)


def used_in(pages: Iterable[PageFile]) -> Mapping[str, tuple[str, ...]]:
    """For the anchor of each figure the paths of the pages that print it, in their order."""
    found: dict[str, list[str]] = defaultdict(list)
    for page in pages:
        if page.path != REGISTER:
            for anchor in dict.fromkeys(figures_on(page)):
                found[anchor].append(page.path)
    return {anchor: tuple(paths) for anchor, paths in sorted(found.items())}


def _row(
    writing: Writing,
    write: Inline,
    figure: Figure,
    titles: Mapping[str, str],
    paths: Iterable[str],
) -> Markdown:
    used = [write.link(titles[path], path) for path in paths]
    used += [write.link(path, path) for path in writing.printed.get(figure.anchor, ())]
    return cells(
        (
            identified(Markdown(f"`{figure.anchor}`"), figure.anchor),
            write.phrase(sentence(writing.speaker.called(figure))),
            write.all_units(figure),
            Markdown(f"{write.word(f'kind.{figure.kind}')}, {escaped(str(figure.exact))}"),
            cited(write, figure),
            Markdown(f"`{figure.span.path}:{figure.span.line}`"),
            Markdown(", ".join(used)),
        )
    )
