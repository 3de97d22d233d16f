"""The pages of procedures: one each, and a list of them by chapter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from placardry.book.procedures import Procedure, ProcedureSequence
from placardry.links import Link
from placardry.pages.inline import Inline, Markdown
from placardry.pages.page import PageFile, Writing
from placardry.pages.steps import steps
from placardry.wording.keys import figure
from placardry.wording.phrases import joined
from placardry.wording.steps import instructions

CHAPTERS = ("emergency", "operation", "set-up", "maintenance")


def pages(writing: Writing) -> Iterator[PageFile]:
    """A page for each procedure, and the list of all."""
    manual = writing.manual
    procedures = manual.of(Procedure)
    if procedures:
        yield _list(writing)
    for chapter in CHAPTERS:
        for procedure in procedures.values():
            if procedure.chapter == chapter:
                yield _procedure(writing, procedure)


def _list(writing: Writing) -> PageFile:
    path = "procedures/index.md"
    write = writing.inline(path)
    procedures = writing.manual.of(Procedure)
    chapters = [
        (
            write.word(f"chapter.{chapter}"),
            [
                (write.name("procedure", id), write.text(one.when))
                for id, one in procedures.items()
                if one.chapter == chapter
            ],
        )
        for chapter in CHAPTERS
    ]
    sequences = [
        (id, one, [write.name("procedure", name) for name in one.procedures])
        for id, one in writing.manual.of(ProcedureSequence).items()
    ]
    return writing.page(
        path,
        writing.word("page.procedures"),
        "introduction",
        "procedures",
        chapters=[(word, items) for word, items in chapters if items],
        sequences=sequences,
    )


def _procedure(writing: Writing, procedure: Procedure) -> PageFile:
    path = f"procedures/{procedure.id}.md"
    write = writing.inline(path)
    return writing.page(
        path,
        writing.said(procedure.title),
        procedure.chapter,
        "procedure",
        facts=[(write.word(f"procedure.{key}"), said) for key, said in _head(write, procedure)],
        steps=steps(write, instructions(writing.speaker, procedure.steps)),
        source=source(write, procedure),
    )


def _head(write: Inline, procedure: Procedure) -> list[tuple[str, Markdown]]:
    """What is said before the steps, by its word; what is empty is left out."""
    speaker = write.speaker
    listed = {
        name: write.phrase(joined(map(speaker.text, getattr(procedure, name)), "; "))
        for name in ("tools", "supplies")
    }
    lines = {
        "when": write.text(procedure.when),
        "purpose": write.text(procedure.purpose),
        "begins": _states(write, procedure.begins),
        "persons": Markdown(procedure.persons or ""),
        "time": write.phrase(figure(speaker, procedure.time)) if procedure.time else Markdown(""),
        **listed,
        "ends": _states(write, procedure.ends),
        "hands-over": write.text(procedure.hands_over),
    }
    return [(key, said) for key, said in lines.items() if said]


def _states(write: Inline, states: Mapping[str, str] | None) -> Markdown:
    said = [write.speaker.state(name, (state,)) for name, state in (states or {}).items()]
    return write.phrase(joined(said, "; "))


def source(write: Inline, record: Procedure) -> Markdown:
    """Where a record comes from: the document as a link, and the place in it."""
    cited = record.source
    if cited is None:
        return Markdown("")
    place = write.text(cited.place)
    if cited.document is None:
        return place
    document = write.phrase(write.speaker.name(Link("document", cited.document)))
    return Markdown(f"{document}, {place}")
