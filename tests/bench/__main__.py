"""Times as ratios in one run, for ratios hold on any machine: `python -m tests.bench`.

Ends with 1 when a ratio is above what we allow.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from placardry.publish import build
from tests.bench import cards, comparing
from tests.bench.cards import DEMO
from tests.bench.generate import book, fleet, in_two_units, respelt, write_book
from tests.bench.timing import PYTHON, Command, Ratio, least

FILES = 2000
FLEET = (2000, 5000, 50)  # procedures, limits, machines

OURS: Command = (PYTHON, "-m", "placardry")


def ratios(folder: Path) -> list[Ratio]:
    """What we measure. `most` is the target, reached or not; it is never raised to be reached."""
    read = (PYTHON, "-m", "tests.bench.yardsticks")
    big, whole, half = (str(folder / name) for name in ("files", "fleet", "half"))
    write_book(Path(big), book(FILES))
    write_book(Path(whole), fleet(*FLEET))
    write_book(Path(half), fleet(*(count // 2 for count in FLEET)))
    limits, edited = (str(folder / name) for name in ("limits", "edited"))
    write_book(Path(limits), fleet(0, *FLEET[1:]))
    write_book(Path(edited), respelt(fleet(0, *FLEET[1:])))
    site = str(folder / "site")
    build(DEMO, Path(site))
    check_big = (*OURS, "check", "--book", big)
    check_fleet = (*OURS, "check", "--book", whole)
    return [
        Ratio("start, over bare Python", (*OURS, "--version"), (PYTHON, "-c", "pass"), 5),
        Ratio(
            "check of the demo, over `import pydantic, yaml`",
            (*OURS, "check", "--book", str(DEMO)),
            (PYTHON, "-c", "import pydantic, yaml"),
            5,
        ),
        Ratio(f"check of {FILES} files, over yaml.load", check_big, (*read, "load", big), 3, 3),
        Ratio(
            f"check of {FILES} files, over libyaml's events",
            check_big,
            (*read, "events", big),
            9,
            3,
        ),
        Ratio(
            f"check of a fleet of {FLEET[2]} machines, over loading it",
            check_fleet,
            (*read, "book", whole),
            3,
            3,
        ),
        Ratio(
            "check of a fleet, over half of it",
            check_fleet,
            (*OURS, "check", "--book", half),
            2.3,
            3,
        ),
        Ratio(
            f"review of a book of {FLEET[1]} limits, over loading both sides",
            (*OURS, "review", limits, edited),
            (*read, "book", limits, edited),
            2,
            3,
        ),
        comparing.ratio("one spelling", respelt, FLEET, 1),
        comparing.ratio("every figure", in_two_units, FLEET, 1),
        cards.ratio(DEMO),
        Ratio(
            "audit of the demo, over building it",
            (*OURS, "audit", site),
            (*OURS, "build", "--book", str(DEMO), "--out", site),
            0.5,
            2,
        ),
    ]


def main() -> int:
    """Measures, prints the table, tells whether all targets are reached."""
    missed = 0
    with tempfile.TemporaryDirectory() as folder:
        print(f"{'ratio':>6} {'most':>5} {'ours':>8} {'theirs':>8}")
        for row in ratios(Path(folder)):
            ours, theirs = least([row.task, row.yardstick], row.runs)
            late = ours / theirs > row.most
            missed += late
            print(
                f"{ours / theirs:6.2f} {row.most:5g} {ours * 1000:5.0f} ms {theirs * 1000:5.0f} ms"
                f"  {row.name}{'  TOO SLOW' if late else ''}",
                flush=True,
            )
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
