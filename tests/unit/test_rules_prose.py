"""What the rules on words find, and above all what they leave alone."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from placardry.finding import Finding
from placardry.loader import load
from placardry.resolve import resolve
from placardry.rules import check
from placardry.rules.prose import sentences
from placardry.rules.specimen import SPECIMEN
from placardry.rules.texts import BLANK, bared


def findings(files: Mapping[str, str]) -> list[Finding]:
    """What is found in the specimen with these files laid over it."""
    book, loading = load({path: text.encode() for path, text in {**SPECIMEN, **files}.items()})
    assert book is not None
    return list(check(book, *resolve(book), loading=loading))


def in_page(words: str, names: str = "") -> list[Finding]:
    """What is found in a page that holds these words."""
    settings = SPECIMEN["procedures/book.yaml"] + (f"names: [{names}]\n" if names else "")
    page = f"# Notes\n\n{words}\n"
    found = findings({"procedures/book.yaml": settings, "content/notes.md": page})
    return [one for one in found if one.span.path == "content/notes.md"]


def stretch(finding: Finding, words: str) -> str:
    """What stands at a finding's span, which must lie in one line of the page of `in_page`."""
    span = finding.span
    assert span.line == span.end_line
    return f"# Notes\n\n{words}\n".split("\n")[span.line - 1][span.column - 1 : span.end_column - 1]


# Ordinals, dates and names by the design's invariant "one figure, one home"; the trade's words
# are common practice, no source.
FREE = [
    "Do step 3 again, see page 31, section 4.2 and table 2.",
    "On 2026-05-01, on 3 May 2026, in May 2026, since 2024 and in 2026.",
    "1. Press it.\n2. Let it go.",
    "## 2. Fuel\n\n### 2.1 Oil\n\nSee there.",
    "Circuit 1 and circuit 2, cylinders 1 and 2, plug 1, channel 3, position 2.",
    "The two plugs, the three screens, a two-stroke, a two-seater, one day, one time.",
    "Compare the two drops. After the first flight, on the second page.",
    "An M6 bolt with RON 95 petrol, IP67, a 4-blade propeller, release 2.1.3.",
    "Press both at once, once, twice.",
    "Read [the rules](https://rules.example/2026/part-103?page=12) or write to a1@mail.example.",
    "![The panel](pictures/panel-300x200.png)",
    "{coolant.red} and {coolant.green} in one sentence.",
    "The Tern has a Marl engine.",
    "```quotation\nMAX 40 min AT 90 °C\n```",
    "At 14:30 or 2:15 pm.",
    "Do it three to be sure.",
]


@pytest.mark.parametrize("words", FREE)
def test_no_typed_figure(words: str) -> None:
    assert [one.message for one in in_page(words) if one.rule.name == "typed-figure"] == []


TYPED = [
    ("Land at 90 °C.", ["90 °C"]),
    ("Land at 194 degrees Fahrenheit.", ["194 degrees Fahrenheit"]),
    ("Keep 60–80 °C, not 60 to 85 °C.", ["60–80 °C", "60 to 85 °C"]),
    ("Mix 1:50 for 11 L.", ["1:50", "11 L"]),
    ("Wait thirty seconds, then three minutes.", ["thirty seconds", "three minutes"]),
    ("A two-minute wait, a hundred hours, one hour.", ["two-minute", "hundred hours", "one hour"]),
    ("Turn it two turns and press 3 times.", ["two turns", "3 times"]),
    ("Use 4 bolts.", ["4"]),
    ("| a | b |\n| --- | --- |\n| speed | 7400 rpm |", ["7400 rpm"]),
    ("`12 V` on the **5 A** fuse", ["12 V", "5 A"]),
    ("At 50 % of the ½ L", ["50 %", "½ L"]),
    ("Use 4 {coolant.red} at 5 bar.", ["4", "5 bar"]),
]


@pytest.mark.parametrize(("words", "typed"), TYPED)
def test_typed_figures(words: str, typed: list[str]) -> None:
    found = [one for one in in_page(words) if one.rule.name == "typed-figure"]
    assert [stretch(one, words) for one in found] == typed


@pytest.mark.parametrize(
    ("words", "home"),
    [
        ("Land at 90 °C.", "{coolant.red}"),
        ("Land at 194 °F.", "{coolant.red}"),  # 90 °C exactly, as published for another market
        ("Keep it at 60 to 80 °C.", "{coolant.green}"),
        ("Never above 7500 rpm.", "{engine-speed-maximum}"),
        ("It beeps at 88 °C.", "{coolant-alarm}"),
    ],
)
def test_a_typed_figure_is_offered_its_home(words: str, home: str) -> None:
    (found,) = in_page(words)
    assert f"`{home}`" in found.mend
    assert found.related


def test_a_declared_name_may_hold_digits() -> None:
    words = "Call 112. Fill Type 4 oil, 112 is free."
    assert len(in_page(words)) == 2
    assert in_page(words, "112") == []


def test_figures_are_found_in_every_kind_of_text() -> None:
    settings = SPECIMEN["procedures/book.yaml"].replace("can kill.", "can kill in 5 min.")
    files = {
        "procedures/book.yaml": settings,
        "procedures/coolant.yaml": SPECIMEN["procedures/coolant.yaml"].replace(
            "Reduce power.", "Land in 10 min."
        ),
        "procedures/leave.yaml": SPECIMEN["procedures/leave.yaml"].replace(
            "Leave the machine", "Leave it in 2 min"
        ),
        "procedures/translations/en-GB/fire.yaml": (
            "translates: procedures/fire.yaml\ntexts:\n  title: {text: Fire in 3 s, of: 51cab37e}\n"
        ),
    }
    typed = [one for one in findings(files) if one.rule.name == "typed-figure"]
    assert [(one.span.path.rsplit("/", 1)[1], one.message.split("`")[1]) for one in typed] == [
        ("book.yaml", "5 min"),
        ("coolant.yaml", "10 min"),
        ("leave.yaml", "2 min"),
        ("fire.yaml", "3 s"),
    ]


def test_a_figure_is_found_where_it_stands_in_folded_and_quoted_text() -> None:
    text = "safety: >-\n  Powered flight can kill.\n  Wait\n  5 min. The maker's documents hold.\n"
    settings = SPECIMEN["procedures/book.yaml"].rpartition("safety:")[0] + text
    (found,) = findings({"procedures/book.yaml": settings})
    assert found.span[1:] == (9, 3, 9, 8)


# Source: ASD-STE100 issue 9, seen as a summary: a hyphenated word counts once. A number with its
# unit once, and brackets as a sentence of their own: from memory.
COUNTS = [
    ("Keep it warm.", [3]),
    ("A two-stroke engine isn't cold.", [5]),
    ("Land at {coolant.red} {condition/full-power} now.", [5]),
    ("Wait 30 s, then go.", [4]),
    ("Stop it (if it runs) now.", [2, 3, 1]),
    ("First one. Second one here.", [2, 3]),
    ("- one item\n- another long item", [2, 3]),
    ("A line\nthat goes on.", [5]),
    ("| a b | c |", [2, 1]),
]


@pytest.mark.parametrize(("text", "counts"), COUNTS)
def test_words_of_sentences(text: str, counts: list[int]) -> None:
    assert [count for _, _, count in sentences(text)] == counts


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("**WARNING:** Hot.", ["WARNING"]),
        ("Caution: hot.", ["Caution"]),
        ("- DANGER! Hot.", ["DANGER"]),
        ("ACHTUNG: heiß.", ["ACHTUNG"]),
        ("The CAUTION lamp lights: look.", []),
        ("Note: it is hot. A warning comes first.", []),
        ("```quotation\nWARNING: HOT\n```", []),
        ("No warning: it just stops.", []),
    ],
)
def test_typed_signal_words(words: str, found: list[str]) -> None:
    named = [one for one in in_page(words) if one.rule.name == "typed-signal-word"]
    assert [one.message.split("`")[1] for one in named] == found


HAZARD = """\
```hazard
signal: {signal}
hazard: It is there.
consequence: {consequence}
avoid: Keep away.
```"""


# Source: ANSI Z535.4 4.14.
@pytest.mark.parametrize(
    ("signal", "consequence", "rule"),
    [
        ("notice", "It can burn you.", "weak-signal-word"),
        ("notice", "You can hurt your back.", "weak-signal-word"),
        ("caution", "It can kill.", "weak-signal-word"),
        ("caution", "It can burn you.", None),
        ("warning", "It can kill or maim.", None),
        ("notice", "It wears the belt.", None),
        ("notice", "The plugs burn out.", None),
        ("notice", "The kill button sticks.", None),
        ("notice", "The dead battery fails.", None),
        ("warning", "The piston seizes.", "strong-signal-word"),
        ("danger", "The engine seizes and the landing can kill you.", None),
        ("warning", "The machine runs away.", None),
    ],
)
def test_signal_words(signal: str, consequence: str, rule: str | None) -> None:
    words = HAZARD.format(signal=signal, consequence=consequence)
    named = [one.rule.name for one in in_page(words) if "signal-word" in one.rule.name]
    assert named == ([rule] if rule else [])


def test_bared_keeps_every_place() -> None:
    text = "At {coolant.red} the Marl 230 [stops](a/b2.md)."
    blank = bared(text, ("Marl 230",))
    assert len(blank) == len(text)
    assert not any(char.isdigit() for char in blank)
    assert blank.startswith(f"At {BLANK}")


def test_a_figure_stands_in_no_heading_and_a_name_may() -> None:
    words = "## Above {coolant.red}\n\nSee {procedure/fire}.\n\n### {procedure/fire}\n\nLand."
    (one,) = in_page(words)
    assert one.rule.name == "figure-in-title"
    assert stretch(one, words) == "{coolant.red}"
    assert "`{coolant.red}` in a text below" in one.mend


@pytest.mark.parametrize(
    "words",
    [
        "Land at {coolant.red}.",
        "```quotation\n## At {coolant.red}\n```",
        "#5 at {coolant.red} is hot.",
    ],
)
def test_a_figure_may_stand_in_a_text_and_in_a_quotation(words: str) -> None:
    assert "figure-in-title" not in {one.rule.name for one in in_page(words)}
