"""Manifests against the files that they list, and the editions that files name."""

from __future__ import annotations

import hashlib
import html
import json
import posixpath
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from placardry.audit.told import CHANGED, MALFORMED, MISSING, MIXED, UNLISTED, Told, tell
from placardry.finding import Span

NAME = "manifest.json"
_MEND = "build the manual again"


def listed(files: Mapping[str, bytes]) -> Iterator[Told]:
    """What is wrong with the files by the manifests among them; nothing where there is none."""
    seen: set[str] = set()
    for path in sorted(files, key=lambda one: (-one.count("/"), one)):
        if posixpath.basename(path) != NAME or path.count("/") > 1:
            continue
        try:
            rows = {row["path"]: row for row in json.loads(files[path])["files"]}
            sums = {name: row["sha256"] for name, row in rows.items()}
        except (KeyError, TypeError, ValueError) as fault:
            message = f"the manifest cannot be read: {fault}"
            yield tell(MALFORMED, Span(path), message, _MEND)
            continue
        for one in _by(path, sums, files):
            if one.finding.span.path not in seen:
                seen.add(one.finding.span.path)
                yield one


def _by(path: str, sums: Mapping[str, str], files: Mapping[str, bytes]) -> Iterator[Told]:
    start = path.removesuffix(NAME)
    here = {one.removeprefix(start) for one in files if one.startswith(start)} - {NAME}
    for name in sorted(sums.keys() - here):
        message = f"`{path}` lists this file, which is not there"
        yield tell(MISSING, Span(start + name), message, _MEND)
    for name in sorted(here - sums.keys()):
        message = f"`{path}` does not list this file"
        yield tell(UNLISTED, Span(start + name), message, "delete the file, or build again")
    for name in sorted(here & sums.keys()):
        digest = hashlib.sha256(files[start + name]).hexdigest()
        if digest != sums[name]:
            message = f"the file is not as it was built: `{path}` lists another digest"
            mend = "build the manual again; change the book and not the output"
            yield tell(CHANGED, Span(start + name), message, mend, "", digest, sums[name])


def mixed(files: Mapping[str, bytes]) -> Iterator[Told]:
    """Data files of one folder that name different editions or books."""
    by_folder: dict[str, dict[str, Any]] = {}
    for path, data in sorted(files.items()):
        if posixpath.basename(path) in (NAME, "register.json") and path.count("/") <= 1:
            try:
                whole = json.loads(data)
                said = (whole["book"], json.dumps(whole["edition"], sort_keys=True))
            except (KeyError, TypeError, ValueError):
                continue  # told where the file is read
            by_folder.setdefault(posixpath.dirname(path), {})[path] = said
    for said_by in by_folder.values():
        (first, said), *rest = said_by.items()
        for path, other in rest:
            if other != said:
                message = f"this file is of {_state(other)}; `{first}` is of {_state(said)}"
                yield tell(
                    MIXED, Span(path), message, _MEND, "",
                    _state(other), _state(said),
                )  # fmt: skip


_FOOTER = re.compile(r"<footer\b.*?</footer>", re.DOTALL)
_NAVIGATION = re.compile(r"<nav\b.*?</nav>|<[^<>]*>", re.DOTALL)
_EDITION = re.compile(r"\b(?:Edition|Ausgabe) ([0-9]+)\b")


def footers(start: str, pages: Mapping[str, bytes], edition: object) -> Iterator[Told]:
    """Pages of a manual whose footer names another state than the rest, or than the register.

    `start` is the folder of the manual as it begins a path, `edition` the register's number.
    """
    said = {
        path: " ".join(html.unescape(_NAVIGATION.sub(" ", found[0])).split())
        for path, data in sorted(pages.items())
        if path.endswith(".html") and (found := _FOOTER.search(data.decode("utf-8", "replace")))
    }
    if not said:
        return
    usual = Counter(said.values()).most_common(1)[0][0]
    number = _EDITION.search(usual)
    stated = number[1] if number else "None"
    if stated != str(edition):
        first = next(path for path, text in said.items() if text == usual)
        message = f"the pages are of “{usual}”, the register is of edition {edition or 'none'}"
        yield tell(MIXED, Span(start + first), message, _MEND, "", usual, str(edition))
    for path, text in said.items():
        if text != usual:
            message = f"this page is of “{text}”, the pages beside it of “{usual}”"
            yield tell(MIXED, Span(start + path), message, _MEND, "", text, usual)


def _state(said: tuple[str, str]) -> str:
    book, edition = said[0], json.loads(said[1])
    return f"`{book}`, {'a draft' if edition is None else 'edition ' + str(edition.get('number'))}"
