"""Answer a great many cases in one process and see whether it grows."""

from __future__ import annotations

import datetime
import subprocess
import sys
import time

import orjson

from decision import load_rule_book
from tests.benchmarks.many_cases import many_cases
from tests.benchmarks.reload import largest_mb
from tests.benchmarks.report import Goal, Part

__all__ = ["measured"]

FIRST_SHARE = 0.02
LIMIT_MB = 5.0
SEED = 3
DAY = datetime.date(2026, 11, 24)


def measured(*, short: bool) -> Part:
    """Answer cases in a process of their own."""
    many = 500 if short else 1_000_000
    began = time.perf_counter()
    done = subprocess.run([sys.executable, "-m", "tests.benchmarks.memory", str(many)], capture_output=True, check=True)
    took_s = time.perf_counter() - began
    before, after = (float(one) for one in done.stdout.split())
    grown = after - before
    return Part(
        "Memory",
        "Different cases made, read, answered with full reasons and written as JSON in one process; the largest "
        f"resident size after the first {FIRST_SHARE:.0%} of them and after all.",
        ("cases", "MB at first", "MB at the end", "growth, MB", "took, s"),
        [(f"{many:,}", f"{before:.1f}", f"{after:.1f}", f"{grown:+.1f}", f"{took_s:.0f}")],
        [Goal(f"growth over {many:,} cases", f"under {LIMIT_MB:g} MB", f"{grown:+.1f} MB", grown < LIMIT_MB)],
    )


def main() -> None:
    """Answer so many cases; print the largest size after the first of them and after all, in MB."""
    many = int(sys.argv[1])
    book = load_rule_book()
    early = 0.0
    for number, data in enumerate(many_cases(book.vocabulary, many, SEED)):
        orjson.dumps(book.recommend(book.read(data, today=DAY)))
        if number == int(many * FIRST_SHARE):
            early = largest_mb()
    print(early, largest_mb())


if __name__ == "__main__":
    main()
