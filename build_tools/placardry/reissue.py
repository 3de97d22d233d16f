"""What a new edition may not say again: what was withdrawn, or a code that another card has."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from placardry.book import Book
from placardry.book.sources import Edition, said_in
from placardry.deltas import State
from placardry.editions import says
from placardry.errors import PlacardryError

_Said = tuple[str, str, str]  # manual, card, and its code or its figures


def refuse_withdrawn(book: Book, stood: Mapping[int, State], new: State, *, again: bool) -> None:
    """Refuse what only withdrawn editions said; single cards may be meant so.

    Args:
        book: the book, with its editions
        stood: what stood in each of them
        new: what would stand in the next
        again: whether cards of withdrawn editions are issued again on purpose

    Raises:
        PlacardryError: the book says what was withdrawn, or a card does and `again` is not set.
    """
    gone = [one for one in reversed(book.editions) if one.withdrawn is not None]
    held = [one for one in book.editions if one.withdrawn is None]
    if not any(says(one.digest, book, one.dated) for one in held):
        for one in gone:
            if says(one.digest, book, one.dated):
                raise PlacardryError(
                    f"this is what edition {one.number} said, {_why(one)}; change the book first"
                )
    if again:
        return
    sound = {face for one in held for _, *both in _faces(stood[one.number]) for face in both}
    for one in gone:
        wrong = {face for _, *both in _faces(stood[one.number]) for face in both} - sound
        found = [name for name, *both in _faces(new) if wrong.intersection(filter(None, both))]
        if found:
            raise PlacardryError(
                f"cards with the code or all figures of edition {one.number}, {_why(one)}: "
                f"{', '.join(found)}; change them first, or issue them again "
                "with `--again`"
            )


def _why(one: Edition) -> str:
    because, _ = said_in(one.because, "")
    return f"which was withdrawn on {one.withdrawn} because: {because.rstrip('.')}"


def _faces(state: State) -> Iterator[tuple[str, _Said, _Said | None]]:
    """Each card, named with its code; what bears that code; what has those figures, if any."""
    for manual, there in state.items():
        for card, said in there["cards"].items():
            figures = [(one, there["figures"].get(one)) for one in said["figures"]]
            printed = (manual, card, json.dumps(figures, sort_keys=True)) if figures else None
            yield f"{manual}/{card} ({said['code']})", (manual, card, said["code"]), printed


def no_code_twice(all_states: list[State]) -> None:
    """Refuse two cards of one code, which nobody could tell apart."""
    owner: dict[str, tuple[str, str]] = {}
    for state in all_states:
        for manual, there in state.items():
            for card, said in there["cards"].items():
                if owner.setdefault(said["code"], (manual, card)) != (manual, card):
                    names = " and ".join(
                        "/".join(one) for one in (owner[said["code"]], (manual, card))
                    )
                    raise PlacardryError(f"the cards {names} have one code; change a title")
