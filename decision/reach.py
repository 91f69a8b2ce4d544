"""Hold a plan against its own estimate: a rim of ice out of reach is no target, and what it does not do is said.

An estimate is computed, not measured; it takes a target away and never adds one.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from decision.recommendation import Estimate, Window
from decision.vocabulary import Value

__all__ = ["Reach", "halo_within", "reach_note", "reach_of"]


class Reach(NamedTuple):
    """What the last cycle of a plan reaches at most by its estimate.

    `past_lesion_mm` is how far ice comes past the edge of the lesion in the middle case, `farthest_mm` in one freeze of
    ten; below zero the ice ends inside the lesion. `cold` says whether anything comes to -25 C in one freeze of ten.
    """

    past_lesion_mm: float
    farthest_mm: float
    cold: bool


def reach_of(estimate: Estimate, known: Mapping[str, Value]) -> Reach | None:
    """What a plan reaches; None where the estimate is refused, or no ice comes about in it, or no width is known.

    Args:
        estimate: The estimate of the plan.
        known: What is known of the lesion: `base_width_mm` is read.
    """
    part, width = estimate["by_applicator"][0], known.get("base_width_mm")
    if width is None or part["contact_diameter_mm"] is None or not part["by_cycle"]:
        return None
    last = part["by_cycle"][-1]
    past = last["ice_past_edge_mm"]
    if past is None:
        return None
    beside = (part["contact_diameter_mm"] - float(width)) / 2
    cold = last["depth_minus25_mm"]
    return Reach(past["p50"] + beside, past["p90"] + beside, cold is not None and cold["p90"] > 0)


def halo_within(halo_mm: Window | None, reach: Reach | None) -> Window | None:
    """The rim of ice to be seen past the lesion; none where not one freeze in ten comes so far.

    >>> halo_within({"low": 1.0, "high": 2.0}, Reach(-0.6, 0.2, False)) is None
    True
    >>> halo_within({"low": 1.0, "high": 2.0}, Reach(1.5, 1.8, True))
    {'low': 1.0, 'high': 2.0}
    """
    if halo_mm is None or reach is None or reach.farthest_mm >= halo_mm["low"]:
        return halo_mm
    return None


def reach_note(reach: Reach | None, *, halo_dropped: bool) -> str | None:
    """Say what a plan does not do by its own estimate; None where it does all of it.

    >>> reach_note(Reach(1.5, 1.8, True), halo_dropped=False) is None
    True
    >>> print(reach_note(Reach(-0.6, 0.2, False), halo_dropped=True))
    By the estimate this hold brings nothing to -25 C; the ice may not reach the edge of the lesion. Expect several \
visits; excision or referral may serve better.
    """
    if reach is None:
        return None
    said = [] if reach.cold else ["brings nothing to -25 C"]
    if reach.past_lesion_mm < 0:
        said.append("the ice may not reach the edge of the lesion")
    elif halo_dropped:
        said.append("the ice hardly passes the edge of the lesion, so that no rim of it is to be aimed for")
    if not said:
        return None
    start = "By the estimate this hold " if not reach.cold else "By the estimate "
    return f"{start}{'; '.join(said)}. Expect several visits; excision or referral may serve better."
