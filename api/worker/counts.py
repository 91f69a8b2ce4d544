"""What is counted while the service runs, under the names that Prometheus reads: counts and times, nothing of a case.

With several workers each keeps its counts in a file of the state folder, and whichever is asked adds them up.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import Any

from prometheus_client import Counter, Gauge, Histogram
from starlette.types import Scope

from decision.recommendation import CycleReview, HealingReview, Recommendation
from decision.rule_book import RuleBook

__all__ = ["COUNTED", "DISAGREEMENTS", "SHED", "count_request", "count_verdicts", "show_book"]

NO_VERDICT = "none"
LIMITS_S = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10)

SECONDS = Histogram("thawline_request_seconds", "Time to answer a request.", ["operation"], buckets=LIMITS_S)
ANSWERS = Counter("thawline_answers", "Requests answered, by status.", ["operation", "status"])
VERDICTS = Counter("thawline_verdicts", "Lesions answered about as JSON, by verdict.", ["verdict"])
DISAGREEMENTS = Counter("thawline_matcher_disagreements", "Cases refused since the two means of matching differed.")
SHED = Counter("thawline_shed", "Requests refused since too many were there.")
BOOK = Gauge(
    "thawline_rule_book_info",
    "1 for a rule book that some worker answers by.",
    ["version", "digest"],
    multiprocess_mode="livemax",
)
COUNTED = (SECONDS, ANSWERS, VERDICTS, DISAGREEMENTS, SHED, BOOK)


def count_request(_: Scope, operation: str, status: int, took_s: float) -> None:
    """Count and time a request that was answered."""
    _times_of(operation).observe(took_s)
    _answers_of(operation, status).inc()


def count_verdicts(answer: Recommendation | CycleReview | HealingReview) -> None:
    """Count what each lesion of a recommendation, or the one of a review, was told."""
    told: Mapping[str, Any] = answer
    verdicts = [one["suitability"]["verdict"] for one in told.get("lesions", ())] or [told["review"]["answer"]]
    for verdict in verdicts:
        _verdicts_of(verdict or NO_VERDICT).inc()


def show_book(book: RuleBook, *, answers: bool) -> None:
    """Say whether this process answers by a rule book."""
    BOOK.labels(book.version, book.digest).set(int(answers))


# Asking the library for a labelled count costs more than counting does.
@functools.cache
def _times_of(operation: str) -> Histogram:
    return SECONDS.labels(operation)


@functools.cache
def _answers_of(operation: str, status: int) -> Counter:
    return ANSWERS.labels(operation, status)


@functools.cache
def _verdicts_of(verdict: str) -> Counter:
    return VERDICTS.labels(verdict)
