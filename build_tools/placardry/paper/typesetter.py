"""The one warm Typst compiler of a process, and what it refuses.

Templates are files of this package; what they print is given as JSON, never as source. The font
is ours alone, and PDF/UA-1 makes the compiler refuse a glyph that the font lacks.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from placardry.errors import EnvironmentFault

if TYPE_CHECKING:
    import typst

_HERE = Path(__file__).parent
_FONTS = _HERE.parent / "assets" / "fonts"
_GLYPH = re.compile(r'the text `"(?P<text>.+)"` could not be displayed', re.DOTALL)
_OVERFLOW = re.compile(r'panicked with: "?overflow (?P<needed>[\d.]+) (?P<room>[-−]?[\d.]+)')
_PICTURE = re.compile(
    r"failed to (decode|parse|load)|unknown image format|image .*(?:size|dimension)"
)
MOST_GLYPHS = 20


@dataclass(frozen=True, slots=True)
class Overflow:
    """The pieces do not fit on the face, even at its smallest type.

    Units: millimetres of height.
    """

    needed: float
    room: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """What became of a compilation.

    Attributes:
        pdf: the document; None if anything was refused
        missing: the glyphs that the font does not have
        broken: the files that are no pictures
    """

    pdf: bytes | None = None
    overflow: Overflow | None = None
    missing: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()


def typeset(
    template: str, data: Mapping[str, Any], dated: date, files: Mapping[str, bytes] | None = None
) -> Sheet:
    """The PDF/UA-1 that a template makes of data, the same bytes for the same input.

    Raises:
        EnvironmentFault: Typst or its fonts failed.
    """
    text = json.dumps(data, ensure_ascii=False, sort_keys=True)
    missing: list[str] = []
    while True:
        try:
            pdf = _compile(template, text, dated, files or {})
        except _typst_error() as error:
            message = str(error)
            overflow = _OVERFLOW.search(message)
            if overflow:
                needed, room = (float(one.replace("−", "-")) for one in overflow.groups())
                fault = Overflow(needed, room)
                return Sheet(overflow=fault, missing=tuple(missing))
            broken = _broken(files or {}, dated) if _PICTURE.search(message) else ()
            if broken:
                return Sheet(missing=tuple(missing), broken=broken)
            glyph = _GLYPH.search(message)
            if glyph is None or len(missing) == MOST_GLYPHS:
                if missing:
                    return Sheet(missing=tuple(missing))
                raise EnvironmentFault(f"Typst cannot set `{template}`: {message}") from error
            found = [char for char in _unescaped(glyph["text"]) if char in text]
            if not found:
                return Sheet(missing=(*missing, glyph["text"]))
            # Without them the next ones show, so that all are reported at once.
            for char in found:
                missing.append(char)
                text = text.replace(char, "")
        else:
            return Sheet(pdf=None if missing else pdf, missing=tuple(missing))


def drawn(template: str, data: Mapping[str, Any], ppi: int) -> bytes | None:
    """The first page that a template makes of data as a PNG; None where it cannot be set."""
    text = json.dumps(data, ensure_ascii=False, sort_keys=True)
    given: Any = {"main.typ": _template(template), **_shared(), "data.json": text.encode()}
    try:
        made: Any = _compiler().compile(input=given, format="png", ppi=ppi)
    except _typst_error():
        return None
    return bytes(made[0] if isinstance(made, list) else made)


def _compile(template: str, data: str, dated: date, files: Mapping[str, bytes]) -> bytes:
    when = int(datetime(dated.year, dated.month, dated.day, tzinfo=UTC).timestamp())
    given: Any = {"main.typ": _template(template), **_shared(), "data.json": data.encode(), **files}
    made: Any = _compiler().compile(
        input=given, format="pdf", pdf_standards=["ua-1"], timestamp=when
    )
    return bytes(made)


def _broken(files: Mapping[str, bytes], dated: date) -> tuple[str, ...]:
    """The files that cannot be set as a picture, found one by one."""

    def is_broken(path: str) -> bool:
        try:
            _compile("picture.typ", json.dumps(path), dated, {path: files[path]})
        except _typst_error():
            return True
        return False

    return tuple(path for path in sorted(files) if is_broken(path))


def _unescaped(text: str) -> str:
    """The characters of a Rust string literal."""
    return re.sub(r"\\u\{([0-9a-f]+)\}", lambda match: chr(int(match[1], 16)), text)


@cache
def _template(name: str) -> bytes:
    return (_HERE / name).read_bytes()


@cache
def _shared() -> Mapping[str, bytes]:
    return {name: _template(name) for name in ("ink.typ", "face.typ")}


@cache
def _compiler() -> typst.Compiler:
    import typst

    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(_FONTS)]
    )
    if not fonts.families():
        raise EnvironmentFault("the package holds no font: install it again")
    nothing: Any = {"main.typ": b""}
    return typst.Compiler(input=nothing, root=str(_HERE), font_paths=fonts)


def _typst_error() -> type[Exception]:
    import typst

    return typst.TypstError
