"""A plan as a picture to scale: for one cycle, a row each for spraying, holding and thawing.

Seconds become places on a line 1000 wide. A bar is full up to the short end of its window and hatched on to the long
end; the next phase is drawn from there. Nothing is worded here but the phases.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["Phase", "Timeline", "timeline_of"]

WIDE = 1000.0
STEPS_S = (5, 10, 20, 30, 60, 120, 300)
MOST_MARKS = 9


@dataclass(frozen=True, slots=True)
class Phase:
    """One phase: its window in seconds, and where its bar lies."""

    name: str
    words: str
    start: float
    sure: float
    open: float


@dataclass(frozen=True, slots=True)
class Timeline:
    """The phases of a cycle on one scale, and the marks of that scale as (seconds, place)."""

    phases: tuple[Phase, ...]
    marks: tuple[tuple[int, float], ...]
    seconds: float


def timeline_of(plan: Mapping[str, Any]) -> Timeline | None:
    """Lay a plan out; None where no phase of it is settled.

    >>> line = timeline_of({"spray_s": None, "contact_s": {"low": 20, "high": 25}, "thaw_s": None})
    >>> line.phases[0].words, line.phases[0].sure, line.marks[:2]
    ('20 to 25 s', 800.0, ((0, 0.0), (5, 200.0)))
    """
    thaw = plan["thaw_s"] and {"low": plan["thaw_s"]["p10"], "high": plan["thaw_s"]["p90"]}
    named = [("Spray", plan["spray_s"]), ("Hold", plan["contact_s"]), ("Thaw", thaw)]
    windows = [(name, one) for name, one in named if one]
    seconds = sum(one["high"] for _, one in windows)
    if not seconds:
        return None
    scale, start, phases = WIDE / seconds, 0.0, []
    for name, one in windows:
        low, high = one["low"], one["high"]
        words = f"{low:.0f} s" if low == high else f"{low:.0f} to {high:.0f} s"
        phases.append(Phase(name, words, round(start * scale, 1), _long(low, scale), _long(high - low, scale)))
        start += high
    step = next((one for one in STEPS_S if seconds / one <= MOST_MARKS), STEPS_S[-1])
    marks = tuple((second, round(second * scale, 1)) for second in range(0, int(seconds) + 1, step))
    return Timeline(tuple(phases), marks, seconds)


def _long(seconds: float, scale: float) -> float:
    return round(seconds * scale, 1)
