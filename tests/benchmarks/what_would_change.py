"""How long a search for what would change takes on whole cases: `python -m tests.benchmarks.what_would_change`."""

from __future__ import annotations

import datetime
import statistics
import time

from decision import load_rule_book
from decision.reviewer.what_would_change import ChangeSearch
from tests.benchmarks.many_cases import many_cases

CASES, SEED, GOAL_MS = 200, 20261124, 300


def main() -> None:
    """Measure and print."""
    book = load_rule_book()
    search = ChangeSearch(book.folder)
    took, asked = [], []
    for data in many_cases(book.vocabulary, CASES, SEED):
        case = book.read({**data, "lesions": data["lesions"][:1]}, today=datetime.date(2026, 11, 24))
        began = time.perf_counter()
        asked.append(search.search(case)["evaluations"])
        took.append((time.perf_counter() - began) * 1000)
    print(f"{CASES} lesions: median {statistics.median(took):.0f} ms, greatest {max(took):.0f} ms; goal {GOAL_MS} ms")
    print(f"the engine was asked {statistics.median(asked):.0f} times in the median, {max(asked)} at most")


if __name__ == "__main__":
    main()
