"""The site: the same bytes everywhere, and names that a theme prints unescaped."""

from __future__ import annotations

import dataclasses
import html
import json
import os
import re
import tempfile
import time
from collections.abc import Mapping
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest

from placardry.loader import load
from placardry.pages import drawings, pages
from placardry.site import index, pages_tree, render, themed
from placardry.wording.phrases import Speaker
from tests.manuals import RICH, manual_of, speaker_of, told


def rendered(speaker: Speaker) -> Mapping[str, bytes]:
    return render(speaker, pages(speaker), drawings(speaker))


@pytest.fixture(scope="module")
def site() -> Mapping[str, bytes]:
    return rendered(speaker_of())


def test_same_bytes_in_another_folder_zone_and_day(
    site: Mapping[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "over there"
    other.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(other))
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1")
    time.tzset()
    try:
        assert rendered(speaker_of()) == site
        assert os.environ["SOURCE_DATE_EPOCH"] == "1"
    finally:
        monkeypatch.undo()
        time.tzset()
    assert list(other.iterdir()) == []


def test_no_clock_is_in_it(site: Mapping[str, bytes]) -> None:
    today = datetime.now(UTC).date().isoformat().encode()
    assert [path for path, data in site.items() if today in data] == []
    assert [path for path in site if "sitemap" in path] == []  # RFC 1952: a gzip file has a time


def test_nothing_is_asked_of_another_host(site: Mapping[str, bytes]) -> None:
    for path, data in site.items():
        if path.endswith((".html", ".css")):
            text = data.decode()
            found = re.findall(
                r"""(?:src|href)=["']?(https?:[^"' >]+)|url\((https?:[^)]+)\)""", text
            )
            assert found == [], path


def test_every_link_leads_to_a_file_of_the_manual(site: Mapping[str, bytes]) -> None:
    count = 0
    for path, data in site.items():
        if not path.endswith(".html"):
            continue
        for address in re.findall(r"""(?:src|href)="([^"]*)\"""", data.decode()):
            parts = urlsplit(urljoin(path, html.unescape(address)))
            target = unquote(parts.path)
            # Made by other writers, into the same folder.
            is_other = target.endswith(".pdf") or target in ("check.html", "due.html")
            if not parts.scheme and target and not is_other:
                assert target in site, f"{path} leads to {address}"
                count += 1
    assert count > 100


def test_a_plain_mkdocs_builds_the_same_pages(site: Mapping[str, bytes]) -> None:
    speaker = speaker_of()
    tree = pages_tree(speaker, pages(speaker), drawings(speaker))
    settings = tree["mkdocs.yml"].decode() + tree["settings.yaml"].decode()
    assert "placardry" not in settings.lower()
    made = {f"{path.removeprefix('docs/').removesuffix('.md')}.html"
            for path in tree if path.endswith(".md")}  # fmt: skip
    assert made == {path for path in site if path.endswith(".html")}


HOSTILE = "</title><script>window.spent = 1</script>\" onload='window.spent = 1' x & {{ 7*7 }}"


class Attributes(HTMLParser):
    """Notes every attribute's name, and the words of the title."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.title = ""
        self._in_title = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names |= {name for name, _ in attrs}
        self._in_title = tag == "title"

    def handle_data(self, data: str) -> None:
        if self._in_title and not self.title:
            self.title = data


def test_the_parser_sees_what_breaks_out() -> None:
    seen = Attributes('<title>a</title><a title="" onload="x">b</a>')
    assert (seen.names, seen.title) == ({"title", "onload"}, "a")


def test_names_are_text_in_the_theme() -> None:
    speaker = Speaker(told(manual_of(RICH), HOSTILE.replace("{", "{{").replace("}", "}}")))
    for path, data in rendered(speaker).items():
        if path.endswith(".html"):
            text = data.decode()
            seen = Attributes(text)
            assert "<script>window" not in text, path
            assert not {name for name in seen.names if name.startswith("on")}, path
            assert "{{ 7*7 }}" in seen.title, path


def test_themed_words_close_no_attribute() -> None:
    assert themed("a \"b\" 'c' <d> & e") == "a ”b” ’c’ ‹d› &amp; e"


def test_the_index_leads_to_every_manual() -> None:
    book, _ = load({path: text.encode() for path, text in RICH.items()})
    assert book is not None
    manual = manual_of(RICH)
    german = dataclasses.replace(
        manual, id="tern-de", entry=dataclasses.replace(manual.entry, language="de")
    )
    text = index(book, [told(manual, HOSTILE.replace("{", "(").replace("}", ")")), german]).decode()
    assert re.findall(r'href="([^"]+)"', text) == [
        "tern-eu/index.html",
        "tern-eu/manual.pdf",
        "tern-de/index.html",
        "tern-de/manual.pdf",
        "check.html",
    ]
    assert "Deutsch" in text
    assert "<script" not in text
    assert "&lt;script&gt;" in text


def test_the_search_index_holds_this_manual_alone(site: Mapping[str, bytes]) -> None:
    places = {
        entry["location"].split("#")[0]
        for entry in json.loads(site["search/search_index.json"])["docs"]
    }
    assert "limits.html" in places
    assert places - {""} <= set(site)


def test_every_page_leads_to_the_emergencies(site: Mapping[str, bytes]) -> None:
    leading = re.compile(r'<a class="to-emergencies" href="([^"]*)" title="Emergencies">')
    assert b'id="emergencies"' in site["index.html"]
    own = [path for path in site if path.endswith(".html")]
    assert len(own) > 5
    for path in own:
        found = leading.findall(site[path].decode())
        assert [urljoin(path, one) for one in found] == ["index.html#emergencies"], path
