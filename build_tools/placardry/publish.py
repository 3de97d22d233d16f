"""From a folder to a published folder: the whole story, READ THIS FIRST.

    files → book → manuals → findings → artifacts → audit → swap in

Nothing is published from a book with an error. Everything is built in a folder beside the target
and swapped in whole, so a failed or interrupted build leaves the last good output untouched.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from placardry import history, ledger
from placardry.book import Book
from placardry.book.sources import Edition
from placardry.data import manifest, register_csv, register_json
from placardry.editions import current_edition, current_for, issued_cards
from placardry.errors import EnvironmentFault
from placardry.files import is_free
from placardry.finding import Finding, has_errors, in_order
from placardry.prepared import Prepared, prepare
from placardry.resolve import Manual
from placardry.standing import Issued, Verdict
from placardry.swap import Place

Artifacts = Mapping[str, bytes]
Issue = tuple[Edition | None, Mapping[str, tuple[str, Edition]], tuple[Verdict, ...], bytes]
Render = Callable[..., tuple[Artifacts, tuple[Finding, ...]]]


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
    with Place(out) as place:
        kept = _kept(out, {manual.id for manual in prepared.manuals} - {one.id for one in chosen})
        rendered = _render_all(prepared, prepared.book, chosen, workers)
        findings = in_order([*prepared.findings, *(one for _, found in rendered for one in found)])
        if has_errors(findings):
            return prepared, findings
        artifacts = dict(kept)
        for manual, (made, _) in zip(chosen, rendered, strict=True):
            artifacts.update({f"{manual.id}/{path}": data for path, data in made.items()})
        artifacts.update(_merged(prepared, artifacts))
        place.write(artifacts)
        findings = in_order([*findings, *_audited(place.staged, chosen, workers)])
        if not has_errors(findings):
            place.swap()
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
    verdicts = tuple(Issued(prepared.book).verdicts())
    trees = {
        f"{manual.id}/{path}": data
        for manual in chosen
        for path, data in page_files(
            manual,
            prepared.files,
            prepared.book.editions,
            current_for(prepared.book, manual),
            issued_cards(prepared.book, manual.id),
            tuple(one for one in verdicts if one.manual == manual.id),
        ).items()
    }
    trees["manifest.json"] = manifest(prepared.book.settings, edition, trees)
    with Place(folder) as place:
        place.write(trees)
        place.swap()
    return prepared, prepared.findings


def _render_all(
    prepared: Prepared, book: Book, manuals: list[Manual], workers: int
) -> list[tuple[Artifacts, tuple[Finding, ...]]]:
    from placardry.manual_output import render  # slow: every writer and its libraries

    verdicts, told = tuple(Issued(book).verdicts()), ledger.read(book.files)
    render_one = partial(
        _rendered,
        render,
        {
            manual.id: (
                current_for(book, manual),
                issued_cards(book, manual.id),
                tuple(one for one in verdicts if one.manual == manual.id),
                history.history(book.settings, book.editions, told, [manual.id]),
            )
            for manual in manuals
        },
        files={path: data for path, data in prepared.files.items() if path.startswith("content/")},
        editions=book.editions,
    )
    with processes(min(workers, len(manuals))) as pool:
        return list((map if pool is None else pool.map)(render_one, manuals))


def _rendered(
    render: Render, issued: Mapping[str, Issue], manual: Manual, **given: Any
) -> tuple[Artifacts, tuple[Finding, ...]]:
    """A manual, with the edition that it and each of its cards were issued in."""
    edition, cards, verdicts, past = issued[manual.id]
    return render(manual, issued=edition, cards_issued=cards, verdicts=verdicts, past=past, **given)


def _audited(staged: Path, manuals: Iterable[Manual], workers: int) -> Iterator[Finding]:
    """What a stranger finds wrong with the finished files of these manuals."""
    from placardry.audit import audit

    with processes(workers) as pool:
        found = audit(published(staged), pool, [manual.id for manual in manuals])
    return (one.finding for one in found.told)


def published(out: Path) -> dict[str, bytes]:
    """All files of a published folder, by their path in it.

    Raises:
        EnvironmentFault: there is no such folder, or a file cannot be read.
    """
    if not out.is_dir():
        raise EnvironmentFault(f"`{out}` is no folder; name one that `placardry build` wrote")
    if not any((out / name).is_file() for name in ("register.json", "register.html")):
        raise EnvironmentFault(f"`{out}` holds no register; name what `placardry build` wrote")
    try:
        return {
            path.relative_to(out).as_posix(): path.read_bytes()
            for path in sorted(out.rglob("*"))
            if path.is_file()
        }
    except OSError as fault:
        raise EnvironmentFault(f"`{fault.filename}` cannot be read: {fault.strerror}") from None


@contextmanager
def processes(workers: int) -> Iterator[ProcessPoolExecutor | None]:
    """Processes that share a work, and end with this one; None where one is to do it all."""
    if workers < 2:
        yield None
        return
    context = multiprocessing.get_context(_way_to_start())
    with ProcessPoolExecutor(workers, mp_context=context, initializer=_end_with_parent) as pool:
        yield pool


def _end_with_parent() -> None:
    """Let this worker end when the build is killed, instead of waiting for work for ever."""

    def watch() -> None:
        parent = multiprocessing.parent_process()
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


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
    from placardry.site.card_check import card_check

    book = prepared.book
    if book is None:
        return {}
    present = [one for one in prepared.manuals if f"{one.id}/register.json" in artifacts]
    registers = [json.loads(artifacts[f"{manual.id}/register.json"]) for manual in present]
    entries = [entry for register in registers for entry in register["figures"]]
    cited = [document for register in registers for document in register.get("documents", ())]
    edition = current_edition(book)
    merged = {
        "index.html": index(book, present, edition),
        **card_check(book.settings, Issued(book).verdicts(), prepared.manuals, book.editions),
        "register.json": register_json(book.settings, edition, entries, cited),
        history.NAME: history.history(book.settings, book.editions, ledger.read(book.files)),
        "register.csv": register_csv(entries),
    }
    merged["manifest.json"] = manifest(book.settings, edition, {**artifacts, **merged})
    return merged


def _refuse_foreign(out: Path, option: str) -> None:
    """Refuse a folder that a build may not replace, before the work and not after it."""
    if not is_free(out) and not (out / "manifest.json").is_file():
        what = "holds files that no build of ours wrote" if out.is_dir() else "is a file"
        raise EnvironmentFault(f"`{out}` {what}; name a new or empty folder with {option}")
