"""Reviews of thirty small pull requests over the demo, and what the reports say of them."""

from __future__ import annotations

import dataclasses
import json
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from placardry import cli
from placardry.book import KIND_OF
from placardry.files import read_folder, write_tree
from placardry.finding import has_errors
from placardry.loader import load
from placardry.prepared import Prepared, judge
from placardry.resolve import resolve
from placardry.review import FORMATS, PAGE, Review, Style, compared
from placardry.review.history import History, Side
from placardry.review.markdown import MARKER
from placardry.review.touched import Touched
from tests.books import files

ROOT = Path(__file__).parents[2]
PULLS: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).with_name("pull_requests.toml")).read_text("utf-8")
)["pull"]


def read(files: dict[str, bytes]) -> Prepared:
    """A book without the judgement of the rules, which take most of the time."""
    book, findings = load(files)
    manuals = resolve(book)[0] if book is not None else ()
    return Prepared(files, book, manuals, findings)


@cache
def demo() -> Prepared:
    return read(dict(read_folder(ROOT)[0]))


def edited(pull: dict[str, Any]) -> dict[str, bytes]:
    text = demo().files[pull["file"]].decode()
    assert text.count(pull["old"]) == 1, f"{pull['title']}: the text to change is not there once"
    return {**demo().files, pull["file"]: text.replace(pull["old"], pull["new"]).encode()}


def sides(before: Prepared, after: Prepared) -> History:
    return History(Side("main", before), Side("branch", after), ("A. Writer",))


def review_of(before: Prepared, after: Prepared) -> Review:
    return compared(sides(before, after))


def quick(at: int) -> Review:
    """The review without pages and faces, which no demand of these needs."""
    return compared(sides(demo(), read(edited(PULLS[at]))), lambda *_: Touched())


def told(review: Review) -> dict[str, str]:
    """Each change that matters: `kind/id.part` and its direction; consequences are left out."""
    return {
        f"{one.of}.{one.part}" if one.is_figure and one.part else one.of: one.direction
        for one in review.changes
        if one.direction != "neutral" and not one.causes
    }


@pytest.mark.parametrize("at", range(len(PULLS)), ids=[one["title"] for one in PULLS])
def test_a_pull_request_has_its_verdict(at: int) -> None:
    pull, found = PULLS[at], quick(at)
    assert told(found) == pull["change"]
    assert [one.demand for one in found.demands if not one.met] == pull["open"]
    assert found.exit_code == (1 if pull["open"] else 0)
    for form in FORMATS.keys() - {"html"}:  # its pictures are looked at below
        assert FORMATS[form](found, Style()) or not found.changes


@pytest.mark.soak
@pytest.mark.parametrize("at", range(len(PULLS)), ids=[one["title"] for one in PULLS])
def test_a_pull_request_keeps_its_verdict_when_the_rules_have_judged(at: int) -> None:
    pull = PULLS[at]
    after = judge(edited(pull))
    found = review_of(judge(dict(demo().files)), after)
    open_ = [one.demand for one in found.demands if not one.met and one.demand != "sound"]
    assert open_ == [one for one in pull["open"] if one != "sound"]
    unsound = any(one.demand == "sound" and not one.met for one in found.demands)
    assert unsound == has_errors(after.findings)


def test_there_are_thirty_of_them() -> None:
    assert len(PULLS) == 30
    assert {way for one in PULLS for way in one["change"].values()} == {
        "loosened",
        "tightened",
        "undecided",
    }


@pytest.fixture(scope="module")
def raised() -> Review:
    """The first of them, with all that it touches."""
    return review_of(demo(), read(edited(PULLS[0])))


def test_the_text_says_it_in_plain_words(raised: Review) -> None:
    text = FORMATS["text"](raised, Style(width=80))
    flat = " ".join(text.split())
    # 88 and 90 degC are 190.4 and 194 degF; a red line is published towards its safe side, down.
    # NIST SP 811 B.8: degF = degC x 1.8 + 32.
    assert "coolant, red from: 88 °C (190 °F) → 90 °C (194 °F), +2 °C" in flat
    assert "LOOSENED, on Sandling 2" in flat
    assert "+3.6 °F" in flat
    assert "section 4.2, page 31, as before" in flat
    assert "nobody has approved" in flat
    assert "cards: " in flat
    assert "procedures/limits/engine-marl-230.yaml:9" in flat
    assert "NOT met" in flat
    assert max(map(len, text.splitlines())) <= 80 or all(
        " " not in line.strip() for line in text.splitlines() if len(line) > 80
    )


FULL = b"""conditions:
  full: {short: at full speed, engine-speed: above 6000 rpm}
limits:
  hot: {parameter: coolant-temperature, maximum: 85 degC, condition: full}
"""


def test_a_limit_that_holds_in_fewer_places_is_said_with_its_condition() -> None:
    old = {**files(), "procedures/hot.yaml": FULL}
    new = {**old, "procedures/hot.yaml": FULL.replace(b"6000", b"7000")}
    text = " ".join(FORMATS["text"](review_of(read(old), read(new)), Style()).split())
    assert "85 °C (185 °F) at full speed, condition narrowed, LOOSENED, on Tern" in text
    assert "OPEN loosened-without-source: `condition/full` loosens `limit/hot`," in text


def test_a_condition_that_changes_with_its_figure_is_said_beside_it() -> None:
    old = {**files(), "procedures/hot.yaml": FULL}
    both = FULL.replace(b"6000", b"5900").replace(b"85 degC", b"86 degC")
    found = review_of(read(old), read({**old, "procedures/hot.yaml": both}))
    text = " ".join(FORMATS["text"](found, Style()).split())
    assert "85 °C (185 °F) → 86 °C (186 °F) at full speed, +1 °C, LOOSENED, on Tern" in text
    assert "maximum: 86 °C (186 °F) at full speed, condition widened, TIGHTENED, on Tern" in text
    assert text.count("+1 °C, +1.8 °F") == 1


def _values() -> set[Any]:
    """The types of fields that are read from one text of a book."""
    found: set[Any] = set()
    todo = list(KIND_OF)
    seen: set[Any] = set()
    while todo:
        one = todo.pop()
        if one in seen:
            continue
        seen.add(one)
        todo += get_args(one)
        if hasattr(one, "parse"):
            found.add(one)
        elif dataclasses.is_dataclass(one):
            todo += get_type_hints(one).values()
    return found


@pytest.mark.parametrize("value", sorted(_values(), key=str))
def test_what_a_review_says_of_a_value_is_what_its_author_may_write(value: Any) -> None:
    for example in getattr(value, "EXAMPLES", ("some words",)):
        one = value.parse(example)
        assert not REPR.search(str(one))
        assert value.parse(str(one)) == one


REPR = re.compile(r"\w+\(\w+=|\bNone\b|\bTrue\b|\bFalse\b|\bFraction\(")


@pytest.mark.parametrize("format", sorted(FORMATS))
def test_no_text_of_the_program_is_in_a_review_of_all_there_is(format: str) -> None:
    """All records of the demo go, and all those of the specimen come; then the other way."""
    small = read(files())
    for before, after in ((demo(), small), (small, demo())):
        found = compared(sides(before, after), lambda *_: Touched())
        assert len(found.changes) > 100
        assert not REPR.search(FORMATS[format](found, Style(width=10**6)))


def test_a_removed_step_says_what_was_done_and_where_it_stood() -> None:
    path, step = "procedures/leave.yaml", b"  - {set: {master: off}, note: Look again.}\n"
    given = files()
    old = {**given, path: given[path] + step.replace(b"off", b"on")}
    text = FORMATS["text"](review_of(read(old), read(given)), Style())
    flat = " ".join(text.split())
    assert "steps.1: set master on, note Look again., step removed, UNDECIDED, on Tern" in flat
    assert "stood: procedures/leave.yaml:7" in flat


def test_a_long_text_is_shown_where_it_differs_and_whole_below() -> None:
    path, begin = "procedures/coolant.yaml", "Reduce power and look at all that you can reach. " * 4
    given = files()

    def saying(words: str) -> Prepared:
        said = f"exceeded: {begin}{words}"
        return read({**given, path: given[path].replace(b"exceeded: Reduce power.", said.encode())})

    found = review_of(saying("Then land."), saying("Then fly on."))
    text = " ".join(FORMATS["text"](found, Style()).split())
    assert "that you can reach. Then land. → … " in text
    assert "that you can reach. Then fly on., UNDECIDED" in text
    assert f"before: {begin}Then land. after: {begin}Then fly on." in text


def test_a_safety_message_is_said_with_its_danger_first() -> None:
    path = "procedures/leave.yaml"
    hazard = b"""  - hazard:
      {signal: danger, hazard: Turning propeller., consequence: It can kill., avoid: Keep clear.}
"""
    given = files()
    found = review_of(read({**given, path: given[path] + hazard}), read(given))
    text = " ".join(FORMATS["text"](found, Style()).split())
    said = "signal danger, hazard Turning propeller., consequence It can kill., avoid Keep clear."
    assert f"{said}, hazard removed, LOOSENED" in text


def test_the_most_dangerous_change_stands_first() -> None:
    both = edited(PULLS[0])
    path = PULLS[0]["file"]
    text = both[path].decode().replace("minimum: 60 degC", "minimum: 62 degC")
    found = review_of(demo(), read({**both, path: text.encode()}))
    order = [one.direction for one in found.changes]
    ranks = ["loosened", "undecided", "tightened", "neutral"]
    assert order == sorted(order, key=ranks.index)
    assert order[0] == "loosened"
    assert "tightened" in order


def test_json_has_its_contract(raised: Review) -> None:
    data = json.loads(FORMATS["json"](raised, Style()))
    assert list(data) == ["changes", "demands"]
    first = data["changes"][0]
    assert {"change", "direction", "id", "part", "machines", "before", "after"} <= set(first)
    assert (first["id"], first["part"], first["direction"]) == ("coolant", "red", "loosened")
    assert first["before"]["degF"] == "190\u00a0°F"
    assert first["machines"] == sorted(first["machines"])
    assert "sandling-2" in first["machines"]
    assert any(one.endswith("/cards/limits.pdf") for one in first["cards"])
    assert first["pages"]
    for one in data["demands"]:
        assert set(one) == {"demand", "met", "why"}
    directions = {one["direction"] for one in data["changes"]}
    assert directions <= {"loosened", "tightened", "neutral", "undecided"}


def test_a_machine_without_the_change_is_not_named(raised: Review) -> None:
    for one in raised.changes:
        assert not any("teasel" in where for where in (*one.machines, *one.cards, *one.pages))


def test_the_comment_fits_a_forge_and_keeps_what_matters(raised: Review) -> None:
    whole = FORMATS["markdown"](raised, Style())
    assert whole.startswith(MARKER)
    many = Review(raised.history, raised.changes[:1] + raised.changes * 400, raised.demands * 30,
                  raised.touched)  # fmt: skip
    for most in (3000, 20_000, 65_536):
        comment = FORMATS["markdown"](many, Style(most=most))
        assert len(comment) <= most
        assert "LOOSENED" in comment
        assert re.search(r"and \d+ more, none more dangerous", comment)
        assert comment.count("<details") == comment.count("</details>")
        assert comment.count("- [ ] ") >= 1


def test_text_of_a_book_is_no_markup_in_a_comment() -> None:
    evil = "<script>alert(1)</script> @everyone [x](https://example.com) `rm` | *b*"
    given = files()
    path = "procedures/coolant.yaml"
    edit = given[path].replace(b"exceeded: Reduce power.", f'exceeded: "{evil}"'.encode())
    found = review_of(read(given), read({**given, path: edit}))
    comment, page = (FORMATS[form](found, Style()) for form in ("markdown", "html"))
    for written in (comment, page):
        assert "<script>" not in written
    assert "@everyone" not in comment
    assert "](https" not in comment


def test_the_page_is_whole_in_itself(raised: Review) -> None:
    page = FORMATS["html"](raised, Style())
    assert not re.search(r"(?:src|href)=\"(?!data:)", page)
    assert "@import" not in page
    assert 'name="viewport"' in page
    assert page.count("data:image/png;base64,") >= 3
    places = [page.index(one) for one in ("Demands that are open", "<h2>Changes", "that are met")]
    assert places == sorted(places)  # what stops a change is seen first, as in a comment
    for picture in re.findall(r"<img [^>]*>", page):
        assert re.search(r'alt="[^"]+"', picture)


def test_the_colours_of_the_page_can_be_read() -> None:
    """WCAG 2.2, 1.4.3 and 1.4.6: 4.5:1, and here 7:1, by an independent library."""
    import wcag_contrast_ratio

    style = (ROOT / "build_tools/placardry/review/templates/review.html.j2").read_text("utf-8")
    light, dark = re.findall(r":root \{([^}]*)\}", style)
    for scheme in (light, dark):
        colour = dict(re.findall(r"--(\w+): (#[0-9a-f]+)", scheme))
        for ink in ("ink", "bad", "care", "good"):
            for ground in ("ground", "soft"):
                pair = (_rgb(colour[ink]), _rgb(colour[ground]))
                assert wcag_contrast_ratio.rgb(*pair) >= 7, (ink, ground)


def _rgb(text: str) -> tuple[float, ...]:
    digits = text[1:] if len(text) == 7 else "".join(2 * one for one in text[1:])
    return tuple(int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4))


def test_annotations_point_at_the_lines(raised: Review) -> None:
    first = FORMATS["annotations"](raised, Style()).splitlines()[0]
    assert first.startswith("::warning file=procedures/limits/engine-marl-230.yaml,line=9,")
    assert "LOOSENED" in first
    issues = json.loads(FORMATS["code-quality"](raised, Style()))
    assert issues[0]["location"]["lines"] == {"begin": 9}
    assert len({one["fingerprint"] for one in issues}) == len(issues)


def test_the_policy_of_the_earlier_side_holds() -> None:
    """Nobody merges past a demand by deleting it."""
    lax = "policy: {forbid: [], source: [], approval: [], urgent: []}\n"
    book = "procedures/book.yaml"
    limits = "procedures/coolant.yaml"
    strict, given = files(), files()
    given[book] += lax.encode()
    given[limits] = given[limits].replace(b"7500 rpm", b"7600 rpm")
    found = review_of(read(strict), read(given))
    assert found.exit_code == 1
    strict[book] += lax.encode()
    assert review_of(read(strict), read(given)).exit_code == 0


def test_the_command_writes_page_comment_and_pictures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new, out = tmp_path / "old", tmp_path / "new", tmp_path / "out"
    write_tree(old, files())
    given = files()
    path = "procedures/coolant.yaml"
    write_tree(new, {**given, path: given[path].replace(b"7500 rpm", b"7600 rpm")})
    command = ["review", str(old), str(new), "--book", str(new)]
    assert cli.main([*command, "--out", str(out)]) == 1
    assert "7500 rpm → 7600 rpm, +100 rpm (+1.33 %), LOOSENED, on Tern" in " ".join(
        capsys.readouterr().out.split()
    )
    assert {one.name for one in out.iterdir()} >= {PAGE, "review.md", "review.json"}
    assert cli.main([*command, "--out", str(out), "--format", "json"]) == 1  # again, over its own
    assert json.loads(capsys.readouterr().out)["changes"]
    assert cli.main([*command, "--out", str(new)]) == 2
    assert cli.main(["review", str(old), str(old), "--book", str(old)]) == 0
    assert "no change of meaning" in capsys.readouterr().out


def test_a_review_in_a_file_is_not_printed_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    write_tree(old, files())
    given, path = files(), "procedures/coolant.yaml"
    write_tree(new, {**given, path: given[path].replace(b"7500 rpm", b"7600 rpm")})
    command = ["review", str(old), str(new), "--book", str(new)]

    def said(out: str, *more: str) -> tuple[str, str]:
        assert cli.main([*command, "--out", str(tmp_path / out), *more]) == 1
        told = capsys.readouterr()
        written = tmp_path / told.err.removeprefix("wrote ").removesuffix("\n")
        return told.out, written.read_text("utf-8")

    for more in ((), ("--format", "html")):
        printed, page = said("page.html", *more)
        assert (printed, page[:15]) == ("", "<!DOCTYPE html>")
    printed, page = said("folder", "--format", "html")
    assert (printed, page[:15]) == ("", "<!DOCTYPE html>")
    assert said("said.md")[1].startswith(MARKER)
    assert json.loads(said("said.json")[1])["changes"]
    assert json.loads(said("marks.json", "--format", "code-quality")[1])[0]["location"]
    assert said("said.txt")[1].startswith("1 change: 1 loosened")
    assert said("marks.txt", "--format", "annotations")[1].startswith("::warning file=")
    for own in ("page.html", "said.md", "said.json", "said.txt", "marks.txt"):
        said(own)  # a former review may be replaced
    said("marks.json")


@pytest.mark.parametrize("out", ["notes.md", "page.html", "data.json", "said.txt", "marks.json"])
def test_a_review_replaces_nothing_but_reviews(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], out: str
) -> None:
    write_tree(tmp_path / "book", files())
    command = ["review", str(tmp_path / "book"), str(tmp_path / "book")]
    command += ["--book", str(tmp_path / "book"), "--out"]
    path = tmp_path / out
    assert cli.main([*command, str(path)]) == 0  # where nothing changed, too
    assert cli.main([*command, str(path)]) == 0
    for text in ("# Changes\n\nno change\n", '{"changes": 1}', '[{"description": "mine"}]'):
        path.write_text(text)
        assert cli.main([*command, str(path)]) == 2
        assert "is no review; name a new file" in capsys.readouterr().err
        assert path.read_text() == text


@pytest.mark.parametrize(
    "out", ["content/welcome.md", "content/new.md", "procedures/review", "content", "procedures"]
)
def test_a_review_is_not_written_into_the_book(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], out: str
) -> None:
    write_tree(tmp_path, {**files(), "content/welcome.md": b"# Welcome\n"})
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    command = ["review", str(tmp_path), str(tmp_path), "--book", str(tmp_path), "--out"]
    assert cli.main([*command, str(tmp_path / out)]) == 2
    assert "lies in the book; name a place elsewhere" in capsys.readouterr().err
    assert before == {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}


def test_errors_are_told_and_what_can_be_is_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    write_tree(old, files())
    given = files()
    path = "procedures/coolant.yaml"
    text = given[path].replace(b"7500 rpm", b"7600 rpm").replace(b"page 4", b"{page 4", 1)
    write_tree(new, {**given, path: text})
    assert cli.main(["review", str(old), str(new), "--book", str(new)]) == 1
    assert "sound: the book at" in capsys.readouterr().out
    (new / "procedures/book.yaml").write_text("format: 1\nbook: [", "utf-8")
    assert cli.main(["review", str(old), str(new), "--book", str(new)]) == 1
    assert "sound" in capsys.readouterr().out
    assert cli.main(["review", str(new), str(old), "--book", str(new)]) == 2
    assert "cannot be read" in capsys.readouterr().err


def test_two_editions_are_compared_from_the_ledger(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_tree(tmp_path, files())
    book = ["--book", str(tmp_path)]
    by = ["--by", "A. Reviewer", "--author", "A. Writer", "--summary", "News."]
    assert cli.main(["release", *book, *by, "--on", "2026-02-01"]) == 0
    limits = tmp_path / "procedures/coolant.yaml"
    limits.write_text(limits.read_text("utf-8").replace("7500 rpm", "7600 rpm"), "utf-8")
    assert cli.main(["release", *book, *by, "--on", "2026-03-01"]) == 0
    capsys.readouterr()
    assert cli.main(["review", "1", "2", *book, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    (one,) = (one for one in data["changes"] if one["kind"] == "limit")
    assert (one["id"], one["direction"]) == ("engine-speed-maximum", "loosened")
    assert (one["before"], one["after"]) == ({"rpm": "7500\u00a0rpm"}, {"rpm": "7600\u00a0rpm"})
    assert one["machines"] == ["tern"]
    assert data["demands"] == []
    assert cli.main(["review", "2", "1", *book]) == 0
    assert "TIGHTENED" in capsys.readouterr().out
    assert cli.main(["review", "1", "3", *book]) == 2
    assert "issued are: 1, 2" in capsys.readouterr().err
