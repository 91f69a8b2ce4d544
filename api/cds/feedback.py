"""Take feedback on cards: hold it against its shape, write one audit line, keep nothing.

What a user wrote is never looked at. A reason is written down only when it is a code of ours.
"""

from __future__ import annotations

from typing import Any

from api.cds.call_faults import read_shape
from api.cds.calls import FEEDBACK
from api.cds.messages import FeedbackReceived
from api.code_lists import CodeLists

__all__ = ["OTHER", "audit_entries", "read_feedback", "received"]

OTHER = "other"


def read_feedback(data: object) -> Any:
    """Read feedback.

    Raises:
        Problem: `unusable-call`, with every fault found.
    """
    return read_shape(FEEDBACK, data)


def audit_entries(feedback: Any, lists: CodeLists) -> list[dict[str, Any]]:
    """What the audit line tells: the card, what came of it, and the code of the reason or of the suggestions."""
    return [_entry(one, lists) for one in feedback.feedback]


def received(feedback: Any) -> FeedbackReceived:
    """What the client is told."""
    return {"received": len(feedback.feedback)}


def _entry(one: Any, lists: CodeLists) -> dict[str, Any]:
    entry = {"card": one.card.lower(), "outcome": one.outcome}
    if one.outcome == "accepted":
        return {**entry, "suggestions": [suggestion.id.lower() for suggestion in one.acceptedSuggestions]}
    reason = one.overrideReason.reason if one.overrideReason is not None else None
    if reason is None:
        return entry
    meaning = lists.meaning(reason.system or "", reason.code)
    return {**entry, "reason": meaning.code if meaning is not None and meaning.list == "override-reason" else OTHER}
