"""How long commands take: medians, taken in turn, so that a busy machine is busy for all."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

Command = tuple[str, ...]
PYTHON = sys.executable


class Failed(RuntimeError):
    """A measured command did not do its work, so that its time means nothing."""


@dataclass(frozen=True)
class Ratio:
    """What is measured, over what is its yardstick; `most` is the ratio that we allow."""

    name: str
    command: Command
    yardstick: Command
    most: float
    runs: int = 7


def seconds(command: Command) -> float:
    """The wall time of one run."""
    start = time.perf_counter()
    done = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=_environment()
    )
    taken = time.perf_counter() - start
    if done.returncode:
        raise Failed(f"{' '.join(command)}\n{done.stdout[-500:]}{done.stderr[-500:]}")
    return taken


def medians(commands: Sequence[Command], runs: int) -> list[float]:
    """The median time of each command, run in turn after one run that warms the caches."""
    for command in commands:
        seconds(command)
    rounds = [[seconds(command) for command in commands] for _ in range(runs)]
    return [median(times) for times in zip(*rounds, strict=True)]


def _environment() -> dict[str, str]:
    return {**os.environ, "NO_COLOR": "1"}
