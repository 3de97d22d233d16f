"""`python -m tests.mutation [KIND…]`: the table of wrong edits, and those that nothing finds."""

from __future__ import annotations

import sys

from tests.mutation.demo import demo
from tests.mutation.harness import edits, outcomes, table


def main() -> None:
    chosen = [one for name, some in edits().items() for one in some if _asked(name)]
    found = outcomes(chosen)
    sys.stdout.write(f"{table(found)}\n")
    for one in found:
        if one.is_same:
            print(f"(the same book) {one.edit.kind}: {one.edit.told(demo().files)}")
        elif not one.is_contradiction:
            seen = "" if one.is_caught else "NOT EVEN WITH APPROVALS "
            sys.stdout.write(f"{seen}{one.edit.kind}: {one.edit.told(demo().files)}\n")


def _asked(name: str) -> bool:
    return not sys.argv[1:] or any(word in name for word in sys.argv[1:])


if __name__ == "__main__":
    main()
