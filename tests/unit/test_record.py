"""What every record can do, now that the methods are ours and not those of `dataclasses`."""

from __future__ import annotations

import dataclasses
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from placardry.book.machines import Option
from placardry.book.record import Record, record
from placardry.finding import Span
from placardry.nodes import Mapping

HERE = Mapping((), Span("procedures/a.yaml", 1))
THERE = Mapping((), Span("procedures/b.yaml", 7))
STROBE = Option(id="strobe", name="light", places=HERE)  # type: ignore[arg-type]


def test_records_that_mean_the_same_are_equal_wherever_they_stand() -> None:
    other = dataclasses.replace(STROBE, places=THERE)
    assert other == STROBE
    assert hash(other) == hash(STROBE)
    assert other.places.span == THERE.span


def test_records_that_mean_something_else_are_not() -> None:
    assert dataclasses.replace(STROBE, id="lamp") != STROBE
    assert STROBE != "strobe"


def _name(record: Any) -> None:
    record.id = "lamp"


def _unname(record: Any) -> None:
    del record.id


@pytest.mark.parametrize("change", [_name, _unname])
def test_a_record_cannot_be_changed(change: Callable[[Any], None]) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        change(STROBE)
    assert STROBE.id == "strobe"


@pytest.mark.parametrize(
    ("fields", "name"),
    [
        ({"id": "a"}, "places"),
        ({"id": "a", "name": "b", "places": HERE, "colour": "red"}, "colour"),
    ],
)
def test_a_field_that_is_missing_or_unknown_is_named(fields: dict[str, Any], name: str) -> None:
    with pytest.raises(TypeError, match=name):
        Option(**fields)


def test_no_record_is_given_a_field_that_it_does_not_have() -> None:
    assert STROBE.but(id="lamp").id == "lamp"
    with pytest.raises(TypeError, match="colour"):
        STROBE.but(colour="red")


def test_a_kind_may_ask_for_what_its_parent_leaves_free() -> None:
    @record
    class Free(Record):
        name: str | None = None

    @record
    class Bound(Free):
        name: str

    assert Free(id="a", places=HERE).name is None
    with pytest.raises(TypeError, match="name"):
        Bound(id="a", places=HERE)  # type: ignore[call-arg]


def test_a_record_travels_to_another_process() -> None:
    assert pickle.loads(pickle.dumps(STROBE)) == STROBE  # noqa: S301


def test_a_record_shows_what_it_means() -> None:
    assert repr(STROBE).startswith("Option(id='strobe', ")
    assert "procedures" not in repr(STROBE)
