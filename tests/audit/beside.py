"""As little of a published folder as an edited file is judged by, so that hundreds can be."""

from __future__ import annotations

import json
import posixpath
from collections.abc import Collection, Mapping

from tests.audit.edits import Edit, Files

_SPEAKING = ("register.json", "register.csv", "register.html", "sources.html", "editions.json",
             "editions.html", "check.html", "limits.html", "index.html",
             "manifest.json")  # fmt: skip
_INDEX = ("search/search_index.json", "search/search_index.js")


def beside(made: Edit, files: Files) -> Files:
    """The edited file with those that it is compared with; manifests are of the forger's making.

    Of a manual these are its registers, the pages that tell of sources and editions, and what the
    search index says of the pages concerned; at the top also those of every manual.
    """
    folder = posixpath.dirname(made.path).partition("/")[0]
    if made.what == "taken out":  # what is not there is seen by all that lies beside it
        own = {path: data for path, data in files.items() if path.startswith(f"{folder}/")}
        return {**own, made.path: made.data}
    kept = {path: data for path, data in files.items() if _speaks(path, folder, made.path)}
    if made.path.endswith(".pdf"):
        marks = [f"#{anchor}".encode() for anchor in made.anchors]
        kept |= {
            path: data
            for path, data in files.items()
            if path.startswith(f"{folder}/") and path.endswith(".html")
            and any(mark in data for mark in marks)
        }  # fmt: skip
    pages = _pages(made, files, folder)
    kept |= {path: files[path] for path in pages}
    whole = {**files, made.path: made.data}
    for name in _INDEX if pages else ():
        kept[f"{folder}/{name}"] = _narrowed(whole[f"{folder}/{name}"], pages, folder)
    return (
        {**kept, made.path: kept[made.path]} if _is_index(made) else {**kept, made.path: made.data}
    )


def _speaks(path: str, folder: str, edited: str) -> bool:
    """Whether a file says something of the figures and editions that an edited one tells of."""
    there, _, name = path.rpartition("/")
    if name not in _SPEAKING or "/" in there:
        return False
    if not folder or there == folder:
        return True
    # Of other manuals the registers tell the language of what the merged one has of them.
    is_copy = edited.partition("/")[2] in _SPEAKING
    return is_copy and (not there or name in ("register.json", "editions.json"))


def _is_index(made: Edit) -> bool:
    return made.path.endswith(_INDEX)


def _pages(made: Edit, files: Files, folder: str) -> set[str]:
    """The page that was edited, or those of which the search index says something else."""
    if _is_index(made):
        pairs = zip(_docs(made.data), _docs(files[made.path]), strict=True)
        return {_page(one, folder) for one, other in pairs if one != other}
    is_page = folder and made.path.endswith(".html")
    return {made.path} if is_page else set()


def _docs(data: bytes) -> list[dict[str, str]]:
    docs: list[dict[str, str]] = json.loads(data[data.index(b"{") : data.rindex(b"}") + 1])["docs"]
    return docs


def _page(doc: Mapping[str, str], folder: str) -> str:
    page = doc["location"].partition("#")[0]
    return f"{folder}/{page if page.endswith('.html') else posixpath.join(page, 'index.html')}"


def _narrowed(data: bytes, pages: Collection[str], folder: str) -> bytes:
    """A search index that tells of these pages alone."""
    start, end = data.index(b"{"), data.rindex(b"}") + 1
    whole = json.loads(data[start:end])
    whole["docs"] = [doc for doc in whole["docs"] if _page(doc, folder) in pages]
    return data[:start] + json.dumps(whole).encode() + data[end:]
