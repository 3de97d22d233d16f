"""`policy:` in `procedures/book.yaml`: what a change demands before it may be merged."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from placardry.book.record import Part, record
from placardry.finding import Span
from placardry.nodes import Mapping

if TYPE_CHECKING:
    from placardry.book.settings import BookSettings

CitingKind = Literal["limit", "scale", "fact"]
# The kinds of record that say what an owner does or keeps to.
ApprovedKind = Literal[
    "limit",
    "scale",
    "fact",
    "derived",
    "condition",
    "alarm",
    "setting",
    "procedure",
    "task",
    "fault",
    "card",
    "page",
]
Forbidden = Literal["loosened-without-source", "removed-limit", "removed-hazard"]
Urgent = Literal["tightened", "added-limit", "added-hazard"]
When = Literal["no", "at-release", "now"]


@record
class Policy(Part):
    """What a change of the book demands; without a policy, what stands here by default.

    Attributes:
        source: the kinds of which a changed figure must cite a changed place or document
        approval: the kinds of which a change must be approved by a person as it now stands
        author_approves: whether who wrote a change may also approve it
        forbid: what may not be merged without its reason, whoever approves it
        reprint: when changed faces of cards must be printed anew; `now` is in the same change
        urgent: what owners of the last edition must be told of at once
        notice: when they must be told; `now` is by an edition in the same change
    """

    source: tuple[CitingKind, ...] = ("limit", "scale")
    approval: tuple[ApprovedKind, ...] = ("limit", "scale", "alarm")
    author_approves: bool = False
    forbid: tuple[Forbidden, ...] = ("loosened-without-source", "removed-limit", "removed-hazard")
    reprint: When = "at-release"
    urgent: tuple[Urgent, ...] = ("tightened", "added-limit", "added-hazard")
    notice: When = "at-release"


DEFAULT = Policy(places=Mapping((), Span("procedures/book.yaml")))


def policy_of(settings: BookSettings) -> Policy:
    """The policy of a book: its own, or the default one."""
    return settings.policy or DEFAULT


def same(one: str, other: str) -> bool:
    """Whether two names are one person's, written in whatever case and spacing."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()
