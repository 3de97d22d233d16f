"""Times as ratios in one run, for ratios hold on any machine: `python -m tests.bench`.

Ends with 1 when a ratio is above what we allow.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.bench import cards
from tests.bench.cards import DEMO
from tests.bench.generate import write_book
from tests.bench.timing import PYTHON, Command, Ratio, least

FILES = 2000

OURS: Command = (PYTHON, "-m", "placardry")


def ratios(big: Path) -> list[Ratio]:
    """What we measure. `most` is the target, reached or not; it is never raised to be reached."""
    read = (PYTHON, "-m", "tests.bench.yardsticks")
    check_big = (*OURS, "check", "--book", str(big))
    return [
        Ratio("start, over bare Python", (*OURS, "--version"), (PYTHON, "-c", "pass"), 5),
        Ratio(
            "check of the demo, over `import pydantic, yaml`",
            (*OURS, "check", "--book", str(DEMO)),
            (PYTHON, "-c", "import pydantic, yaml"),
            5,
        ),
        Ratio(
            f"check of {FILES} files, over yaml.load", check_big, (*read, "load", str(big)), 3, 3
        ),
        Ratio(
            f"check of {FILES} files, over libyaml's events",
            check_big,
            (*read, "events", str(big)),
            9,
            3,
        ),
        cards.ratio(DEMO),
    ]


def main() -> int:
    """Measures, prints the table, tells whether all targets are reached."""
    missed = 0
    with tempfile.TemporaryDirectory() as folder:
        write_book(Path(folder), FILES)
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
