"""The site of one manual, built by MkDocs from its pages, and the page that lists the manuals.

The same folder of pages can be written out and built by a plain `mkdocs build`: nothing of ours
is needed there. Names and titles go into a theme that escapes nothing, so they go in escaped.
"""

from __future__ import annotations

import contextlib
import html
import json
import logging
import os
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, partial
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from placardry.book import Book
from placardry.book.procedures import Procedure
from placardry.book.sources import Edition
from placardry.errors import EnvironmentFault
from placardry.pages import CHAPTERS, PageFile, edition_state, manual_title
from placardry.resolve import Manual
from placardry.site.unbroken import unbroken
from placardry.site.unit_script import SCRIPT, unit_script
from placardry.wording.phrases import Speaker
from placardry.wording.words import words

if TYPE_CHECKING:
    from jinja2 import Environment

STYLES = ("manual.css", "figures.css", "tables.css")
SCRIPTS = ("tables.js", "keyboard.js")
# What the pages need beside them: files among the assets of the package, under the same path.
OWN_FILES = (
    "fonts/Inter-Regular.woff2",
    "fonts/Inter-Bold.woff2",
    "fonts/Inter-Italic.woff2",
    "fonts/OFL.txt",
    "scripts/iframe-worker.js",
    "scripts/iframe-worker.LICENSE.txt",
)


def pages_tree(
    speaker: Speaker,
    pages: Sequence[PageFile],
    assets: Mapping[str, bytes],
    issued: Edition | None = None,
) -> Mapping[str, bytes]:
    """A folder that a plain `mkdocs build` makes the manual's site from.

    Args:
        speaker: the manual
        pages: its pages
        assets: drawings and pictures, by their path among the pages
        issued: the edition in which the manual was issued; None marks it as a draft
    """
    made = docs(speaker, pages, assets)
    own = resources.files("placardry.site")
    return {
        "mkdocs.yml": _settings(speaker, pages, issued),
        "settings.yaml": own.joinpath("settings.yaml").read_bytes(),
        "overrides/main.html": own.joinpath("overrides/main.html").read_bytes(),
        **{f"docs/{path}": data for path, data in made.items()},
    }


def docs(
    speaker: Speaker | None, pages: Iterable[PageFile], assets: Mapping[str, bytes]
) -> Mapping[str, bytes]:
    """Everything that MkDocs makes a site from: pages, pictures, styles, font, scripts."""
    own = resources.files("placardry") / "assets"
    styles = resources.files("placardry.site")
    return {
        **{page.path: page.markdown.encode() for page in pages},
        **assets,
        **{path: own.joinpath(path).read_bytes() for path in OWN_FILES},
        **{f"styles/{name}": styles.joinpath(name).read_bytes() for name in STYLES},
        **{f"scripts/{name}": styles.joinpath(name).read_bytes() for name in SCRIPTS},
        SCRIPT: unit_script(speaker),
    }


Nav = list[tuple[str, str | list[tuple[str, str]]]]


def nav(speaker: Speaker, pages: Iterable[PageFile]) -> Nav:
    """The chapters and their pages as MkDocs lists them, titles escaped for its theme."""
    start, *rest = pages
    found: Nav = [(themed(speaker.words["page.start"]), start.path)]
    for chapter in CHAPTERS:
        own = [(themed(page.title), page.path) for page in rest if page.chapter == chapter]
        if own:
            found.append((themed(speaker.words[f"chapter.{chapter}"]), own))
    return found


# The theme takes tags out of the names that it puts into a window's title, and so makes tags of
# escaped ones: angle brackets cannot be escaped for it, only drawn.
_DRAWN = str.maketrans({'"': "\u201d", "'": "\u2019", "<": "\u2039", ">": "\u203a"})


def themed(text: str) -> str:
    """Plain words for the theme, which puts names into text and attributes as they are."""
    return html.escape(text.translate(_DRAWN))


def render(
    speaker: Speaker,
    pages: Sequence[PageFile],
    assets: Mapping[str, bytes],
    issued: Edition | None = None,
) -> Mapping[str, bytes]:
    """The finished site of a manual, by path; arguments as for `pages_tree`.

    Raises:
        EnvironmentFault: MkDocs could not build it.
    """
    made = {page.path.removesuffix(".md") + ".html" for page in pages}
    tree = pages_tree(speaker, pages, assets, issued)
    with tempfile.TemporaryDirectory(prefix="placardry-") as folder:
        root = Path(folder)
        for path, data in tree.items():
            target = root / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        with _quietly():
            _build(root / "mkdocs.yml")
        site = root / "site"
        found = {
            path.relative_to(site).as_posix(): path.read_bytes()
            for path in sorted(site.rglob("*"))
            if path.is_file()
        }
    language = words(speaker.manual.language).language
    return {
        path: unbroken(data.decode()).encode() if path in made else data
        for path, data in sorted(found.items())
        if _is_needed(path, language)
    }


def _build(settings: Path) -> None:
    from mkdocs.commands.build import build
    from mkdocs.config import load_config
    from mkdocs.exceptions import Abort, MkDocsException

    try:
        build(load_config(str(settings)))
    except (MkDocsException, Abort) as error:
        raise EnvironmentFault(f"MkDocs could not build the site: {error}") from error


@contextlib.contextmanager
def _quietly() -> Iterator[None]:
    """MkDocs and its theme without their chatter."""
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    logger = logging.getLogger("mkdocs")
    level = logger.level
    logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        logger.setLevel(level)


def _is_needed(path: str, language: str) -> bool:
    """Whether a file of the site is ever asked for.

    The theme brings source maps, the word stems of thirty languages, a page for what is not found,
    whose absolute addresses lead nowhere from disk, and a site map without any address.
    """
    lunr = "assets/javascripts/lunr/"
    if not path.startswith(lunr):
        return not path.endswith((".map", "404.html", "sitemap.xml", "sitemap.xml.gz"))
    name = path.removeprefix(lunr).removeprefix("min/lunr.").split(".")[0]
    return name in (language, "multi", "stemmer")


def _settings(speaker: Speaker, pages: Sequence[PageFile], issued: Edition | None) -> bytes:
    """The `mkdocs.yml` of a manual."""
    text = environment().get_template("mkdocs.yml.j2").render(
        name=themed(manual_title(speaker)),
        footer=footer(speaker, issued),
        language=speaker.words.language,
        draft=None if issued else edition_state(speaker.words, None),
        emergencies=emergencies(speaker),
        nav=nav(speaker, pages),
    )  # fmt: skip
    return text.encode()


def emergencies(speaker: Speaker) -> str:
    """What the link to the emergencies is called, on every page; empty if there are none."""
    procedures = speaker.manual.of(Procedure).values()
    named = any(one.chapter == "emergency" for one in procedures)
    return themed(speaker.words["chapter.emergency"]) if named else ""


def footer(speaker: Speaker, issued: Edition | None) -> str:
    """Who published a manual, and in which edition; escaped for the theme."""
    publisher = speaker.manual.settings.publisher
    return themed(f"{publisher}. {edition_state(speaker.words, issued)}.")


def index(book: Book, manuals: Iterable[Manual], issued: Edition | None = None) -> bytes:
    """The page that leads to every manual of a book.

    Shape: each manual's site lies in the folder of its id, with its printed form in it.
    """
    table = words(book.settings.language)
    rows = [
        {
            "id": manual.id,
            "language": manual.language,
            "name": f"{manual.machine.name}, {manual.market.name}",
            "tongue": words(manual.language)["site.tongue"],
            "serials": manual.machine.serials,
        }
        for manual in manuals
    ]
    text = environment().get_template("index.html.j2").render(
        settings=book.settings,
        state=edition_state(table, issued),
        issued=issued is not None,
        rows=rows,
        words=table,
    )  # fmt: skip
    return text.encode()


@cache
def environment() -> Environment:
    """The packaged templates; text from a book is escaped in HTML."""
    from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

    environment = Environment(
        loader=PackageLoader("placardry.site"),
        undefined=StrictUndefined,
        autoescape=select_autoescape(["html.j2"], default=False),
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["quoted"] = partial(json.dumps, ensure_ascii=False)  # JSON is YAML
    return environment
