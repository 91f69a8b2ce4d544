"""The conclusion of an answer: verdicts, rules, findings, numbers and dates, without any rendered text.

Same case, same rule book, same freeze table, same answer contract: the same conclusion, whatever the engine. Its
digest is what a reproduction is held against.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from decision.decisions import Run
from decision.recommendation import Status

__all__ = ["conclusion_of", "worst_status"]

# Rendered text, and what follows from the rules, findings and numbers that are kept.
TEXTS = frozenset(
    {
        *("summary", "reasons", "title", "explanation", "detail", "step", "kind", "in_words", "by_when", "because"),
        *("note", "thaw_note", "estimate_note", "limits", "basis", "cryogen", "urgency", "refused", "name"),
        *("question", "why", "if_wrong", "ask_next", "sources", "freeze_table", "holidays_applied"),
        *("did_not_apply", "still_open"),
    }
)


def conclusion_of(answer: Mapping[str, Any], run: Run) -> list[Any]:
    """What an answer concludes: its verdicts and numbers, what was known, and the outcome of every rule."""
    outcomes = {
        name: {rule.name: outcome for rule, outcome in zip(hits.rules, hits.outcomes, strict=True) if outcome}
        for name, hits in run.hits.items()
    }
    return [_without_texts(answer), dict(run.known), outcomes]


def worst_status(statuses: Iterable[Status]) -> Status:
    """The status of an answer for several lesions: that of the least answered one."""
    order: tuple[Status, ...] = ("data-required", "data-requested", "success")
    return min(statuses, key=order.index)


def _without_texts(data: Any) -> Any:
    """Copy data without its texts and without what is null."""
    if isinstance(data, dict):
        kept = {key: _without_texts(value) for key, value in data.items() if key not in TEXTS}
        return {key: value for key, value in kept.items() if value is not None}
    if isinstance(data, list):
        return [_without_texts(one) for one in data]
    return data
