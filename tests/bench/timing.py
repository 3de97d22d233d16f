"""How long tasks take: the least of several runs, taken in turn.

What else the machine does can only add to a time, so the least is nearest to the task's own.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Command = tuple[str, ...]
Task = Command | Callable[[], object]
PYTHON = sys.executable


class Failed(RuntimeError):
    """A measured command did not do its work, so that its time means nothing."""


@dataclass(frozen=True)
class Ratio:
    """What is measured, over what is its yardstick; `most` is the ratio that we allow."""

    name: str
    task: Task
    yardstick: Task
    most: float
    runs: int = 7


def seconds(task: Task) -> float:
    """The wall time of one run: of a command in a process of its own, of a function in this one."""
    run = task if callable(task) else lambda: _run(task)
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def least(tasks: Sequence[Task], runs: int) -> list[float]:
    """The least time of each task, run in turn after one run that warms the caches."""
    for task in tasks:
        seconds(task)
    rounds = [[seconds(task) for task in tasks] for _ in range(runs)]
    return [min(times) for times in zip(*rounds, strict=True)]


def _run(command: Command) -> None:
    done = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=_environment()
    )
    if done.returncode:
        raise Failed(f"{' '.join(command)}\n{done.stdout[-500:]}{done.stderr[-500:]}")


def _environment() -> dict[str, str]:
    # An installed package is compiled once and for all, whatever this shell says of its own.
    inherited = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**inherited, "NO_COLOR": "1"}
