"""A review for programs: JSON, and the forms in which two forges take marks beside the lines."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from placardry.finding import Span
from placardry.review.judged import Review, Style, headline
from placardry.review.seen import Seen


def as_json(review: Review, style: Style) -> str:
    """A review as one JSON object.

    Shape: `{"changes": [{change, direction, kind, id, part, what, machines, before, after, size,
    share, condition, sources: {before, after}, approval, causes, pages, cards, file, line,
    old_file, old_line}], "demands": [{demand, met, why}]}`; `before` and `after` are the figure by
    unit, the words of a text, or null.
    """
    del style
    demands = [{"demand": one.demand, "met": one.met, "why": one.why} for one in review.demands]
    entries = {"changes": [_entry(one) for one in review.changes], "demands": demands}
    return json.dumps(entries, ensure_ascii=False, indent=2) + "\n"


def _entry(seen: Seen) -> dict[str, object]:
    return {
        "change": seen.change,
        "direction": seen.direction,
        "kind": seen.kind,
        "id": seen.id,
        "part": seen.part,
        "what": seen.what,
        "machines": list(seen.machines),
        "before": _value(seen.before),
        "after": _value(seen.after),
        "size": dict(seen.size),
        "share": seen.share,
        "condition": seen.condition,
        "sources": {"before": seen.sources[0], "after": seen.sources[1]},
        "approval": seen.approval,
        "causes": list(seen.causes),
        "pages": list(seen.pages),
        "cards": list(seen.cards),
        "file": seen.place.path if seen.place else None,
        "line": seen.place.line if seen.place else None,
        "old_file": seen.old_place.path if seen.old_place else None,
        "old_line": seen.old_place.line if seen.old_place else None,
    }


def _value(shown: Mapping[str, str]) -> object:
    """The figure by unit, the text alone where it is one, or None."""
    if not shown:
        return None
    return shown[""] if set(shown) == {""} else dict(shown)


_LEVELS = {"loosened": "warning", "undecided": "warning", "tightened": "warning"}


def as_annotations(review: Review, style: Style) -> str:
    """Workflow commands, which GitHub shows beside the lines; the most dangerous come first.

    Source: GitHub Docs, "Workflow commands for GitHub Actions", setting a warning message.
    """
    del style
    return "".join(
        f"::{_LEVELS.get(one.direction, 'notice')} "
        f"file={_property(review.history.prefix + place.path)},line={place.line},"
        f"title={_property(one.direction)}::{_data(headline(one))}\n"
        for one, place in _placed(review)
    )


def _placed(review: Review) -> list[tuple[Seen, Span]]:
    """The changes that stand, or stood, in a file."""
    both = ((one, one.place or one.old_place) for one in review.changes)
    return [(one, place) for one, place in both if place is not None]


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


_SEVERITIES = {"loosened": "critical", "undecided": "major", "tightened": "major"}


def as_code_quality(review: Review, style: Style) -> str:
    """A list of issues, which GitLab shows beside the lines.

    Source: GitLab Docs, "Code Quality", code quality report format.
    """
    del style
    issues = [
        {
            "description": headline(one),
            "check_name": f"placardry-{one.direction}",
            "fingerprint": hashlib.sha256(headline(one).encode()).hexdigest(),
            "severity": _SEVERITIES.get(one.direction, "info"),
            "location": {
                "path": review.history.prefix + place.path,
                "lines": {"begin": place.line},
            },
        }
        for one, place in _placed(review)
    ]
    return json.dumps(issues, ensure_ascii=False, indent=2) + "\n"
