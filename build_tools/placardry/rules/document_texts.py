"""The texts of the cited documents that lie in the book, page by page."""

from __future__ import annotations

import re
from functools import lru_cache

from placardry.book import Book
from placardry.book.sources import Document
from placardry.files import text_of
from placardry.finding import light
from placardry.rules.statements import every

READABLE = (".txt", ".md", ".pdf")
PAGE_BREAK = "\f"

_PAGE = re.compile(r"\bpage (\d+|[ivxlc]+|[A-Z]+-\d+)\b")
_MARK = re.compile(r"^page (\d+|[ivxlc]+|[A-Z]+-\d+)$", re.MULTILINE)


@light
class Pages:
    """The text of a document, page by page, and the labels of the pages where it has them."""

    texts: tuple[str, ...]
    labels: tuple[str, ...] = ()


def texts(book: Book) -> dict[str, Pages]:
    """The pages of each document that can be read, by its id; one page where none are marked."""
    found = {}
    for one in every(book, Document):
        if one.file is not None and one.file.endswith(READABLE) and one.file in book.files:
            pages = _pages(one.file, book.files[one.file])
            if any(map(str.strip, pages.texts)):
                found[one.id] = pages
    return found


def _pages(name: str, data: bytes) -> Pages:
    return _of_pdf(data) if name.endswith(".pdf") else _of_text(text_of(data))


def _of_text(text: str) -> Pages:
    """The pages of a text: those that lines of `page 31` begin, else those that form feeds part."""
    head, *marked = _MARK.split(text)
    if marked:
        return Pages((head, *marked[1::2]), ("", *marked[::2]))
    return Pages(tuple(text.split(PAGE_BREAK)))


@lru_cache(maxsize=8)  # two rules read each document
def _of_pdf(data: bytes) -> Pages:
    import pypdfium2  # slow to import, and few books hold a PDF

    try:
        document = pypdfium2.PdfDocument(data)
        texts = tuple(page.get_textpage().get_text_bounded() for page in document)
        labels = tuple(document.get_page_label(at) for at in range(len(document)))
    except pypdfium2.PdfiumError:
        return Pages(())  # locked or broken: nobody can say what it holds
    return Pages(texts, labels)


def place(pages: Pages, place: str) -> tuple[str, str]:
    """The page that a source names, with its name; the whole text where there are no pages."""
    named = _PAGE.search(place)
    if named is None or len(pages.texts) == 1:
        return "the text", "\n".join(pages.texts)
    number = named[1]
    if number in pages.labels:
        return f"page {number}", pages.texts[pages.labels.index(number)]
    at = int(number) - 1 if number.isdecimal() else -1
    return f"page {number}", pages.texts[at] if 0 <= at < len(pages.texts) else ""
