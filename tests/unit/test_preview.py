"""The preview: pages of one manual, findings where MkDocs counts them, the last good pages."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort
from selectolax.lexbor import LexborHTMLParser

from placardry import preview, site
from placardry.prepared import prepare
from placardry.release import release
from tests.manuals import RICH

SETTINGS = Path(site.__file__).with_name("settings.yaml")
BAD = RICH["content/welcome.md"].replace("{coolant.green}", "{coolant.grene}")


def write(root: Path, files: Mapping[str, str]) -> None:
    for path, text in files.items():
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8")


def settings(root: Path, **more: object) -> MkDocsConfig:
    own = {"book": str(root), **more}
    return load_config(
        str(SETTINGS),
        site_name="Preview",
        docs_dir=str(root / "content"),
        site_dir=str(root / "out"),
        plugins={"search": {}, "offline": {}, "placardry": own},
    )


def test_the_pages_of_the_manual_and_nothing_else(tmp_path: Path) -> None:
    write(tmp_path, RICH)
    build(settings(tmp_path))
    out = tmp_path / "out"
    assert (out / "guide" / "welcome.html").is_file()
    assert not (out / "welcome.html").exists(), "an author's file was published as it stands"
    assert "Owner’s manual: Tern" in (out / "limits.html").read_text(encoding="utf-8")
    assert (out / "styles" / "manual.css").is_file()


def test_a_draft_has_its_banner_until_it_is_issued(tmp_path: Path) -> None:
    """And it keeps the banner while the last good pages stand for a book with an error."""
    banner = "DRAFT: not in an issued edition"
    write(tmp_path, RICH)
    build(settings(tmp_path))
    page = tmp_path / "out" / "limits.html"
    (shown,) = LexborHTMLParser(page.read_bytes()).css("aside.md-banner")
    assert banner in shown.text()
    path, data = release(
        prepare(tmp_path), by="A. Reviewer", author="B. Writer", summary="First issue."
    )
    write(tmp_path, {path: data.decode()})
    build(settings(tmp_path))
    assert banner not in page.read_text(encoding="utf-8")


def test_a_finding_is_logged_and_counted_in_strict_mode(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    write(tmp_path, {**RICH, "content/welcome.md": BAD})
    config = settings(tmp_path)
    config.strict = True
    with caplog.at_level(logging.WARNING, "mkdocs"), pytest.raises(Abort):
        build(config)
    assert "content/welcome.md:3" in caplog.text


def test_an_error_keeps_the_last_good_pages(tmp_path: Path) -> None:
    write(tmp_path, RICH)
    build(settings(tmp_path))  # as `serve` does: the plugin stays from build to build
    config = settings(tmp_path)
    build(config)
    write(tmp_path, {"content/welcome.md": BAD})
    build(settings(tmp_path))
    out = tmp_path / "out"
    assert "60 to 80" in (out / "guide" / "welcome.html").read_text(encoding="utf-8")
    assert "grene" in (out / "findings.html").read_text(encoding="utf-8")
    assert 'href="findings.html"' in (out / "index.html").read_text(encoding="utf-8")
    assert "md-banner" in (out / "index.html").read_text(encoding="utf-8")
    write(tmp_path, RICH)
    build(settings(tmp_path))
    findings = out / "findings.html"  # what is no error may still be listed
    assert not findings.exists() or "grene" not in findings.read_text(encoding="utf-8")


def test_without_any_good_pages_the_findings_are_all(tmp_path: Path) -> None:
    write(tmp_path, {**RICH, "content/welcome.md": BAD})
    config = settings(tmp_path)
    plugin = config.plugins["placardry"]
    assert isinstance(plugin, preview.PlacardryPlugin)
    plugin.pages, plugin.files, plugin.nav = (), {}, []
    build(config)
    assert "grene" in (tmp_path / "out" / "index.html").read_text(encoding="utf-8")
    assert not (tmp_path / "out" / "limits.html").exists()


def test_an_unknown_manual_is_said(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    write(tmp_path, RICH)
    with pytest.raises(Abort):
        build(settings(tmp_path, manual="tern-us"))
    assert "no manual `tern-us`" in caplog.text
