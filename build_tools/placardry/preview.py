"""A manual live in a browser while its sources are edited: a MkDocs plugin, and its server.

Findings go to MkDocs' log, so that its strict mode counts them, and onto a page of their own.
While the book has an error the last good pages stay.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.exceptions import Abort, PluginError
from mkdocs.plugins import BasePlugin, get_plugin_logger
from mkdocs.structure.files import File, Files

from placardry.editions import current_for
from placardry.errors import EnvironmentFault, PlacardryError
from placardry.files import require_book
from placardry.finding import Severity, has_errors
from placardry.pages import PageFile, drawings, edition_state, pages, pictures
from placardry.prepared import Prepared, prepare
from placardry.report import report
from placardry.site import docs, emergencies, footer, nav, themed
from placardry.site.card_check import card_check
from placardry.site.due_page import due_page
from placardry.site.unbroken import unbroken
from placardry.standing import Issued
from placardry.wording.phrases import Speaker
from placardry.wording.words import words

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.livereload import LiveReloadServer

FINDINGS = "findings.md"

log = get_plugin_logger(__name__)


class PreviewConfig(Config):  # type: ignore[no-untyped-call]
    """What `mkdocs.yml` says of the plugin."""

    manual = config_options.Optional(config_options.Type(str))
    """The manual to show; the first if none is named."""
    book = config_options.Type(str, default=".")
    """The book's folder, from the place of `mkdocs.yml`."""


class PlacardryPlugin(BasePlugin[PreviewConfig]):  # type: ignore[no-untyped-call]
    """Puts the pages of one manual in the place of the files below `docs_dir`."""

    def __init__(self) -> None:
        self.files: Mapping[str, bytes] = {}
        self.pages: tuple[PageFile, ...] = ()
        self.nav: list[Any] = []
        self.draft = ""
        self.emergencies = ""

    def on_startup(self, **_: Any) -> None:
        """Having this event keeps the plugin, and so the last good pages, from build to build."""

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Read and judge the book; make the pages anew where nothing is wrong."""
        try:
            prepared = prepare(self._root(config))
            self._log(prepared)
            if prepared.manuals and not has_errors(prepared.findings):
                self._write(prepared, config)
        except PlacardryError as error:
            raise PluginError(str(error)) from error
        self._show_findings(prepared)
        config.extra |= {"draft": self.draft, "emergencies": self.emergencies}
        config.theme.dirs.insert(0, str(resources.files("placardry.site") / "overrides"))
        config.nav = [{title: _place(place)} for title, place in self.nav]
        return config

    def _root(self, config: MkDocsConfig) -> Path:
        return Path(config.config_file_path or ".").parent / self.config.book

    def _log(self, prepared: Prepared) -> None:
        say = {Severity.ERROR: log.error, Severity.WARNING: log.warning, Severity.ADVICE: log.info}
        for one in prepared.findings:
            say[one.severity](f"{one.span}: {one.message} [{one.rule.name}]; {one.mend}")

    def _write(self, prepared: Prepared, config: MkDocsConfig) -> None:
        book = prepared.book
        if book is None:
            return
        manual = prepared.manual(self.config.manual or prepared.manuals[0].id)
        speaker = Speaker(manual)
        issued, editions = current_for(book, manual), book.editions
        own = (one for one in Issued(book).verdicts() if one.manual == manual.id)
        check = card_check(book.settings, own, [manual], editions, manual)
        self.pages = pages(speaker, editions, issued)
        pictured = {**drawings(speaker), **pictures(self.pages, prepared.files)}
        assets = {**pictured, **due_page(speaker, issued), **check}
        self.files = docs(speaker, self.pages, assets)
        self.nav = list(nav(speaker, self.pages))
        config.site_name = themed(self.pages[0].title)
        config.copyright = footer(speaker, issued)
        self.draft = "" if issued else edition_state(speaker.words, None)
        self.emergencies = emergencies(speaker)

    def _show_findings(self, prepared: Prepared) -> None:
        """A page of findings, and a banner for it on the start page; without pages it is all."""
        self.files = {path: data for path, data in self.files.items() if path != FINDINGS}
        self.nav = [entry for entry in self.nav if entry[1] != FINDINGS]
        if self.pages:
            start = self.pages[0]
            self.files = {**self.files, start.path: start.markdown.encode()}
        if not prepared.findings:
            return
        listed = report(prepared.findings, prepared.files, format="markdown")
        said = words("en")
        title = said["preview.findings"]
        page = f"# {title}\n\n{listed}".encode()
        if not self.pages:
            self.files = {**docs(None, (), {}), "index.md": page}
            self.nav = [(title, "index.md")]
            return
        state = "preview.kept" if has_errors(prepared.findings) else "preview.passed"
        banner = f'!!! notice "{title}"\n    {said[state]} [{title}]({FINDINGS})\n\n'
        heading, _, rest = start.markdown.partition("\n\n")
        changed = f"{heading}\n\n{banner}{rest}".encode()
        self.files = {**self.files, start.path: changed, FINDINGS: page}
        self.nav.append((title, FINDINGS))

    def on_files(self, files: Files, config: MkDocsConfig) -> Files:
        """The generated files in the place of those below `docs_dir`."""
        for file in list(files):
            if file.src_dir == config.docs_dir:
                files.remove(file)
        for path, data in self.files.items():
            files.append(File.generated(config, path, content=data))
        return files

    def on_post_page(self, output: str, **_: Any) -> str:
        """A page as it is published: without a line that ends within a date."""
        return unbroken(output)

    def on_serve(self, server: LiveReloadServer, config: MkDocsConfig, **_: Any) -> None:
        """Build anew when a source changes."""
        for path in (self._root(config) / folder for folder in ("procedures", "content")):
            if path.is_dir():
                server.watch(str(path))


def _place(place: Any) -> Any:
    """A place in the navigation: a path, or the pages of a chapter."""
    return place if isinstance(place, str) else [{title: path} for title, path in place]


def serve(root: Path, manual: str | None = None, port: int = 8000) -> int:
    """Show a manual of the book in `root` on this machine until it is stopped; the exit code.

    Raises:
        NoBookError: the folder holds no book.
        EnvironmentFault: the preview cannot start; what is wrong was printed.
    """
    from mkdocs.commands.serve import serve as run

    require_book(root)
    settings = resources.files("placardry.site").joinpath("settings.yaml")
    own = {"book": str(root.resolve()), "manual": manual}
    try:
        with resources.as_file(settings) as path:
            run(
                config_file=str(path),
                dev_addr=f"127.0.0.1:{port}",
                site_name="Placardry",
                docs_dir=str(root.resolve() / "procedures"),  # a book need not hold prose
                plugins={"search": {}, "offline": {}, "placardry": own},
            )
    except Abort as error:
        raise EnvironmentFault("the preview cannot start; the lines above say why") from error
    except OSError as error:
        raise EnvironmentFault(
            f"cannot serve on port {port}: {(error.strerror or str(error)).lower()}; "
            "name another with --port"
        ) from error
    return 0
