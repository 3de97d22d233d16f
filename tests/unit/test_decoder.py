from __future__ import annotations

import pytest

from placardry.book.conditions import Condition
from placardry.book.figures import Fact, Limit, Parameter, Scale
from placardry.book.procedures import ChooseStep, PressStep, Procedure
from placardry.book.tasks import Task
from placardry.decoder import check_id, decode
from placardry.finding import Finding
from placardry.nodes import Mapping
from placardry.yaml_reader import read_yaml_text


def node(text: str) -> Mapping:
    root, findings = read_yaml_text("procedures/x.yaml", text)
    assert root is not None
    assert not findings
    return root


def findings(cls: type, text: str) -> list[Finding]:
    found: list[Finding] = []
    decode(cls, node(text), found.append, id="x")
    return found


@pytest.mark.parametrize(
    ("cls", "text", "rule", "place", "mend"),
    [
        (Fact, "nominol: 15 A", "unknown-key", (1, 1), "did you mean `nominal`?"),
        (Fact, "nominal: 15 Ampere", "unknown-unit", (1, 10), "A"),
        (Fact, "nominal: [15 A]", "wrong-shape", (1, 10), "text"),
        (Limit, "maximum: 5 bar", "missing-key", (1, 1), "add `parameter:` here"),
        (Limit, "{parameter: Oil Pressure, maximum: 5 bar}", "malformed-id", (1, 13), "full-power"),
        (Condition, "{short: at rest, idle-speed: above x1 rpm}", "malformed-figure", (1, 30), ""),
        (Procedure, "{title: T, chapter: flight, when: now, steps: [{do: It.}]}",
         "malformed-value", (1, 21), "`operation`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{prss: a}]}",
         "unknown-key", (1, 52), "did you mean `press`?"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{do: It., memory: on}]}",
         "malformed-value", (1, 69), "write `yes` or `no`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{set: choke on}]}",
         "wrong-shape", (1, 57), "as in `{choke: on}`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{set: {a: on}, press: b}]}",
         "unknown-key", (1, 66), "begin a line of its own: `- press: …`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [Set a on]}",
         "wrong-shape", (1, 51), "`wait-until`, `read`, `reading`, `record`, `look`, `do`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{do: It., expect: this}]}",
         "wrong-shape", (1, 69), "known keys are `position`, `limit`, `text`"),
        (Scale, "{parameter: water, bands: {green: 60 degC}}",
         "wrong-shape", (1, 27), "as in `green from 63 degC`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{wait: 15 s}]}",
         "malformed-id", (1, 58), "`NAME: {nominal: 15 s}`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{press: a, times: 4}]}",
         "malformed-id", (1, 69), "`NAME: {nominal: 4 times}`"),
        (Parameter, "{name: torque, units: {}}",
         "missing-key", (1, 23), "as in `units: {degC: 1}`"),
        (Procedure, "{title: T, chapter: operation, when: now, steps: [{set: {}}]}",
         "missing-key", (1, 57), "as in `set: {NAME: VALUE}`"),
        (Limit, "{parameter: 4-stroke}", "malformed-id", (1, 13), "a name in lower case"),
        (Scale, "{parameter: water, bands: [green from 60 degC, 5 degC]}",
         "malformed-value", (1, 48), "write a decimal point for a comma, or"),
        (Task, "{title: T, calendar: 24 months}", "malformed-value", (1, 22), "`every 24 months`"),
        (Task, "{title: T, calendar: now and then}", "malformed-value", (1, 22), "`every 25 h`"),
        (Procedure, "{title: T, chapter: operation, when: now, persons: two, steps: [{do: It.}]}",
         "malformed-value", (1, 52), "digits"),
    ],
)  # fmt: skip
def test_one_mistake_is_one_finding_at_its_place(
    cls: type, text: str, rule: str, place: tuple[int, int], mend: str
) -> None:
    (one,) = findings(cls, text)
    assert one.rule.name == rule
    assert (one.span.line, one.span.column) == place
    assert mend in one.mend


def test_every_field_is_read_in_one_pass() -> None:
    found = findings(Limit, "parameter: A B\nmaximum: 5 bars of gold\nsauce: page 3\n")
    assert [one.rule.name for one in found] == ["malformed-id", "unknown-unit", "unknown-key"]


def test_one_thing_may_stand_for_a_list() -> None:
    found: list[Finding] = []
    fact = decode(Fact, node("{nominal: 5 L, condition: idle}"), found.append, id="x")
    assert fact is not None
    assert fact.condition == ("idle",)
    assert not found


def test_the_rest_of_a_condition_is_its_box() -> None:
    text = "{short: s, throttle: idle or part, engine-speed: above 10 rpm}"
    condition = decode(Condition, node(text), print, id="x")
    assert condition is not None
    assert condition.box["throttle"].states == ("idle", "part")
    span = condition.box["engine-speed"].span
    assert span is not None
    assert span.low_open
    assert span.high is None


def test_steps_are_told_apart_by_their_action() -> None:
    text = "{title: T, chapter: operation, when: now, steps: [{press: a, times: b}, {choose: []}]}"
    procedure = decode(Procedure, node(text), print, id="x")
    assert procedure is not None
    assert [type(step) for step in procedure.steps] == [PressStep, ChooseStep]


def test_equal_meaning_is_equal_wherever_it_stands() -> None:
    one = decode(Fact, node("{nominal: 5 L, name: tank}"), print, id="x")
    other = decode(Fact, node("\n\nname: tank\nnominal: 5  L\n"), print, id="x")
    assert one == other
    precise = decode(Fact, node("{nominal: 5.0 L, name: tank}"), print, id="x")
    assert one != precise, "how precisely a figure is given is part of its meaning"


def test_a_name_is_offered_in_its_right_form() -> None:
    found: list[Finding] = []
    key = node("Spare Fuse_2: 1").entries[0][0]
    assert not check_id(key, found.append)
    assert found[0].mend == "write `spare-fuse-2`"
