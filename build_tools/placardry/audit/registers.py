"""Every register of a published folder: read, compared with its copies, and made trustworthy."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from placardry.audit import copies, copies_reading, documents, named, past_copies
from placardry.audit.consistent import Fault, faults, trusted
from placardry.audit.past import NAME, UNJUDGED
from placardry.audit.register import Register
from placardry.audit.told import MALFORMED, Told, on_line, tell
from placardry.errors import PlacardryError
from placardry.finding import Span


@dataclass(frozen=True, slots=True)
class Found:
    """The registers of a folder.

    Attributes:
        folders: where manuals lie; `""` alone for the folder of one manual
        trusted: by folder, as the copies agree; also the merged one at `""`
        told: what is wrong with them
    """

    folders: tuple[str, ...]
    trusted: Mapping[str, Register]
    told: tuple[Told, ...]


def read(files: Mapping[str, bytes]) -> Found:
    """The registers among the files."""
    folders = _folders(files)
    told: list[Told] = []
    known: dict[str, Register] = {}
    for folder in dict.fromkeys(("", *folders)):
        path = f"{folder}/register.json" if folder else "register.json"
        if path not in files:
            if folder in folders or "check.html" in files or "register.csv" in files:
                told.append(_unread(path, "there is no register here"))
            continue
        try:
            known[folder] = Register.read(path, files[path])
        except PlacardryError as fault:
            told.append(_unread(path, str(fault)))
    known = {folder: _in_language(folder, one, files) for folder, one in known.items()}
    inside = {
        (one.path, (manual, anchor)): found
        for one in known.values()
        for manual, own in one.entries.items()
        for anchor, entry in own.items()
        if (found := tuple(faults(entry, own, _language(manual, known) or one.language)))
    }
    held = tuple(_copies(files, folders, known, told))
    cited, of_sources = documents.agreed(_cited(files, folders, known, held))
    compared, agreed = copies.disagreements(held, frozenset(inside), cited, _pages(files, known))
    told += [*of_sources, *compared]
    said = {(one.finding.span.path, one.figure) for one in compared}
    for (path, key), found in inside.items():
        if (path, key[1]) not in said:
            told += _told(path, files[path], key, found)
    for folder in folders:  # a manual without a register of its own is judged by the merged one
        if folder not in known and "" in known:
            known[folder] = known[""]
    sound = {folder: trusted(one, agreed) for folder, one in known.items()}
    histories, of_editions = past_copies.read(files, sound)
    sound = {
        folder: replace(one, history=histories.get(folder) or histories.get("") or one.history)
        for folder, one in sound.items()
    }
    without = sorted(folder for folder, one in sound.items() if not one.history.path)
    is_nowhere = len(without) == len(sound)
    unread = {one.finding.span.path for one in of_editions if one.finding.rule is MALFORMED}
    for folder in [one for one in without if sound[one].mark][: 1 if is_nowhere else None]:
        path = f"{folder}/{NAME}" if folder and not is_nowhere else NAME
        if path not in unread and not (is_nowhere and unread):
            told.append(_unread(path, UNJUDGED))
    named_so, of_names = named.judged(files, sound)
    return Found(folders, named_so, (*told, *of_editions, *of_names))


def counted(
    files: Mapping[str, bytes], found: Found
) -> tuple[Mapping[str, int], Mapping[str, int]]:
    """How many registers, tables and files of editions there are, and figures in them, by kind."""
    held = {
        manual: sum(len(entry.shown) for entry in own.values())
        for register in found.trusted.values()
        for manual, own in register.entries.items()
    }
    of_files: Counter[str] = Counter()
    of_figures: Counter[str] = Counter()
    for folder, register in found.trusted.items():
        start = f"{folder}/" if folder else ""
        past = sum(len(one) for one in register.history.figures.values())
        shown = sum(held[manual] for manual in register.entries)
        kinds = {"registers": ("register.json", shown), "tables": ("register.csv", shown)}
        for kind, (name, count) in {**kinds, "edition files": (NAME, past)}.items():
            if start + name in files:
                of_files[kind] += 1
                of_figures[kind] += count
    return of_files, of_figures


def _folders(files: Mapping[str, bytes]) -> tuple[str, ...]:
    """Where manuals lie: what holds a page of the register is one."""
    if "register.html" in files:
        return ("",)
    names = {path.split("/")[0] for path in files if path.count("/") == 1}
    marks = ("register.html", "register.json")
    found = sorted(name for name in names if any(f"{name}/{mark}" in files for mark in marks))
    return tuple(found) or (("",) if "register.json" in files else ())


def _unread(path: str, message: str, mend: str = "build the manual again") -> Told:
    return tell(MALFORMED, Span(path), message, mend)


def _in_language(folder: str, register: Register, files: Mapping[str, bytes]) -> Register:
    """The register with the language that the pages beside it declare, if it has none."""
    from placardry.audit.pages import language_of

    if register.language or len(register.entries) > 1:
        return register
    page = files.get(f"{folder}/register.html" if folder else "register.html", b"")
    return replace(register, language=language_of(page))


def _language(manual: str, known: Mapping[str, Register]) -> str:
    """The language of a manual, as its own register has it; one of all manuals has none."""
    own = (one.language for one in known.values() if list(one.entries) == [manual])
    return next(filter(None, own), "")


def _copies(
    files: Mapping[str, bytes],
    folders: tuple[str, ...],
    known: Mapping[str, Register],
    told: list[Told],
) -> Iterator[copies.Copy]:
    """The copies that can be read; of the others it is told."""
    for folder in dict.fromkeys(("", *folders)):
        start = f"{folder}/" if folder else ""
        if folder in known:
            yield copies_reading.from_json(known[folder].path, files[known[folder].path])
        if (table := files.get(f"{start}register.csv")) is not None:
            try:
                yield copies_reading.from_csv(f"{start}register.csv", table)
            except PlacardryError as fault:
                mend = "build the manual again, or save it with commas in UTF-8"
                told.append(_unread(f"{start}register.csv", str(fault), mend))
        page = files.get(f"{start}register.html")
        if page is not None and folder in known:
            manual = next(iter(known[folder].entries), folder)
            yield copies_reading.from_page(f"{start}register.html", page, manual)


def _cited(
    files: Mapping[str, bytes],
    folders: tuple[str, ...],
    known: Mapping[str, Register],
    held: Iterable[copies.Copy],
) -> Iterator[documents.Cited]:
    """What the files say of the documents cited: the registers, their figures, the sources."""
    for folder, register in known.items():
        yield documents.from_json(register.path, files[register.path])
        path = f"{folder}/sources.html" if folder else "sources.html"
        if folder in folders and path in files:
            yield documents.from_page(path, files[path], register.manual_in(folder))
    for copy in held:
        if not copy.path.endswith(".json"):
            yield documents.from_figures(copy.path, copy.rows)


def _pages(files: Mapping[str, bytes], known: Mapping[str, Register]) -> copies.Says:
    """Whether a text stands on a page of a manual, whatever elements it is made of."""
    folders = {one.manual_in(folder): folder for folder, one in known.items() if folder}

    @lru_cache(maxsize=1)
    def words(manual: str) -> tuple[str, ...]:
        start = f"{folders[manual]}/" if manual in folders else ""
        pages = (path for path in files if path.startswith(start) and path.endswith(".html"))
        return tuple(
            _squeezed(_TAG.sub("", files[path].decode("utf-8", "replace"))) for path in pages
        )

    return lambda manual, text: any(_squeezed(text) in page for page in words(manual))


_TAG = re.compile(r"<[^<>]*>")


def _squeezed(text: str) -> str:
    return "".join(html.unescape(text).split())


def _told(path: str, data: bytes, key: copies.Key, found: tuple[Fault, ...]) -> Iterator[Told]:
    line = copies.Copy(path, data, {}).line(key)
    for rule, says, shown, expected in found:
        message = f"`{key[1]}` ({key[0]}) {says}"
        span = on_line(path, line)
        yield tell(rule, span, message, "build the manual again", key[1], shown, expected)
