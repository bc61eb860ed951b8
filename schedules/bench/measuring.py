"""Seconds and memory: medians of works taken in turns, and how far a process has grown."""

from __future__ import annotations

import resource
import time
from collections import defaultdict
from collections.abc import Callable, Mapping
from pathlib import Path
from statistics import median
from typing import TypeVar

T = TypeVar("T")

ROUNDS = 3
STATUS = Path("/proc/self/status")


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """What one call gives, and how long it takes [s]."""
    started = time.perf_counter()
    found = work()
    return found, time.perf_counter() - started


def seconds_of(work: Callable[[], object]) -> float:
    """How long one call takes [s]."""
    return timed(work)[1]


def medians(
    works: Mapping[str, Callable[[], object]],
    prepare: Mapping[str, Callable[[], object]],
    rounds: int = ROUNDS,
) -> dict[str, float]:
    """Median seconds of each work, all of them in every round, so that noise hits them alike.

    What ``prepare`` has under the same name runs before each time, off the clock.
    """
    taken: dict[str, list[float]] = defaultdict(list)
    for _ in range(rounds):
        for name, work in works.items():
            if name in prepare:
                prepare[name]()
            taken[name].append(seconds_of(work))
    return {name: median(each) for name, each in taken.items()}


def memory_mb() -> tuple[float, float]:
    """What this process holds now and has held at most [MB]."""
    if not STATUS.exists():
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        return most, most
    # The kernel's own peak: getrusage also counts what the parent held before this program began.
    lines = dict(line.split(":", 1) for line in STATUS.read_text().splitlines() if ":" in line)
    now, most = (int(lines[name].split()[0]) / 1024 for name in ("VmRSS", "VmHWM"))
    return now, most
