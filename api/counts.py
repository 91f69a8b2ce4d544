"""What is counted while the service runs, under the names that Prometheus reads: counts and times, nothing of a case.

With several workers each keeps its counts in a file of the state folder, and whichever is asked adds them up.
"""

from __future__ import annotations

import functools
import time
from collections.abc import Mapping
from typing import Any

from prometheus_client import Counter, Gauge, Histogram
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from decision.recommendation import CycleReview, HealingReview, Recommendation
from decision.rule_book import RuleBook

__all__ = ["COUNTED", "DISAGREEMENTS", "SHED", "Measured", "count_verdicts", "show_book"]

NO_VERDICT = "none"
UNNAMED = "page"  # what is no operation of the OpenAPI document
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


class Measured:
    """ASGI middleware that counts and times every request."""

    def __init__(self, app: ASGIApp) -> None:
        """Watch an application."""
        self._app = app
        # Asking the library for a labelled count costs more than counting does.
        self._seconds: dict[str, Histogram] = {}
        self._answers: dict[tuple[str, int], Counter] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, status = time.perf_counter(), 500

        async def sent(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self._app(scope, receive, sent)
        finally:
            operation = getattr(scope.get("route"), "operation_id", None) or UNNAMED
            self._count(operation, status, time.perf_counter() - began)

    def _count(self, operation: str, status: int, took_s: float) -> None:
        seconds, answers = self._seconds.get(operation), self._answers.get((operation, status))
        if seconds is None or answers is None:
            seconds = self._seconds[operation] = SECONDS.labels(operation)
            answers = self._answers[operation, status] = ANSWERS.labels(operation, status)
        seconds.observe(took_s)
        answers.inc()


def count_verdicts(answer: Recommendation | CycleReview | HealingReview) -> None:
    """Count what each lesion of a recommendation, or the one of a review, was told."""
    told: Mapping[str, Any] = answer
    verdicts = [one["suitability"]["verdict"] for one in told.get("lesions", ())] or [told["review"]["answer"]]
    for verdict in verdicts:
        _count_of(verdict or NO_VERDICT).inc()


@functools.cache
def _count_of(verdict: str) -> Counter:
    """The count of a verdict; asking the library for it each time costs more than counting does."""
    return VERDICTS.labels(verdict)


def show_book(book: RuleBook, *, answers: bool) -> None:
    """Say whether this process answers by a rule book."""
    BOOK.labels(book.version, book.digest).set(int(answers))
