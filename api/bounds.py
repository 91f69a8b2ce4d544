"""Hold what a body may carry beside what we read to bounds, wherever it stands: its schema, and what is beyond it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from decision.case_faults import pointer_to
from decision.errors import CaseFault

__all__ = ["ANYTHING", "TEXT", "anything", "beyond_bounds"]

ANYTHING = "JsonValue"

GREATEST = 10**15 - 1  # a double keeps every digit up to here
LONGEST_TEXT = 500_000
LONGEST_LIST = 50_000
TEXT = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f]*$"  # what FHIR calls a string: no control characters but tab and line ends
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def anything(itself: str) -> dict[str, Any]:
    """The schema of any JSON within the bounds.

    Args:
        itself: How the schema is referred to.
    """
    number = {"type": "number", "minimum": -GREATEST, "maximum": GREATEST}
    return {
        "description": "Any JSON; numbers of at most fifteen digits before the point.",
        "anyOf": [
            {"type": "null"},
            {"type": "boolean"},
            number,
            {"type": "string", "maxLength": LONGEST_TEXT, "pattern": TEXT},
            {"type": "array", "items": {"$ref": itself}, "maxItems": LONGEST_LIST},
            {"type": "object", "additionalProperties": {"$ref": itself}},
        ],
    }


def beyond_bounds(data: Any, steps: tuple[str | int, ...] = ()) -> Iterator[CaseFault]:
    """Everything in some data that is beyond the bounds, with its place.

    Args:
        data: What was read from JSON.
        steps: Where in the body it stands.
    """
    if said := _said(data):
        yield CaseFault(pointer_to(steps), "too_great", said)
    elif isinstance(data, dict):
        for name, value in data.items():
            yield from beyond_bounds(value, (*steps, name))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from beyond_bounds(value, (*steps, i))


def _said(value: Any) -> str:
    """What is allowed, where a value is beyond it."""
    if isinstance(value, float) and abs(value) > GREATEST:
        return "a number may have at most 15 digits before the point."
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"a text may have at most {LONGEST_TEXT} characters."
    if isinstance(value, str) and _CONTROL.search(value):
        return "a text may have no control characters but tab and line ends."
    if isinstance(value, list) and len(value) > LONGEST_LIST:
        return f"a list may have at most {LONGEST_LIST} entries."
    return ""
