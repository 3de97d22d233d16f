"""Rules on approvals and editions: that they speak of what stands in the book."""

from __future__ import annotations

from collections.abc import Iterator

from placardry.book import KINDS
from placardry.book.policy import policy_of, same
from placardry.finding import Family, Note, Severity, did_you_mean
from placardry.meaning import digest
from placardry.rules.registry import Problem, Subject, rule


@rule(Severity.ERROR, Family.SOURCES)
def approval_of_nothing(subject: Subject) -> Iterator[Problem]:
    """An approval names a record that is not in the book.

    Bad:
        procedures/approvals.yaml
            approvals:
              - {of: limit/engine-speed, by: A. Reviewer, on: 2026-01-20, digest: 0123456789abcdef}
    Good:
        procedures/approvals.yaml
            approvals:
              - of: limit/engine-speed-maximum
                by: A. Reviewer
                on: 2026-01-20
                digest: e79bbea39c3fb3b7
    """
    records = subject.book.records
    for one in subject.book.approvals:
        kind, _, name = one.of.partition("/")
        if name in records.get(kind, {}) or one.of in subject.book.broken:
            continue
        known = [f"{kind}/{name}" for kind in KINDS for name in records.get(kind, {})]
        mend = did_you_mean(one.of, known, "write `KIND/NAME`, such as `limit/oil-pressure`")
        yield Problem(one.places.at("of"), f"there is no `{one.of}` to approve", mend)


@rule(Severity.WARNING, Family.SOURCES)
def stale_approval(subject: Subject) -> Iterator[Problem]:
    """A record says something else than what was approved.

    An approval is bound to the content by a digest, so an edit after it is seen.

    Bad:
        procedures/approvals.yaml
            approvals:
              - of: limit/engine-speed-maximum
                by: A. Reviewer
                on: 2026-01-20
                digest: 0123456789abcdef
    Good:
        procedures/approvals.yaml
            approvals:
              - of: limit/engine-speed-maximum
                by: A. Reviewer
                on: 2026-01-20
                digest: e79bbea39c3fb3b7
    """
    for one in subject.book.approvals:
        kind, _, name = one.of.partition("/")
        found = subject.book.records.get(kind, {}).get(name, ())
        now = digest(found)
        if found and now != one.digest:
            message = f"`{one.of}` has changed since {one.by} approved it on {one.on}"
            mend = f"let it be read again, then `placardry approve {one.of} --by … --on …`"
            notes = tuple(Note(record.places.span, "what stands there now") for record in found)
            yield Problem(one.places.at("digest"), message, mend, notes)


@rule(Severity.WARNING, Family.SOURCES)
def missing_approval(subject: Subject) -> Iterator[Problem]:
    """A record of a kind that the book wants approved has no approval.

    `approve:` in `procedures/book.yaml` lists those kinds.

    Bad:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
            approve: limit
    Good:
        procedures/book.yaml
            format: 1
            book: specimen
            title: Owner's manual
            publisher: Specimen Flight
            dated: 2026-01-31
            safety: Powered flight can kill.
            approve: limit
        procedures/approvals.yaml
            approvals:
              - of: limit/engine-speed-maximum
                by: A. Reviewer
                on: 2026-01-20
                digest: e79bbea39c3fb3b7
    """
    approved = {one.of for one in subject.book.approvals}
    for kind in subject.book.settings.approve:
        for name, found in subject.book.records.get(kind, {}).items():
            if f"{kind}/{name}" not in approved:
                mend = f"let it be read, then `placardry approve {kind}/{name} --by … --on …`"
                message = f"nobody has approved `{kind}/{name}`"
                yield Problem(found[0].places.span, message, mend)


@rule(Severity.ERROR, Family.SOURCES)
def approved_by_author(subject: Subject) -> Iterator[Problem]:
    """An approval is by the author of what it approves, which the book's policy does not allow.

    Nobody sees their own slip: who wrote a figure reads what they meant. `author-approves: yes`
    under `policy:` in `procedures/book.yaml` allows it, for a publisher who works alone.

    Source: common practice, no source.

    Bad:
        procedures/approvals.yaml
            approvals:
              - {of: limit/engine-speed-maximum, by: A. Writer, author: A. Writer, on: 2026-01-20,
                 digest: e79bbea39c3fb3b7}
    Good:
        procedures/approvals.yaml
            approvals:
              - {of: limit/engine-speed-maximum, by: A. Reviewer, author: A. Writer,
                 on: 2026-01-20, digest: e79bbea39c3fb3b7}
    """
    if policy_of(subject.book.settings).author_approves:
        return
    for one in subject.book.approvals:
        if one.author is not None and same(one.author, one.by):
            message = f"`{one.of}` was approved by its author, {one.by}"
            mend = f"let somebody else read it, then `placardry approve {one.of} --by … --on …`"
            yield Problem(one.places.at("by"), message, mend)
