"""What the policy of a book demands of a change, and whether it is met.

The policy is that of the earlier side: a change that loosens the policy is still judged by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from placardry.book import Book
from placardry.book.policy import Policy, same
from placardry.book.sources import Approval
from placardry.editions import latest_edition
from placardry.meaning import digest
from placardry.review.seen import Seen

CITING = ("limit", "scale", "fact")
LIMITS = ("limit", "scale")


@dataclass(frozen=True)
class Demand:
    """One thing demanded.

    Attributes:
        demand: its name: source, approval, reprint, notice, sound, or what is forbidden
        why: what was found, and what to do where it is not met
    """

    demand: str
    met: bool
    why: str


@dataclass(frozen=True)
class Case:
    """What is judged: the changes between two books, who wrote them, and the faces that changed."""

    changes: Sequence[Seen]
    before: Book
    after: Book
    authors: tuple[str, ...] = ()
    faces: tuple[str, ...] = ()

    def of(self, kinds: Iterable[str]) -> dict[str, list[Seen]]:
        """The changes that matter for safety, of records of these kinds, by record.

        What comes through another record, such as a named condition, is demanded of that one.
        """
        found: dict[str, list[Seen]] = {}
        for one in self.changes:
            if one.kind in kinds and one.direction != "neutral":
                for of in one.causes or (one.of,):
                    found.setdefault(of, []).append(one)
        return found


def demands(policy: Policy, case: Case) -> tuple[Demand, ...]:
    """All that is demanded, what is not met first."""
    found = [
        *_forbidden(policy, case),
        *_sources(policy, case),
        *_approvals(policy, case),
        *_notices(policy, case),
        *_reprints(policy, case),
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda one: one.met))


def _forbidden(policy: Policy, case: Case) -> Iterator[Demand]:
    if "loosened-without-source" in policy.forbid:
        for of, seen in case.of(CITING).items():
            own, through = _parted(of, [one for one in seen if _is_looser(one)])
            if own and not any(one.has_new_source for one in own):
                cited = own[0].sources[1] or "no source"
                why = f"`{of}` is loosened and still cites {cited}; cite what allows it, "
                yield Demand("loosened-without-source", False, why + "or take it back")
            if through:
                why = f"`{of}` loosens {through}, without another source; cite at each what "
                yield Demand("loosened-without-source", False, why + "allows it, or take it back")
    if "removed-limit" in policy.forbid:
        yield from _removed_limits(case)
    if "removed-hazard" in policy.forbid:
        yield from _removed_hazards(policy, case)


def _parted(of: str, seen: Iterable[Seen]) -> tuple[list[Seen], str]:
    """The changes of a record itself; and what others change through it that cite nothing new."""
    own, others = [], []
    for one in seen:
        if one.of == of:
            own.append(one)
        elif not one.has_new_source:
            others.append(f"`{one.of}`")
    return own, _listed(others)


def _is_looser(one: Seen) -> bool:
    return one.direction == "loosened" and one.is_figure and one.change != "removed"


def _removed_limits(case: Case) -> Iterator[Demand]:
    for of, seen in case.of(LIMITS).items():
        for one in seen:
            if one.change != "removed" or one.causes:
                continue
            met, why = _reason_gone(case, one)
            yield Demand("removed-limit", met, f"`{of}` is removed{why}")


def _reason_gone(case: Case, one: Seen) -> tuple[bool, str]:
    """Whether something explains that a limit is gone, and what."""
    left = [name for name in one.machines if name in case.after.records.get("machine", {})]
    if one.machines and not left:
        return True, " with the only machines that it held on"
    if one.has_new_source:
        return True, f", and the document that it cited is another: {one.sources[0]}"
    heirs = [
        other
        for other in case.changes
        if other.change == "added" and other.kind in LIMITS and _parameter(case, other, one)
    ]
    if heirs:
        return True, f", and `{heirs[0].of}` takes its place"
    return False, "; keep it, or bring the document that drops it"


def _parameter(case: Case, new: Seen, old: Seen) -> bool:
    """Whether a new limit is on the parameter of an old one, on all of its machines."""
    there = case.before.records.get(old.kind, {}).get(old.id, ())
    here = case.after.records.get(new.kind, {}).get(new.id, ())
    parameters = {getattr(one, "parameter", None) for one in (*there, *here)}
    return bool(here) and len(parameters) == 1 and set(old.machines) <= set(new.machines)


def _removed_hazards(policy: Policy, case: Case) -> Iterator[Demand]:
    for one in case.changes:
        if one.change != "hazard removed" or one.causes:
            continue
        met, why = _approved(policy, case, one.of)
        yield Demand("removed-hazard", met, f"a safety message of `{one.of}` is removed; {why}")


def _sources(policy: Policy, case: Case) -> Iterator[Demand]:
    is_told = "loosened-without-source" in policy.forbid  # there, what is loosened
    for of, seen in case.of(policy.source).items():
        changed = [one for one in seen if one.is_figure and one.change != "removed"]
        own, _ = _parted(of, changed)
        if any(one.has_new_source for one in own):
            old, new = own[0].sources
            why = f"`{of}` cites {new}" + (f", and cited {old}" if old and old != new else "")
            yield Demand("source", True, why)
        elif own and not (is_told and any(_is_looser(one) for one in own)):
            why = f"`{of}` has another figure and cites what it cited"
            if all(one.change == "added" for one in own):
                why = f"`{of}` is new and cites nothing"
            yield Demand("source", False, f"{why}; cite the place or the edition that says so")
        _, through = _parted(of, [one for one in changed if not (is_told and _is_looser(one))])
        if through:
            why = f"`{of}` changes {through}, without another source; cite at each what says so"
            yield Demand("source", False, why)


def _approvals(policy: Policy, case: Case) -> Iterator[Demand]:
    for of in case.of(policy.approval):
        kind, _, name = of.partition("/")
        if name in case.after.records.get(kind, {}):
            met, why = _approved(policy, case, of)
            yield Demand("approval", met, why)


def approval_of(book: Book, of: str) -> tuple[Approval | None, Approval | None]:
    """The approval of a record as it stands, and the latest one of another content."""
    kind, _, name = of.partition("/")
    now = digest(book.records.get(kind, {}).get(name, ()))
    own = [one for one in book.approvals if one.of == of]
    holding = [one for one in own if one.digest == now]
    stale = [one for one in own if one.digest != now]
    return (holding[-1] if holding else None), (stale[-1] if stale else None)


def _approved(policy: Policy, case: Case, of: str) -> tuple[bool, str]:
    """Whether a person who may has approved a record as it stands."""
    holding, stale = approval_of(case.after, of)
    ask = f"let it be read, then `placardry approve {of} --by … --on …`"
    if holding is None and stale is not None:
        return False, f"{stale.by} approved `{of}` on {stale.on}, before this change; {ask}"
    if holding is None:
        return False, f"nobody has approved `{of}` as it now stands; {ask}"
    wrote = [*case.authors, *([holding.author] if holding.author else [])]
    if not policy.author_approves and any(same(holding.by, author) for author in wrote):
        return False, f"{holding.by} approved `{of}` and wrote it; let somebody else read it"
    return True, f"{holding.by} approved `{of}` as it stands, on {holding.on}"


def _notices(policy: Policy, case: Case) -> Iterator[Demand]:
    urgent = [one for one in case.changes if _urgency(one) in policy.urgent]
    if policy.notice == "no" or not urgent:
        return
    names = _listed([one.what for one in urgent])
    met, why = _due(case, policy.notice, f"owners must be told at once: {names}")
    yield Demand("notice", met, why)


def _urgency(one: Seen) -> str | None:
    """What of the policy's `urgent` a change is."""
    if one.change == "hazard added":
        return "added-hazard"
    if one.change == "added" and one.kind in LIMITS:
        return "added-limit"
    return "tightened" if one.direction == "tightened" else None


def _reprints(policy: Policy, case: Case) -> Iterator[Demand]:
    if policy.reprint != "no" and case.faces:
        cards = f"{len(case.faces)} card{'' if len(case.faces) == 1 else 's'}"
        met, why = _due(
            case, policy.reprint, f"{cards} must be printed anew: {_listed(case.faces)}"
        )
        yield Demand("reprint", met, why)


def _due(case: Case, when: str, what: str) -> tuple[bool, str]:
    """Whether what owners must get is on its way: by an edition, now or when one is released."""
    old, new = (latest_edition(one.editions) for one in (case.before, case.after))
    if old is None and new is None:
        return True, f"{what}; no edition is out, so no owner has the older one"
    if new is not None and (old is None or new.number > old.number):
        return True, f"{what}; edition {new.number} brings it"
    number = new.number if new else old.number if old else 0
    if when == "at-release":
        return True, f"{what}; due with the next edition, for owners have edition {number}"
    return False, f"{what}; owners have edition {number}, so release an edition in this change"


def _listed(names: Iterable[str], most: int = 5) -> str:
    found = list(dict.fromkeys(names))
    more = len(found) - most
    return ", ".join(found[:most]) + (f" and {more} more" if more > 0 else "")
