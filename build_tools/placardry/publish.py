"""From a folder to a published folder: the whole story, READ THIS FIRST.

    files → book → manuals → findings → artifacts → swap in

Nothing is published from a book with an error. Everything is built in a folder beside the target
and swapped in whole, so a failed or interrupted build leaves the last good output untouched.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterable, Mapping
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from placardry.book import Book
from placardry.data import manifest, register_csv, register_json
from placardry.editions import current_edition
from placardry.errors import EnvironmentFault
from placardry.files import is_free, recover, swap_in, write_tree
from placardry.finding import Finding, has_errors, in_order
from placardry.prepared import Prepared, prepare
from placardry.resolve import Manual

Artifacts = Mapping[str, bytes]


def build(
    root: Path,
    out: Path,
    names: Iterable[str] = (),
    on: date | None = None,
    workers: int = 2,
) -> tuple[Prepared, tuple[Finding, ...]]:
    """Publish manuals into the folder `out`: all of them, or those named and the merged files.

    Returns:
        The prepared book and all findings; where one is an error nothing was written.

    Raises:
        PlacardryError: an unknown manual, or a folder that something else lives in.
    """
    out = out.resolve()
    _refuse_foreign(out, "--out")
    prepared = prepare(root, on)
    if prepared.book is None or has_errors(prepared.findings):
        return prepared, prepared.findings
    chosen = [prepared.manual(name) for name in names] or list(prepared.manuals)
    recover(out)
    kept = _kept(out, {manual.id for manual in prepared.manuals} - {one.id for one in chosen})
    rendered = _render_all(prepared, prepared.book, chosen, workers)
    findings = in_order([*prepared.findings, *(one for _, found in rendered for one in found)])
    if has_errors(findings):
        return prepared, findings
    artifacts = dict(kept)
    for manual, (made, _) in zip(chosen, rendered, strict=True):
        artifacts.update({f"{manual.id}/{path}": data for path, data in made.items()})
    artifacts.update(_merged(prepared, artifacts))
    _write(out, artifacts)
    return prepared, findings


def write_pages(
    root: Path, folder: Path, names: Iterable[str] = (), on: date | None = None
) -> tuple[Prepared, tuple[Finding, ...]]:
    """Write the pages of manuals as Markdown, each in a folder that plain MkDocs can build.

    Returns and raises as `build`.
    """
    from placardry.manual_output import page_files

    folder = folder.resolve()
    _refuse_foreign(folder, "--pages")
    prepared = prepare(root, on)
    if prepared.book is None or has_errors(prepared.findings):
        return prepared, prepared.findings
    chosen = [prepared.manual(name) for name in names] or list(prepared.manuals)
    edition = current_edition(prepared.book)
    trees = {
        f"{manual.id}/{path}": data
        for manual in chosen
        for path, data in page_files(
            manual, prepared.files, prepared.book.editions, edition
        ).items()
    }
    trees["manifest.json"] = manifest(prepared.book.settings, edition, trees)
    _write(folder, trees)
    return prepared, prepared.findings


def _render_all(
    prepared: Prepared, book: Book, manuals: list[Manual], workers: int
) -> list[tuple[Artifacts, tuple[Finding, ...]]]:
    from placardry.manual_output import render  # slow: every writer and its libraries

    render_one = partial(
        render,
        files={path: data for path, data in prepared.files.items() if path.startswith("content/")},
        editions=book.editions,
        issued=current_edition(book),
    )
    if workers < 2 or len(manuals) < 2:
        return [render_one(manual) for manual in manuals]
    context = get_context(_way_to_start())
    with ProcessPoolExecutor(min(workers, len(manuals)), mp_context=context) as pool:
        return list(pool.map(render_one, manuals))


def _way_to_start() -> str | None:
    """How processes are started: as is usual here, but without a fork of several threads.

    Such a child may wait for ever for a lock whose thread it does not have; Typst has threads.
    """
    threads = Path("/proc/self/task")
    return "spawn" if threads.is_dir() and len(list(threads.iterdir())) > 1 else None


def _kept(out: Path, names: set[str]) -> dict[str, bytes]:
    """The files of the manuals that are not built anew, as they were published."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for name in sorted(names)
        for path in sorted((out / name).rglob("*"))
        if path.is_file()
    }


def _merged(prepared: Prepared, artifacts: Artifacts) -> dict[str, bytes]:
    """The files of the whole book: start page, register, manifest."""
    from placardry.site import index

    book = prepared.book
    if book is None:
        return {}
    present = [one for one in prepared.manuals if f"{one.id}/register.json" in artifacts]
    entries = [
        entry
        for manual in present
        for entry in json.loads(artifacts[f"{manual.id}/register.json"])["figures"]
    ]
    edition = current_edition(book)
    merged = {
        "index.html": index(book, present, edition),
        "register.json": register_json(book.settings, edition, entries),
        "register.csv": register_csv(entries),
    }
    merged["manifest.json"] = manifest(book.settings, edition, {**artifacts, **merged})
    return merged


def _refuse_foreign(out: Path, option: str) -> None:
    """Refuse a folder that a build may not replace, before the work and not after it."""
    if not is_free(out) and not (out / "manifest.json").is_file():
        what = "holds files that no build of ours wrote" if out.is_dir() else "is a file"
        raise EnvironmentFault(f"`{out}` {what}; name a new or empty folder with {option}")


def _write(out: Path, artifacts: Artifacts) -> None:
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=f".{out.name}-", dir=out.parent) as staging:
            write_tree(Path(staging) / "new", artifacts)
            swap_in(Path(staging) / "new", out)
    except OSError as error:
        raise EnvironmentFault(f"cannot write `{out}`: {error.strerror}") from error
