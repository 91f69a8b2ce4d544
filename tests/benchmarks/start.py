"""How long it takes until there is a rule book, and until a service says that it is ready."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

from decision import load_rule_book
from tests.benchmarks.http import WORKERS, running
from tests.benchmarks.report import Goal, Part
from tests.benchmarks.timing import median_ms

__all__ = ["measured"]

LOAD_MS = 150
FIRST_LOAD = """
import time
from decision import load_rule_book
import decision.rule_book
began = time.perf_counter()
load_rule_book()
print(1000 * (time.perf_counter() - began))
"""


def measured(*, short: bool) -> Part:
    """Load the shipped rules, and start the service over them."""
    rounds = 1 if short else 7
    first = statistics.median(_first_load_ms() for _ in range(rounds))
    again = median_ms(lambda: load_rule_book().close(), rounds)
    ready = {
        workers: statistics.median(_ready_s(workers) for _ in range(rounds))
        for workers in WORKERS[: 1 if short else None]
    }
    return Part(
        "Start-up",
        "The shipped rules, each file read, checked as a whole and compiled for both means. Ready is when `/readyz` "
        "says so, after the examples of every rule were answered; it counts from the start of the process.",
        ("what", "median"),
        [
            ("load the rule book, first in a process", f"{first:.0f} ms"),
            ("load it again", f"{again:.0f} ms"),
            *(
                (f"service ready, {workers} worker{'s' if workers > 1 else ''}", f"{s:.1f} s")
                for workers, s in ready.items()
            ),
        ],
        [Goal("load of the rule book", f"under {LOAD_MS} ms", f"{first:.0f} ms", first < LOAD_MS)],
    )


def _first_load_ms() -> float:
    done = subprocess.run([sys.executable, "-c", FIRST_LOAD], capture_output=True, text=True, check=True)
    return float(done.stdout)


def _ready_s(workers: int) -> float:
    began = time.perf_counter()
    with running("ours", workers):
        return time.perf_counter() - began
