from __future__ import annotations

import pytest

from placardry.finding import Finding
from placardry.markdown_reader import MOST_LEVELS, read_page
from placardry.nodes import Mapping, Scalar, Sequence

PAGE = """---
applies: {engine: marl-230}
---
# First start #

Warm the engine until it is inside {coolant.green}.

| a | b |
|---|---|
| 1 | 2 |

````applies {option: heater}
## Heater

```hazard
signal: warning
hazard: turning propeller
```
Switch it off.
````

```quotation
Max. 40 min
```
"""


def read(text: str) -> tuple[Mapping | None, tuple[Finding, ...]]:
    return read_page("content/x.md", text.encode())


def passages(page: Mapping | None) -> list[Mapping]:
    assert page is not None
    found = page.get("passages")
    assert isinstance(found, Sequence)
    return [item for item in found.items if isinstance(item, Mapping)]


def text_at(node: Mapping, name: str) -> str:
    found = node.get(name)
    assert isinstance(found, Scalar)
    return found.text


def test_a_page_in_the_shape_of_its_record() -> None:
    page, findings = read(PAGE)
    assert findings == ()
    assert page is not None
    assert list(page) == ["applies", "title", "path", "passages"]
    assert text_at(page, "title") == "First start"
    assert page.at("title")[1:] == (4, 3, 4, 14)
    assert page.at("applies", "engine")[1:] == (2, 19, 2, 27)
    prose, heater, hazard, after, quoted = passages(page)
    assert text_at(prose, "markdown").startswith("Warm the engine")
    assert text_at(prose, "markdown").endswith("| 1 | 2 |")
    assert [text_at(each, "line") for each in (prose, heater, after, quoted)] == [
        "6", "13", "19", "23"
    ]  # fmt: skip
    assert "applies" not in prose
    assert heater.at("applies", 0, "option")[1:] == (12, 22, 12, 28)
    assert hazard.at("hazard", "hazard")[1:] == (17, 9, 17, 26)
    assert "applies" in hazard
    assert text_at(after, "markdown") == "Switch it off."
    assert text_at(quoted, "quotation") == "yes"


CASES = [
    ("# T\n\nStop <b>now</b>.\n", "html-in-markdown", (3, 6)),
    ("# T\n\n```hazard\nsignal: danger\n\n```quotation\nx\n```\n", "malformed-block", (3, 1)),
    ("# T\n\nStop &nbsp; now.\n", "html-in-markdown", (3, 6)),
    ("# T\n\nSee <https://example.org>.\n", "html-in-markdown", (3, 5)),
    ("# T\n\n<!-- hidden -->\n", "html-in-markdown", (3, 1)),
    ("# T\n\n!!! note\n    x\n", "foreign-markup", (3, 1)),
    ("# T\n\n??? note\n", "foreign-markup", (3, 1)),
    ('# T\n\n=== "tab"\n', "foreign-markup", (3, 1)),
    ("# T\n\n> words\n", "foreign-markup", (3, 1)),
    ("# T\n\nWords\n-----\n", "foreign-markup", (4, 1)),
    ("# T\n\nPress :material-play: now\n", "foreign-markup", (3, 7)),
    ("# T\n\nSee [[Page]].\n", "foreign-markup", (3, 5)),
    ("# T\n\nSee this[^1].\n", "foreign-markup", (3, 9)),
    ("# T\n\nIt is $x^2$.\n", "foreign-markup", (3, 7)),
    ("# T\n\n- [ ] done\n", "foreign-markup", (3, 1)),
    ("# T\n\nIt is ==hot==.\n", "foreign-markup", (3, 7)),
    ("# T\n\n```warning\nx\n```\n", "malformed-block", (3, 1)),
    ("# T\n\n```\nx\n```\n", "malformed-block", (3, 1)),
    ("# T\n\n- a\n\n  ```hazard\n  x: y\n  ```\n", "malformed-block", (5, 1)),
    ("# T\n\n```quotation\nx\n", "malformed-block", (3, 1)),
    ("# T\n\n```applies\nx\n```\n", "malformed-block", (3, 1)),
    ("# T\n\n```hazard\n```\n", "malformed-block", (3, 1)),
    ("# T\n\nSee [x](javascript:a).\n", "unsafe-link", (3, 9)),
    ("# T\n\nSee ![x](data:image/png).\n", "unsafe-link", (3, 10)),
    ("# T\n\n[x]: file:///etc\n", "unsafe-link", (3, 6)),
    ("Words alone.\n", "page-without-title", (1, 1)),
    ("", "page-without-title", (1, 1)),
    ("# T\n\n# Second\n", "second-title", (3, 1)),
    ("---\nchapter: x\nchapter: y\n---\n# T\n", "duplicate-key", (3, 1)),
    ("---\ntitle: x\n---\n# T\n", "duplicate-key", (2, 1)),
    ("---\nchapter: x\n\n# T\n", "malformed-block", (1, 1)),
    ("# T\n\n```applies {engine: &x y}\nz\n```\n", "alias", (3, 21)),
    ("# T\n\n```hazard\nsignal: a: b\n```\n", "text-needs-quotes", (4, 9)),
]


@pytest.mark.parametrize(("text", "rule", "where"), CASES)
def test_one_mistake_gives_one_finding(text: str, rule: str, where: tuple[int, int]) -> None:
    _, findings = read(text)
    found = [(finding.rule.name, finding.span.line, finding.span.column) for finding in findings]
    assert found == [(rule, *where)]


@pytest.mark.parametrize(
    "line",
    [
        "It costs $5, not $10.",
        "From 10:30:00 to 11:00:00.",
        "a < b and b > c",
        "Press `<b>` and `:x:` once.",
        "See [x](https://example.org), [y](mailto:a@example.org) and [z](other.md#part).",
        "![panel](pictures/panel.png)",
        "| a | b |\n|---|---|\n| 1 | 2 |",
        "Words\n\n---\n\nwords",
        "**bold** and *soft*",
        "Fish & chips; R&D.",
        "1. one\n2. two",
    ],
)
def test_no_false_alarm(line: str) -> None:
    page, findings = read(f"# T\n\n{line}\n")
    assert findings == ()
    assert page is not None


def test_blocks_nest_only_so_deep() -> None:
    def nested(depth: int) -> str:
        opened = [f"{'`' * n}applies {{engine: x}}" for n in range(depth + 2, 2, -1)]
        closed = ["`" * n for n in range(3, depth + 3)]
        return "\n".join(["# T", "", *opened, "x", *closed]) + "\n"

    assert read(nested(MOST_LEVELS))[1] == ()
    assert [finding.rule.name for finding in read(nested(2000))[1]] == ["malformed-block"]
