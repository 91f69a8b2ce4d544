"""Refuse in a call what is greater than anything in a record of a patient, wherever it stands."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from api.cds.call_faults import unusable_call
from api.problems import Place
from decision.case_faults import pointer_to

__all__ = ["GREATEST", "LONGEST_LIST", "LONGEST_TEXT", "bounded"]

GREATEST = 10**15 - 1  # a double keeps every digit up to here
LONGEST_TEXT = 500_000
LONGEST_LIST = 50_000


def bounded(data: Any) -> Any:
    """The data, when nothing in it is too great.

    Raises:
        Problem: `unusable-call`, with the first place that is at fault.
    """
    for place in _too_great(data, ()):
        raise unusable_call([place])
    return data


def _too_great(data: Any, steps: tuple[str | int, ...]) -> Iterable[Place]:
    if said := _said(data):
        yield {"pointer": pointer_to(steps), "code": "too_great", "detail": said}
    elif isinstance(data, dict):
        for name, value in data.items():
            yield from _too_great(value, (*steps, name))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from _too_great(value, (*steps, i))


def _said(value: Any) -> str:
    """What is allowed, where a value is beyond it."""
    if isinstance(value, float) and abs(value) > GREATEST:
        return "a number may have at most 15 digits before the point."
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"a text may have at most {LONGEST_TEXT} characters."
    if isinstance(value, list) and len(value) > LONGEST_LIST:
        return f"a list may have at most {LONGEST_LIST} entries."
    return ""
