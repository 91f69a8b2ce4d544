"""Take the time of several ways to do one thing.

In turns, so that other work on the machine meets all of them, and by the time of the processor, which counts that
other work least.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from typing import Any

__all__ = ["in_turns", "median_ms"]


def in_turns(ways: Mapping[str, Callable[[Any], object]], over: Sequence[Any], rounds: int) -> dict[str, float]:
    """Processor seconds for one of the inputs, by each way: the median of rounds, after one that warms up."""
    taken: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(rounds + 1):
        for name, way in ways.items():
            began = time.process_time()
            for one in over:
                way(one)
            taken[name].append((time.process_time() - began) / len(over))
    return {name: statistics.median(found[1:]) for name, found in taken.items()}


def median_ms(action: Callable[[], object], rounds: int) -> float:
    """Milliseconds for an action: the median of rounds."""
    taken = []
    for _ in range(rounds):
        began = time.perf_counter()
        action()
        taken.append(1000 * (time.perf_counter() - began))
    return statistics.median(taken)
