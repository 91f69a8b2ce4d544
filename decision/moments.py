"""What a review takes as known from before.

Before the freeze nothing is. During it, one cycle is under review: the plan is run again for the applicator in hand,
so that its ceiling of cycles holds. After it, healing is under review, with the calendar of the freeze.
"""

from __future__ import annotations

from collections.abc import Mapping

from decision.vocabulary import Value

__all__ = ["known_beforehand"]

TAKEN_AS_PERMITTED = "suitable_with_care"


def known_beforehand(moment: str, stated: Mapping[str, Value]) -> dict[str, Value]:
    """What was decided before: that freezing was permitted, and with which applicator it was done.

    >>> known_beforehand("during", {"applicator_used": "cone"})
    {'suitability': 'suitable_with_care', 'method': 'cone'}
    """
    if moment == "before":
        return {}
    known: dict[str, Value] = {"suitability": TAKEN_AS_PERMITTED}
    if "applicator_used" in stated:
        known["method"] = stated["applicator_used"]
    return known
