"""Refuse numbers in a call that are greater than any measure of a patient: a double does not keep all their digits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from api.cds.call_faults import unusable_call
from api.problems import Place
from decision.case_faults import pointer_to

__all__ = ["GREATEST", "bounded"]

GREATEST = 10**15 - 1


def bounded(data: Any) -> Any:
    """The data, when no number in it is too great.

    Raises:
        Problem: `unusable-call`, with the first place that is at fault.
    """
    for place in _too_great(data, ()):
        raise unusable_call([place])
    return data


def _too_great(data: Any, steps: tuple[str | int, ...]) -> Iterable[Place]:
    if isinstance(data, dict):
        for name, value in data.items():
            yield from _too_great(value, (*steps, name))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from _too_great(value, (*steps, i))
    elif isinstance(data, float) and abs(data) > GREATEST:
        said = "a number may have at most 15 digits before the point."
        yield {"pointer": pointer_to(steps), "code": "out_of_range", "detail": said}
