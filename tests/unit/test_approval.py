"""Approving: who approved which meaning, bound by a digest, so that an edit after it is seen."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from placardry import cli
from placardry.approval import HEAD, PATH, Approved, approve
from placardry.errors import PlacardryError
from placardry.files import write_tree
from placardry.prepared import Prepared, judge
from tests.books import files

DAY = date(2026, 2, 3)
SPEED = "limit/engine-speed-maximum"
FIRST = f"{HEAD}approvals:\n  - {{of: {SPEED}, by: A. Reviewer, on: 2026-02-03, digest: "


def approved(book: dict[str, bytes], *names: str, by: str = "A. Reviewer") -> Approved:
    return approve(judge(book), names, by, DAY)


def then(book: dict[str, bytes], *names: str, by: str = "A. Reviewer") -> dict[str, bytes]:
    """The book with the approval written into it."""
    return {**book, PATH: approved(book, *names, by=by).file}


def told(prepared: Prepared) -> list[str]:
    return [f"{one.rule.name}: {one.message}" for one in prepared.findings]


def edited(book: dict[str, bytes], old: str, new: str) -> dict[str, bytes]:
    path = "procedures/coolant.yaml"
    assert old.encode() in book[path]
    return {**book, path: book[path].replace(old.encode(), new.encode())}


def test_an_approval_is_written_and_holds() -> None:
    book = then(files(), SPEED)
    assert book[PATH].decode().startswith(FIRST)
    assert told(judge(book)) == []


@pytest.mark.parametrize("name", ["engine-speed-maximum", SPEED])
def test_a_name_is_enough_where_it_is_unique(name: str) -> None:
    assert approved(files(), name).new == (SPEED,)


def test_an_edit_after_it_is_found() -> None:
    book = edited(then(files(), SPEED), "7500 rpm", "7600 rpm")
    (one,) = judge(book).findings
    assert one.rule.name == "stale-approval"
    assert f"placardry approve {SPEED}" in one.mend


def test_another_order_of_keys_is_no_edit() -> None:
    old = "    source: page 4\n    exceeded: Reduce power.\n"
    new = "    exceeded: Reduce power.\n    source: page 4\n"
    assert told(judge(edited(then(files(), SPEED), old, new))) == []


def test_approving_again_replaces_the_stale_one() -> None:
    book = edited(then(files(), SPEED), "7500 rpm", "7600 rpm")
    again = then(book, SPEED, by="B. Reader")
    assert told(judge(again)) == []
    assert again[PATH].decode().count("of:") == 1
    assert "B. Reader" in again[PATH].decode()


def test_what_is_approved_already_is_left_alone() -> None:
    book = then(files(), SPEED)
    found = approved(book, SPEED, "coolant", by="B. Reader")
    assert [one.by for one in found.kept] == ["A. Reviewer"]
    assert found.new == ("scale/coolant",)
    assert book[PATH].splitlines()[2] in found.file.splitlines()


def test_same_content_same_bytes() -> None:
    one = then(then(files(), SPEED), "coolant", "task/coolant-level")
    other = then(then(files(), "coolant-level"), "scale/coolant", SPEED)
    assert one[PATH] == other[PATH]
    names = [line.split()[2] for line in one[PATH].decode().splitlines()[2:]]
    assert names == sorted(names)
    assert len(names) == 3


def test_comments_at_the_head_stay() -> None:
    book = {**then(files(), SPEED)}
    book[PATH] = b"# ours\r\n" + book[PATH]
    assert then(book, "coolant")[PATH].startswith(b"# ours")


@pytest.mark.parametrize("by", ["O'Neil", "Ö. Äßler", "X: #1, {Y}", 'Q "Z" \\', "- A", "A #b"])
def test_any_name_of_a_person_comes_back_as_it_was(by: str) -> None:
    book = judge(then(files(), SPEED, by=by)).book
    assert book is not None
    assert [one.by for one in book.approvals] == [by]


@pytest.mark.parametrize(
    ("book", "name", "by", "words"),
    [
        (files(), "limit/engine-sped-maximum", "A", "did you mean `limit/engine-speed-maximum`"),
        (files(), "engine-speed-maximun", "A", "did you mean `engine-speed-maximum`"),
        (files(), "scale/zzz", "A", "there is no `scale/zzz`"),
        (files(), SPEED, " 1 ", "nobody is named"),
        (files(), SPEED, "A\x00B", "nobody is named"),
        (files(broken="limits: {x: {maximum: 1 rmp}}"), SPEED, "A", "a book with errors"),
        (
            files(fact='document: marl-manual\nfacts:\n  fire: {nominal: 5 A, source: "p"}'),
            "fire",
            "A",
            "the name of several: fact/fire, procedure/fire",
        ),
        (
            files(more=f"approvals: [{{of: {SPEED}, by: A, on: 2026-01-01, digest: 00}}]"),
            SPEED,
            "A",
            "stands in procedures/more.yaml, line 1; remove it",
        ),
        (files(), "limit", "A", "name each one that was read, as in `limit/engine-speed-maximum`"),
        (
            files(approvals='document: marl-manual\nfacts: {a: {nominal: 5 A, source: "p"}}'),
            SPEED,
            "A",
            "holds `document:` too",
        ),
    ],
)
def test_what_is_refused(book: dict[str, bytes], name: str, by: str, words: str) -> None:
    if "errors" in words:
        assert told(judge(book))
    with pytest.raises(PlacardryError) as refused:
        approved(book, name, by=by)
    assert words in str(refused.value)


def test_the_command_writes_and_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_tree(tmp_path, files())
    command = ["approve", SPEED, "--by", "A. Reviewer", "--on", "2026-02-03", "--book"]
    assert cli.main([*command, str(tmp_path)]) == 0
    assert f"approved `{SPEED}`" in capsys.readouterr().out
    written = (tmp_path / PATH).read_bytes()
    assert written == then(files(), SPEED)[PATH]
    assert cli.main([*command, str(tmp_path)]) == 0
    assert "says what A. Reviewer approved on 2026-02-03" in capsys.readouterr().out
    assert (tmp_path / PATH).read_bytes() == written


def test_the_command_refuses_with_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_tree(tmp_path, files())
    ask = ["approve", "limit/x", "--by", "A", "--on", "2026-02-03", "--book", str(tmp_path)]
    assert cli.main(ask) == 2
    assert "there is no `limit/x`" in capsys.readouterr().err
    assert not (tmp_path / PATH).exists()


def test_who_wrote_it_is_kept_and_may_not_approve_it() -> None:
    prepared = judge(files())
    made = approve(prepared, [SPEED], "A. Reviewer", DAY, author="A.  Writer")
    assert ", by: A. Reviewer, author: A. Writer, on: 2026-02-03, " in made.file.decode()
    assert told(judge({**files(), PATH: made.file})) == []
    with pytest.raises(PlacardryError, match="let somebody else read it"):
        approve(prepared, [SPEED], "A. Writer", DAY, author="a. writer")
    alone = files()
    alone["procedures/book.yaml"] += b"policy: {author-approves: yes}\n"
    kept = approve(judge(alone), [SPEED], "A. Writer", DAY, author="A. Writer")
    assert told(judge({**alone, PATH: kept.file})) == []
    # The same words without that policy are found.
    assert "approved-by-author: " in told(judge({**files(), PATH: kept.file}))[0]
