"""The rules: what can be wrong with a book that could be read.

One file a subject; see `registry` for what a rule is.
"""

from __future__ import annotations

import importlib
import pkgutil
from datetime import date

from placardry.book import Book
from placardry.finding import Finding, in_order
from placardry.resolve import Manual, Stray
from placardry.rules.acceptances import accept
from placardry.rules.registry import Subject, run

# Every module of this package may declare rules; finding them here is what registers them.
for _module in pkgutil.iter_modules(__path__):
    importlib.import_module(f"{__name__}.{_module.name}")


def check(
    book: Book,
    manuals: tuple[Manual, ...],
    strays: tuple[Stray, ...],
    on: date | None = None,
    loading: tuple[Finding, ...] = (),
    *,
    errors_only: bool = False,
) -> tuple[Finding, ...]:
    """Everything that the rules find, after the book's acceptances.

    `on` is the day by which dates are judged, by default the book's own; `loading` is what
    reading the files has found; with `errors_only` no other findings are looked for.
    """
    day = on or book.settings.dated
    subject = Subject(book, manuals, strays, day)
    return in_order(accept((*loading, *run(subject, errors_only=errors_only)), book, day))
