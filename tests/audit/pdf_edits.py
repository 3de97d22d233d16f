"""A forger's edits of a PDF: other glyphs in its text, another meaning of a glyph, another link.

The edited object is written behind the file, as an incremental update (ISO 32000-1, 7.5.6), so
that all else stays byte for byte.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pypdf

_STRING = rb"\((?:\\.|[^\\()])*\)"
_SHOWN = re.compile(
    rb"/(?P<font>\w+) [\d.]+ Tf(?:(?!Tf|TJ|ET).)*?\[(?P<array>(?:%s|[-\d. \n])*)\]TJ" % _STRING,
    re.DOTALL,
)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


@dataclass(frozen=True)
class Shown:
    """Text that one operator shows: where its array stands in the content, and its glyphs."""

    page: int
    content: int
    start: int
    end: int
    codes: tuple[int, ...]
    letters: Mapping[int, str]
    map_object: int

    @property
    def text(self) -> str:
        """What a reader's program copies from it."""
        return "".join(self.letters.get(code, "\N{REPLACEMENT CHARACTER}") for code in self.codes)


class Forged:
    """A PDF that can be edited; it is read once."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.reader = pypdf.PdfReader(io.BytesIO(data))
        self._maps: dict[int, dict[int, str]] = {}
        self._contents: dict[int, bytes] = {}

    def shown(self, page: int) -> Iterator[Shown]:
        """The text of a page, operator by operator."""
        raw: Any = self.reader.pages[page]
        content = raw.raw_get("/Contents").idnum
        data = self._content(content)
        fonts = raw["/Resources"].get("/Font", {})
        for found in _SHOWN.finditer(data):
            number = fonts[f"/{found['font'].decode()}"].raw_get("/ToUnicode").idnum
            yield Shown(
                page,
                content,
                found.start("array"),
                found.end("array"),
                _codes(found["array"]),
                self._letters(number),
                number,
            )

    def height(self, shown: Shown) -> bytes:
        """How high on its page the text is set: the last number of the matrix before it."""
        found: list[bytes] = re.findall(
            rb"([-\d.]+) cm", self._content(shown.content)[: shown.start]
        )
        return found[-1]

    def retold(self, shown: Shown, text: str) -> bytes | None:
        """The file with another text in the place of one; None where the font lacks a glyph."""
        glyphs = {letter: code for code, letter in shown.letters.items()}
        if not set(text) <= set(glyphs):
            return None
        hexed = "".join(f"{glyphs[letter]:04X}" for letter in text)
        data = self._content(shown.content)
        made = b"%s<%s>%s" % (data[: shown.start], hexed.encode(), data[shown.end :])
        return self._with(shown.content, _stream(made))

    def remapped(self, shown: Shown, code: int, letter: str) -> bytes:
        """The file in which the glyph is copied as another letter wherever the font shows it."""
        data = self._object(shown.map_object)
        entry = re.compile(rb"<%04X> <[0-9A-F]+>" % code)
        made = entry.sub(b"<%04X> <%04X>" % (code, ord(letter)), data, count=1)
        assert made != data
        return self._with(shown.map_object, _stream(made))

    def links(self) -> Iterator[tuple[int, str]]:
        """The number of each link's object, and its address."""
        for page in self.reader.pages:
            notes: Any = page.get("/Annots") or ()
            for note in notes:
                action = note.get_object().get("/A") or {}
                if "/URI" in action:
                    yield note.idnum, str(action["/URI"])

    def led(self, number: int, target: str) -> bytes:
        """The file with another address in a link."""
        note: Any = self.reader.get_object(pypdf.generic.IndirectObject(number, 0, self.reader))
        assert note is not None
        note["/A"][pypdf.generic.NameObject("/URI")] = pypdf.generic.TextStringObject(target)
        out = io.BytesIO()
        note.write_to_stream(out)
        return self._with(number, out.getvalue())

    def _content(self, number: int) -> bytes:
        if number not in self._contents:
            self._contents[number] = self._object(number)
        return self._contents[number]

    def _object(self, number: int) -> bytes:
        found: Any = self.reader.get_object(pypdf.generic.IndirectObject(number, 0, self.reader))
        data: bytes = found.get_data()
        return data

    def _letters(self, number: int) -> dict[int, str]:
        if number not in self._maps:
            self._maps[number] = dict(_mapped(self._object(number)))
        return self._maps[number]

    def _with(self, number: int, body: bytes) -> bytes:
        """The file with another version of one object behind it."""
        start = len(self.data) + 1
        made = b"%s\n%d 0 obj\n%s\nendobj\n" % (self.data, number, body)
        table = b"xref\n%d 1\n%010d 00000 n \n" % (number, start)
        trailer = re.findall(rb"trailer\s*<<(.*?)>>\s*startxref\s+(\d+)", self.data, re.DOTALL)[-1]
        kept = re.sub(rb"/Prev \d+", b"", trailer[0])
        end = b"trailer\n<<%s/Prev %s>>\nstartxref\n%d\n%%%%EOF" % (kept, trailer[1], len(made))
        return made + table + end


def _stream(data: bytes) -> bytes:
    import zlib

    packed = zlib.compress(data)
    return b"<</Filter/FlateDecode/Length %d>>\nstream\n%s\nendstream" % (len(packed), packed)


def _codes(array: bytes) -> tuple[int, ...]:
    joined = b"".join(_unescaped(one[1:-1]) for one in re.findall(_STRING, array, re.DOTALL))
    return tuple(int.from_bytes(joined[at : at + 2]) for at in range(0, len(joined), 2))


def _unescaped(text: bytes) -> bytes:
    def plain(found: re.Match[bytes]) -> bytes:
        if found[1].isdigit():
            return bytes([int(found[1], 8)])
        return _ESCAPES.get(found[1], found[1])

    return _ESCAPE.sub(plain, text)


def _mapped(cmap: bytes) -> Iterator[tuple[int, str]]:
    for code, letters in re.findall(rb"<([0-9A-F]{4})> <([0-9A-F]+)>", cmap):
        yield int(code, 16), bytes.fromhex(letters.decode()).decode("utf-16-be")
