"""The operations of the reviewer, as the OpenAPI document describes them."""

from __future__ import annotations

from api.operations.operation import JSON, body, operation

__all__ = ["REPRODUCE", "WHAT_WOULD_CHANGE"]

TAG = "reviewer"
REFUSALS = (400, 404, 408, 413, 415, 422)

WHAT_WOULD_CHANGE = body(
    operation(
        "whatWouldChange",
        TAG,
        "Ask what would change a verdict",
        answers={JSON: "WhatWouldChange"},
        refusals=REFUSALS,
    ),
    "The case: what is stated, and nothing else. What is not known is left out, never null.",
    "CaseMessage",
)
REPRODUCE = body(
    operation(
        "reproduce",
        TAG,
        "Give a recorded answer again",
        answers={JSON: "Reproduction"},
        refusals=REFUSALS,
    ),
    "The record: the case and the answer as it was given, whole.",
    "RecordMessage",
)
