"""The rules explained: each is its own manual, kept above its check."""

from __future__ import annotations

import importlib
import json
import textwrap
from collections.abc import Mapping
from functools import cache
from typing import Any

from placardry.errors import PlacardryError
from placardry.finding import Rule, did_you_mean
from placardry.rules.manual import RuleManual, manual_of
from placardry.rules.registry import CHECKS

# Where readers and writers declare the rules that they report themselves.
DECLARED_IN = (
    "files",
    "source_text",
    "yaml_rules",
    "syntax_rules",
    "markdown_rules",
    "references",
    "shapes",
    "rules.acceptances",
    "paper.faults",
    "audit.texts_told",
    "audit.told",
    "notice",
    "recall",
)


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by its name, sorted by family and name."""
    found = {rule.name: rule for rule in CHECKS}
    for name in DECLARED_IN:
        for value in vars(importlib.import_module(f"placardry.{name}")).values():
            several = value.values() if isinstance(value, Mapping) else (value,)
            found.update({one.name: one for one in several if isinstance(one, Rule)})
    families = list(type(next(iter(found.values())).family))
    return dict(sorted(found.items(), key=lambda item: (families.index(item[1].family), item[0])))


def listing(width: int = 80) -> str:
    """Every rule in one line or two, by family."""
    lines: list[str] = []
    family = None
    for rule in rules().values():
        if rule.family != family:
            family = rule.family
            lines += ["", str(family)]
        head = f"  {rule.name} ({rule.severity})"
        indent = " " * 6
        lines.append(head)
        lines += textwrap.wrap(rule.summary, width, initial_indent=indent, subsequent_indent=indent)
    lines += ["", f"{len(rules())} rules; `placardry explain RULE` tells one whole."]
    return "\n".join(lines).lstrip("\n") + "\n"


def one(name: str, width: int = 80) -> str:
    """The manual of one rule.

    Raises:
        PlacardryError: there is no rule of this name.
    """
    rule = _rule(name)
    manual = manual_of(rule)
    parts = [f"{rule.name}\n{rule.severity}, {rule.family}"]
    parts += [textwrap.fill(text, width) for text in (f"{manual.summary}.", *_rationale(manual))]
    if manual.source:
        parts.append(textwrap.fill(f"Source: {manual.source}", width))
    for title, files in (("Wrong:", manual.shown_bad), ("Right:", manual.shown_good)):
        if files:
            parts.append(title + "\n" + _shown(files))
    return "\n\n".join(parts) + "\n"


def _rule(name: str) -> Rule:
    if name not in rules():
        hint = did_you_mean(name, rules(), "`placardry explain` lists them")
        raise PlacardryError(f"there is no rule `{name}`; {hint}")
    return rules()[name]


def _rationale(manual: RuleManual) -> list[str]:
    return manual.rationale.split("\n\n") if manual.rationale else []


def _shown(files: Mapping[str, str]) -> str:
    return "\n".join(
        f"  {path}\n" + textwrap.indent(text.rstrip(), "      ") for path, text in files.items()
    )


def as_json(name: str | None = None) -> str:
    """One rule, or every one, with its manual; `bad` and `good` are whole small books by path.

    Raises:
        PlacardryError: there is no rule of this name.
    """
    listed: list[dict[str, Any]] = []
    for rule in rules().values() if name is None else (_rule(name),):
        manual = manual_of(rule)
        listed.append(
            {
                "rule": rule.name,
                "family": str(rule.family),
                "severity": str(rule.severity),
                "summary": manual.summary,
                "rationale": manual.rationale,
                "source": manual.source,
                "bad": _texts(manual.bad),
                "good": _texts(manual.good),
            }
        )
    return json.dumps({"rules": listed}, ensure_ascii=False, indent=1) + "\n"


def _texts(book: Mapping[str, bytes]) -> dict[str, str]:
    # The one example with a byte that is no text becomes U+FFFD, which is the same mistake.
    return {path: data.decode("utf-8", "replace") for path, data in book.items()}
