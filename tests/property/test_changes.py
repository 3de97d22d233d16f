"""Changes between random books: none to itself, mirrored backwards, and chains that add up."""

from __future__ import annotations

from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from placardry.changes import ChangeKind, Direction, Side, changes
from placardry.loader import load
from placardry.resolve import resolve
from placardry.rules.specimen import SPECIMEN

Drawn = tuple[tuple[str, str, int | None], ...]
KINDS = {"hot": "maximum", "cold": "minimum", "shun": "avoid"}
MIRRORED = {
    ChangeKind.ADDED: ChangeKind.REMOVED,
    ChangeKind.CONDITION_WIDENED: ChangeKind.CONDITION_NARROWED,
}
MIRRORED |= {other: one for one, other in MIRRORED.items()}
CONDITIONS = "conditions:\n  fast: {short: at speed, engine-speed: above 5000 rpm}\n"


@st.composite
def books(draw: st.DrawFn, *, whole: bool = False) -> Drawn:
    """Some limits with a value each; what they are bound to does not change."""
    value = st.integers(20, 90)
    condition = st.sampled_from(["", ", condition: fast"])
    return tuple(
        (name, draw(condition) if not whole else "", draw(value if whole else st.none() | value))
        for name in KINDS
    )


@cache
def side(drawn: Drawn) -> Side:
    rows = []
    for name, condition, value in drawn:
        if value is not None:
            ends = f"{value} to 95 degC" if name == "shun" else f"{value} degC"
            # Words of their own, so that one limit is never taken for another that was renamed.
            own = f"name: the {name} one, exceeded: Mind the {name} one."
            body = f"parameter: coolant-temperature, {KINDS[name]}: {ends}, {own}{condition}"
            rows.append(f"  {name}: {{{body}}}\n")
    limits = "limits:\n" + ("".join(rows) or "  {}\n")
    files = {**SPECIMEN, "procedures/more.yaml": CONDITIONS + limits}
    if not rows:
        files["procedures/more.yaml"] = CONDITIONS
    book, findings = load({path: text.encode() for path, text in files.items()})
    assert book is not None
    assert not findings
    return Side(book=book, manuals=resolve(book)[0])


@given(books())
def test_a_book_is_as_it_is(one: Drawn) -> None:
    assert changes(side(one), side(one)) == ()


@given(books(), books())
def test_the_way_back_mirrors_the_way_there(one: Drawn, other: Drawn) -> None:
    there = {(x.kind, x.of, x.direction) for x in changes(side(one), side(other))}
    back = {
        (MIRRORED.get(x.kind, x.kind), x.of, x.direction.reversed)
        for x in changes(side(other), side(one))
    }
    assert there == back
    assert bool(there) == (one != other and [x for x in one if x[2]] != [x for x in other if x[2]])


def steps(one: Drawn, other: Drawn) -> dict[str, tuple[Direction, int]]:
    return {
        x.of: (x.direction, int(x.size.value) if x.size else 0)
        for x in changes(side(one), side(other))
    }


@given(books(whole=True), books(whole=True), books(whole=True))
def test_a_chain_adds_up(one: Drawn, middle: Drawn, last: Drawn) -> None:
    first, second, whole = steps(one, middle), steps(middle, last), steps(one, last)
    nothing = (Direction.NEUTRAL, 0)
    for name in first.keys() | second.keys() | whole.keys():
        (way, by), (further, more) = first.get(name, nothing), second.get(name, nothing)
        assert by + more == whole.get(name, nothing)[1]
        if {way, further} <= {way, Direction.NEUTRAL} or way is further:
            assert whole[name][0] is (way if way is not Direction.NEUTRAL else further)


@given(st.randoms(use_true_random=False))
def test_shuffled_files_and_other_file_names_are_moved_at_most(random: object) -> None:
    names = list(SPECIMEN)
    random.shuffle(names)  # type: ignore[attr-defined]
    files = {path: SPECIMEN[path].encode() for path in names}
    files["procedures/else/where.yaml"] = files.pop("procedures/tasks.yaml")
    book, _ = load(files)
    assert book is not None
    plain, _ = load({path: text.encode() for path, text in SPECIMEN.items()})
    assert plain is not None
    found = changes(
        Side(book=plain, manuals=resolve(plain)[0]), Side(book=book, manuals=resolve(book)[0])
    )
    assert [str(one.kind) for one in found] == ["moved"]
    assert found[0].direction is Direction.NEUTRAL
