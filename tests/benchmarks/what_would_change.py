"""How long a search for what would change takes on whole cases."""

from __future__ import annotations

import datetime
import statistics
import time

from decision import load_rule_book
from decision.reviewer.what_would_change import ChangeSearch
from tests.benchmarks.many_cases import many_cases
from tests.benchmarks.report import Goal, Part

__all__ = ["measured"]

SEED, GOAL_MS = 20261124, 300
DAY = datetime.date(2026, 11, 24)


def measured(*, short: bool) -> Part:
    """Search over different lesions."""
    many = 5 if short else 200
    book = load_rule_book()
    search = ChangeSearch(book)
    took, asked = [], []
    for data in many_cases(book.vocabulary, many, SEED):
        case = book.read({**data, "lesions": data["lesions"][:1]}, today=DAY)
        began = time.perf_counter()
        asked.append(search.search(case)["evaluations"])
        took.append(1000 * (time.perf_counter() - began))
    book.close()
    median, longest_ms = statistics.median(took), max(took)
    return Part(
        "What would change the answer",
        f"A search for each of {many} lesions.",
        ("", "median", "greatest"),
        [
            ("time, ms", f"{median:.0f}", f"{longest_ms:.0f}"),
            ("times that the engine was asked", f"{statistics.median(asked):.0f}", str(max(asked))),
        ],
        [
            Goal(
                "longest search for what would change",
                f"under {GOAL_MS} ms",
                f"{longest_ms:.0f} ms",
                longest_ms < GOAL_MS,
            )
        ],
    )
