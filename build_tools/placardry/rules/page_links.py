"""Rules on the links and pictures of pages of prose."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator

from placardry.book.pages import Page
from placardry.finding import Family, Severity, did_you_mean
from placardry.rules.registry import Problem, Subject, rule

_TARGET = re.compile(r"\]\(\s*<?(?P<target>[^)\s>#]+)")
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:", re.IGNORECASE)


@rule(Severity.ERROR, Family.PROSE)
def dead_link(subject: Subject) -> Iterator[Problem]:
    """A page links to a page, or shows a picture, that is not among the files of the book.

    The owner would meet an empty frame, or a link that leads nowhere. A link to another page is
    best written as a reference, which is also known to apply to the machine.

    Source: common practice, no source.

    Bad:
        content/warming-up.md
            # Warming up

            See [the welcome](wellcome.md).
    Good:
        content/warming-up.md
            # Warming up

            See [the welcome](welcome.md), or {page/welcome}.
    """
    files = subject.book.files
    known = [path for path in files if path.startswith("content/")]
    for text in subject.texts:
        if not isinstance(text.owner, Page) or not text.is_markdown:
            continue
        folder = posixpath.dirname(text.owner.places.span.path)
        for match in _TARGET.finditer(text.text):
            target = match["target"]
            path = posixpath.normpath(posixpath.join(folder, target))
            if _ELSEWHERE.match(target) or path in files:
                continue
            names = [posixpath.relpath(one, folder) for one in known]
            otherwise = "put the file beside the page, or write a reference such as `{page/name}`"
            yield Problem(
                text.span(match.start("target"), match.end("target")),
                f"`{target}` leads to no file of the book",
                did_you_mean(target, names, otherwise),
            )
