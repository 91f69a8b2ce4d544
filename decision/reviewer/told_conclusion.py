"""Read from a recorded answer what it tells of its conclusion, to hold that against the digest that it carries.

An answer does not hold all that its digest is made over, so the digest cannot be made from it again. But where the
answer that is given now has the same digest, both must tell the same of it: verdicts, ranges, rules, what was presumed,
sizes, windows, bands and dates. Words, questions and what only a trace adds are no conclusion. A record may hold
anything, so that nothing is taken for granted of its shape.
"""

from __future__ import annotations

from typing import Any

__all__ = ["told_conclusion"]

# The fields that tell a conclusion, wherever they stand. A field of a later release is passed over until it is listed.
TELLING = frozenset(
    {
        *("lesion_id", "status", "verdict", "answer", "settled", "at_least", "could_become", "rule"),
        *("input", "presumed", "what", "by_when"),
        *("applicator", "contact_diameter_mm", "available", "cycles", "planned_cycles", "low", "high"),
        *("p10", "p50", "p90", "never_share", "strong_s", "contact_s", "depth_mm", "stands", "observed_s"),
        *("milestone", "from_day", "to_day", "from_date", "to_date", "visit_on", "frozen_on", "as_of"),
    }
)
# Parts that tell none, though fields in them have such names.
PASSED_OVER = frozenset(
    {"sources", "because", "ask_next", "outranked", "still_open", "did_not_apply", "holidays_applied"}
)
_NOTHING = object()


def told_conclusion(answer: object) -> Any:
    """What an answer tells of its conclusion: the same shape, with nothing else in it.

    >>> told_conclusion({"verdict": "suitable", "summary": "May be frozen.", "plan": {"spray_s": {"low": 3}}})
    {'verdict': 'suitable', 'plan': {'spray_s': {'low': 3}}}
    >>> told_conclusion(["Only words."])
    """
    found = _told(answer, "")
    return None if found is _NOTHING else found


def _told(part: object, name: str) -> Any:
    if isinstance(part, dict):
        inner = {key: _told(value, key) for key, value in part.items() if key not in PASSED_OVER}
        return {key: value for key, value in inner.items() if value is not _NOTHING} or _NOTHING
    if isinstance(part, list):
        return [one for one in (_told(one, name) for one in part) if one is not _NOTHING] or _NOTHING
    return part if name in TELLING else _NOTHING
