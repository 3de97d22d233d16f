"""Texts published elsewhere about the demo's machines, judged, against labels written by hand.

The films, pages, posts and brochures in `elsewhere/` were written and labelled before any of them
was judged. Verdicts that were right at first sight, in the order of the labels: of the first four
texts 75 of 132, of the next five 106 of 115 and of the next two 48 of 58, each after what the texts
before had shown was mended; of the two after that, after which nothing was changed, 53 of 55. The
notes hold what was read wrongly later, and what stands near to it.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from placardry.audit.texts import Judged
from placardry.audit.texts_meant import Verdict
from placardry.audit.texts_reading import read
from placardry.cli.audit_texts import judged_texts
from placardry.prepared import Prepared
from tests.demo.conftest import ROOT

FOLDER = Path(__file__).parent / "elsewhere"
LABELS = tomllib.loads((FOLDER / "labels.toml").read_text(encoding="utf-8"))
MACHINES = dict.fromkeys(("film-sandling", "post-tourer"), "sandling-2-tourer")
# Verdicts that are right, and figures that are the one meant; floors: what was reached.
REACHED = {
    "film-en": (41, 32),
    "film-de": (35, 27),
    "page-en": (33, 26),
    "post-en": (22, 14),
    "page-de": (32, 26),
    "post-de": (21, 14),
    "brochure-en": (23, 20),
    "brochure-de": (16, 15),
    "film-sandling": (21, 20),
    "auto-de": (18, 14),
    "post-tourer": (38, 30),
    "talk-en": (26, 22),
    "sheet-de": (27, 24),
    "notes-de": (14, 11),
    "notes-en": (15, 12),
}


def text(name: str) -> tuple[str, bytes]:
    """A file of the folder; brochures are set as PDF first."""
    import typst

    (path,) = FOLDER.glob(f"{name}.*")
    data = path.read_bytes()
    return (f"{name}.pdf", typst.compile(data)) if path.suffix == ".typ" else (path.name, data)


def judged(demo: Prepared, name: str) -> list[Judged]:
    """What is found in a text of the folder."""
    machine = MACHINES.get(name, "teasel")
    return list(judged_texts(demo, machine, [read(*text(name))]))


@pytest.mark.parametrize("name", LABELS)
def test_verdicts_are_those_of_a_person(demo: Prepared, name: str) -> None:
    found, labels = judged(demo, name), [(*label, "")[:3] for label in LABELS[name]]
    assert [one.text for one in found] == [words for words, _, _ in labels]
    pairs = [
        (one, verdict, figure) for one, (_, verdict, figure) in zip(found, labels, strict=True)
    ]
    wrong = [
        (one.text, one.verdict, verdict) for one, verdict, _ in pairs if one.verdict != verdict
    ]
    right = [one for one, verdict, figure in pairs if figure and figure == one.figure]
    least, least_known = REACHED[name]
    assert len(pairs) - len(wrong) >= least, wrong
    assert len(right) >= least_known
    # A false contradiction costs the trust in all others.
    false = [one for one, verdict, _ in pairs if verdict == "current" != one.verdict]
    assert Verdict.CONTRADICTS not in {one.verdict for one in false}


def published(manual: str) -> Iterator[tuple[str, bytes]]:
    """The pages of a published manual that print its figures as they are today."""
    for path in sorted((ROOT / "site_demo" / manual).rglob("*.html")):
        if path.name not in ("register.html", "editions.html", "check.html"):
            yield path.as_posix(), path.read_bytes()


@pytest.mark.parametrize(
    ("manual", "machine"), [("teasel-de", "teasel"), ("sandling-2-tourer-eu", "sandling-2-tourer")]
)
def test_our_own_pages_say_what_holds(demo: Prepared, manual: str, machine: str) -> None:
    texts = [read(path, data) for path, data in published(manual)]
    found = list(judged_texts(demo, machine, texts))
    counts = Counter(one.verdict for one in found)
    assert len(found) > 400
    # A numeral of a gauge strip stands by itself, away from the name of its scale.
    assert counts[Verdict.CURRENT] > 0.9 * len(found), counts
    wrong = [one for one in found if one.verdict in (Verdict.CONTRADICTS, Verdict.STALE)]
    assert len(wrong) <= 0.01 * len(found), [(one.path, one.text, one.figure) for one in wrong]
