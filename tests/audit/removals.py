"""What a forger takes out of a published file: a row, an item, a sentence, a figure, a page."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable, Iterator, Mapping

import pypdf

from tests.audit.edits import Entries, Spot, anchors_of
from tests.audit.pdf_edits import Forged, Shown

_WHOLE = re.compile(
    r"<(?P<tag>tr|li|p|dd)\b[^>]*>(?:(?!<(?:tr|li|p|dd|ul|ol|svg)\b).)*?</(?P=tag)>", re.S
)
_ANCHOR = re.compile(r'href="[^"#?]*register\.html#(?P<anchor>[^"?]+)"')
_UNREAD = ("register.html", "editions.html", "check.html", "sources.html")


def taken_out(path: str, data: bytes, entries: Entries) -> list[Spot]:
    """All that can be taken out of a file, by the end of its name, with the figures in it."""
    name, end = path.rpartition("/")[2], path.rpartition(".")[2]
    readers: Mapping[str, Callable[[], Iterator[Spot]]] = {
        "register.json": lambda: _of_json(data),
        "register.csv": lambda: _of_table(data),
    }
    if name in readers and "/" in path:
        return list(readers[name]())
    if end == "html" and "/" in path and name not in _UNREAD:
        return list(_of_page(data))
    return [*_of_pdf(data, entries), *pages_of(data)] if end == "pdf" else []


def anchors_in(text: str) -> frozenset[str]:
    """The figures that the links in a part of a page lead to."""
    return frozenset(_ANCHOR.findall(text))


def _of_page(data: bytes) -> Iterator[Spot]:
    page = data.decode()
    for found in _WHOLE.finditer(page):
        anchors = anchors_in(found[0])
        if anchors:
            made = (page[: found.start()] + page[found.end() :]).encode()
            yield Spot("taken out", anchors, found["tag"], _always(made))


def _of_json(data: bytes) -> Iterator[Spot]:
    whole = json.loads(data)
    rows = whole["figures"]
    for at, row in enumerate(rows):
        made = json.dumps({**whole, "figures": rows[:at] + rows[at + 1 :]}, indent=1)
        yield Spot("taken out", _anchor(row), "row", _always(made.encode()))


def _of_table(data: bytes) -> Iterator[Spot]:
    head, *rows = csv.reader(io.StringIO(data.decode()))
    for at, row in enumerate(rows):
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows([head, *rows[:at], *rows[at + 1 :]])
        named = dict(zip(head, row, strict=True))
        yield Spot("taken out", _anchor(named), "row", _always(out.getvalue().encode()))


def _anchor(row: Mapping[str, str]) -> frozenset[str]:
    return frozenset({f"{row['id']}.{row['part']}" if row["part"] else row["id"]})


def _of_pdf(data: bytes, entries: Entries) -> Iterator[Spot]:
    """Figures that stand in one unit: of two the other would still say what it is."""
    pdf = Forged(data)
    for page in range(len(pdf.reader.pages)):
        for shown in pdf.shown(page):
            anchors = (
                anchors_of(entries, shown.text) if re.search(r"\d.*[^\d\s]", shown.text) else ()
            )
            if anchors and all(len(entries[one]["shown"]) == 1 for one in anchors):
                yield Spot("taken out", frozenset(anchors), shown.text, _blanked(pdf, shown))


def _blanked(pdf: Forged, shown: Shown) -> Callable[[str], bytes | None]:
    return lambda new: pdf.retold(shown, "")


def pages_of(data: bytes) -> Iterator[Spot]:
    """The pages of a PDF of several, with the figures that their links lead to."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    count = len(reader.pages)
    for at, page in enumerate(reader.pages if count > 1 else ()):
        notes = [note.get_object() for note in page.get("/Annots") or ()]
        links = [str((note.get("/A") or {}).get("/URI", "")) for note in notes]
        anchors = frozenset(link.partition("register.html#")[2] for link in links) - {""}
        if anchors:
            yield Spot("taken out", anchors, f"page {at + 1}", _without(data, at))


def _without(data: bytes, at: int) -> Callable[[str], bytes | None]:
    def make(_: str) -> bytes:
        writer = pypdf.PdfWriter(clone_from=io.BytesIO(data))
        writer.remove_page(at)
        out = io.BytesIO()
        writer.write(out)
        return out.getvalue()

    return make


def _always(made: bytes) -> Callable[[str], bytes | None]:
    return lambda _: made
