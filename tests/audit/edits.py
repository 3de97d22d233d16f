"""A forger's edits of published files: one digit, unit, sign, condition or source of one figure.

Each kind of file has a function that lists the places at which its figures can be edited, and
one that makes the edit; `edits` chooses among them at random, kinds of files in balance.
"""

from __future__ import annotations

import csv
import html
import io
import json
import random
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from placardry.recognise import quantities
from tests.audit.pdf_edits import Forged, Shown

Files = Mapping[str, bytes]
Entries = Mapping[str, Mapping[str, Any]]
"""The register's rows of one manual, by `id.part`."""


@dataclass(frozen=True)
class Edit:
    """One edit: the whole new file, what was changed into what, and whose figure it was."""

    path: str
    what: str
    data: bytes
    anchor: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.path} [{self.what}] {self.anchor}: {self.old!r} to {self.new!r}"


UNITS = {
    "°C": "°F", "°F": "°C", "rpm": "Hz", "min": "s", "s": "min", "h": "min", "mm": "cm",
    "cm": "mm", "m": "km", "ft": "in", "in": "ft", "kg": "lb", "lb": "kg", "L": "mL", "mL": "L",
    "V": "A", "A": "V", "days": "months", "months": "years", "years": "months", "bar": "psi",
    "km/h": "m/s", "mph": "km/h", "N·m": "lbf·ft", "lbf·ft": "N·m", "kΩ": "Ω", "times": "turns",
    "L/h": "L", "US gal": "L", "%": "h", "turns": "times",
}  # fmt: skip
"""A unit that a forger might put in the place of one: common units, no source."""


def retyped(rng: random.Random, text: str, what: str) -> str | None:
    """A figure with one digit, its unit or a sign changed; None where it has none to change."""
    if what == "digit":
        at = rng.choice([at for at, sign in enumerate(text) if sign.isdigit()])
        others = [sign for sign in "123456789" if sign != text[at]]
        return f"{text[:at]}{rng.choice(others)}{text[at + 1 :]}"
    if what == "sign":
        if "−" in text:
            return text.replace("−", "", 1)
        return f"−{text}" if ":" not in text else None
    found = re.fullmatch(r"(.*[\d)][ \u00a0\u202f]?)(\D+)", text)
    return f"{found[1]}{UNITS[found[2]]}" if found and found[2] in UNITS else None


FIGURE = ("digit", "unit", "sign")


@dataclass(frozen=True)
class Spot:
    """Something that can be edited: a figure, its condition or its source.

    `anchor` is the figure's identity, empty where the file does not say it; `make` gives the file
    with another text there, or None where it cannot hold that text.
    """

    kind: str
    anchor: str
    text: str
    make: Callable[[str], bytes | None]


def spots(path: str, data: bytes, entries: Entries) -> list[Spot]:
    """All that can be edited in a file, by the end of its name."""
    name, end = path.rpartition("/")[2], path.rpartition(".")[2]
    if name == "register.json":
        return list(_json_spots(data))
    if name == "register.csv":
        return list(_csv_spots(data))
    if name.startswith("search_index"):
        return list(_index_spots(data))
    if end == "html":
        return list(_page_spots(data, entries))
    if end == "svg":
        return list(_text_spots(data))
    return list(_pdf_spots(data, entries)) if end == "pdf" else []


_LINK = re.compile(
    r'<a\b[^>]*href="(?P<before>[^"#]*register\.html#)(?P<anchor>[^"]+)"[^>]*>(?P<text>[^<]*\d[^<]*)</a>'
    r"(?P<after>[^<]*)"
)
_SOURCE = re.compile(
    r'<td id="(?P<anchor>[^"]+)"><code>.*?</a>, (?P<place>[^<]*\d[^<]*)</td>', re.S
)


def _page_spots(data: bytes, entries: Entries) -> Iterator[Spot]:
    page = data.decode()

    def at(start: int, end: int) -> Callable[[str], bytes]:
        return lambda new: f"{page[:start]}{html.escape(new)}{page[end:]}".encode()

    for found in _LINK.finditer(page):
        anchor = found["anchor"]
        yield Spot("figure", anchor, html.unescape(found["text"]), at(*found.span("text")))
        yield Spot("link", anchor, anchor, at(*found.span("anchor")))
        yield Spot("beside", anchor, "", at(found.start(), found.start()))
        condition = _condition(entries, anchor)
        if condition and (place := found["after"].find(condition)) >= 0:
            start = found.start("after") + place
            yield Spot("condition", anchor, condition, at(start, start + len(condition)))
    for row in re.split(r"(?=<tr>)", page) if 'id="' in page else ():
        if cited := _SOURCE.search(row):
            start = page.index(row) + cited.start("place")
            place = cited["place"]
            yield Spot("source", cited["anchor"], place, at(start, start + len(place)))


def _condition(entries: Entries, anchor: str) -> str:
    row = entries.get(anchor) or {}
    return (row.get("condition") or {}).get("text") or ""


def _json_spots(data: bytes) -> Iterator[Spot]:
    whole = json.loads(data)
    for at, row in enumerate(whole["figures"]):
        for kind, keys, text in _leaves(row):
            yield Spot(kind, _anchor(row), text, _in_json(data, at, keys))


def _leaves(row: Mapping[str, Any]) -> Iterator[tuple[str, tuple[str, ...], str]]:
    yield "figure", ("written",), row["written"]
    for end in ("low", "high", "value"):
        if end in row["exact"]:
            yield "number", ("exact", end), row["exact"][end]
    for unit, ends in row["published"].items():
        yield "figure", ("shown", unit), row["shown"][unit]
        for end, text in ends.items():
            yield "number", ("published", unit, end), text
    if row["condition"]:
        yield "condition", ("condition", "text"), row["condition"]["text"]
    for key in ("document", "edition", "place"):
        if (row["source"] or {}).get(key):
            yield "source", ("source", key), row["source"][key]


def _in_json(data: bytes, at: int, keys: tuple[str, ...]) -> Callable[[str], bytes]:
    def make(new: str) -> bytes:
        whole = json.loads(data)
        place = whole["figures"][at]
        for key in keys[:-1]:
            place = place[key]
        place[keys[-1]] = new
        return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()

    return make


def _anchor(row: Mapping[str, Any]) -> str:
    return f"{row['id']}.{row['part']}" if row["part"] else str(row["id"])


def _csv_spots(data: bytes) -> Iterator[Spot]:
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    head = rows[0]

    def with_cell(at: int, column: int) -> Callable[[str], bytes]:
        def make(new: str) -> bytes:
            out = io.StringIO()
            made = [list(row) for row in rows]
            made[at][column] = new
            csv.writer(out, lineterminator="\n").writerows(made)
            return out.getvalue().encode()

        return make

    kinds = {"written": "figure", "shown": "figure", "condition": "condition",
             "document": "source", "edition": "source", "place": "source"}  # fmt: skip
    for at, row in enumerate(rows[1:], start=1):
        cells = dict(zip(head, row, strict=True))
        for name, kind in kinds.items():
            if cells[name]:
                yield Spot(kind, _anchor(cells), cells[name], with_cell(at, head.index(name)))


def _index_spots(data: bytes) -> Iterator[Spot]:
    start, end = data.index(b"{"), data.rindex(b"}") + 1
    docs = json.loads(data[start:end])["docs"]

    def within(at: int, place: slice) -> Callable[[str], bytes]:
        def make(new: str) -> bytes:
            whole = json.loads(data[start:end])
            text = whole["docs"][at]["text"]
            whole["docs"][at]["text"] = text[: place.start] + new + text[place.stop :]
            dumped = json.dumps(whole, sort_keys=True, separators=(",", ":"))
            return data[:start] + dumped.encode() + data[end:]

        return make

    for at, doc in enumerate(docs):
        for found in quantities(doc["text"]):
            yield Spot("figure", "", found.text, within(at, slice(found.start, found.end)))


def _text_spots(data: bytes) -> Iterator[Spot]:
    drawing = data.decode()

    def at(start: int, end: int) -> Callable[[str], bytes]:
        return lambda new: f"{drawing[:start]}{new}{drawing[end:]}".encode()

    for text in re.finditer(r">([^<>]*\d[^<>]*)<", drawing):
        for found in quantities(text[1]):
            start = text.start(1) + found.start
            yield Spot("figure", "", found.text, at(start, start + len(found.text)))


def _pdf_spots(data: bytes, entries: Entries) -> Iterator[Spot]:
    pdf = Forged(data)
    anchors = {entry["shown"][unit]: anchor for anchor, entry in entries.items()
               for unit in entry["shown"]}  # fmt: skip
    for number, address in pdf.links():
        before, mark, anchor = address.partition("register.html#")
        if mark:
            yield Spot("link", anchor, anchor, _led(pdf, number, before + mark))
    conditions = {_condition(entries, anchor) for anchor in entries} - {""}
    for page in range(len(pdf.reader.pages)):
        held = False
        last = None
        for shown in pdf.shown(page):
            text = shown.text
            if last and text in anchors and last.text.endswith((" ", "(")):
                yield Spot("beside", "", "", _led_in(pdf, last, text))
            last = shown
            condition = next((one for one in conditions if text.strip(" .").startswith(one)), "")
            if held and condition:
                yield Spot("condition", "", text, _retold(pdf, shown))
            held = text in anchors
            if held:
                yield Spot("figure", "", text, _retold(pdf, shown))
                yield Spot("glyph", "", text, _remapped(pdf, shown))


def _led(pdf: Forged, number: int, before: str) -> Callable[[str], bytes]:
    return lambda new: pdf.led(number, before + new)


def _retold(pdf: Forged, shown: Shown) -> Callable[[str], bytes | None]:
    return lambda new: pdf.retold(shown, new)


def _led_in(pdf: Forged, before: Shown, text: str) -> Callable[[str], bytes | None]:
    """A sign set before a figure; one that lies exactly on its equal changes nothing to see."""
    return lambda new: None if text[0] == new else pdf.retold(before, before.text + new)


def _remapped(pdf: Forged, shown: Shown) -> Callable[[str], bytes | None]:
    def make(new: str) -> bytes | None:
        at = next(at for at, sign in enumerate(shown.text) if sign != new[at])
        return pdf.remapped(shown, shown.codes[at], new[at])

    return make


def edit(rng: random.Random, path: str, spot: Spot, entries: Entries) -> Edit | None:
    """A random edit of a spot; None where the file cannot hold it."""
    others = [one for one in sorted(entries) if one != spot.anchor and _differ(entries, one, spot)]
    if spot.kind == "link":
        what, new = "source", rng.choice(others)
    elif spot.kind == "condition":
        own = spot.text.strip(" .")
        told = sorted({_condition(entries, one) for one in entries} - {"", own})
        what, new = "condition", spot.text.replace(own, rng.choice(told))
    elif spot.kind == "beside":  # it reads as the first sign of the figure
        what, new = "digit", rng.choice("1−")
    elif spot.kind == "source":
        what, new = "source", _other(rng, spot.text)
    else:
        what = "digit" if spot.kind in ("number", "glyph") else rng.choice(FIGURE)
        changed = retyped(rng, spot.text, what)
        if changed is None:
            return None
        new = changed
    data = spot.make(new)
    return Edit(path, what, data, spot.anchor, spot.text, new) if data else None


def _differ(entries: Entries, one: str, spot: Spot) -> bool:
    """Whether another figure is shown otherwise, so that a link to it tells a lie."""
    own = entries.get(spot.anchor)
    return own is None or not set(own["shown"].values()) & set(entries[one]["shown"].values())


def _other(rng: random.Random, text: str) -> str:
    digits = [at for at, sign in enumerate(text) if sign.isdigit()]
    if not digits:
        return text + "-2"
    at = rng.choice(digits)
    return (
        f"{text[:at]}{rng.choice([one for one in '123456789' if one != text[at]])}{text[at + 1 :]}"
    )
