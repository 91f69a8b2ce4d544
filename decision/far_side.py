"""After how many seconds of contact the cold is through thin tissue, as data."""

from __future__ import annotations

from dataclasses import asdict
from typing import cast

from decision.freeze.answers import THIN_LIMITS, Applicator, Backing, FreezeRefusal, SecondsBand
from decision.freeze.lookup import FreezeTable
from decision.recommendation import FarSideEstimate
from decision.recommendation import SecondsBand as SecondsSaid

__all__ = ["far_side_estimate"]


def far_side_estimate(
    table: FreezeTable, applicator: str, contact_diameter_mm: float, backing: str, thickness_mm: float
) -> FarSideEstimate:
    """Estimate when the far side is ice and when it is at -25 C; arguments as for `FreezeTable.far_side`."""
    answer: FarSideEstimate = {
        "backing": backing,
        "thickness_mm": thickness_mm,
        "strong_s": None,
        "ice_s": None,
        "minus25_s": None,
        "refused": None,
        "rests_on": THIN_LIMITS,
    }
    found = table.far_side(cast("Applicator", applicator), contact_diameter_mm, cast("Backing", backing), thickness_mm)
    if isinstance(found, FreezeRefusal):
        answer["refused"] = found.in_words
    else:
        answer |= {"strong_s": found.strong_s, "ice_s": _said(found.ice_s), "minus25_s": _said(found.minus25_s)}
    return answer


def _said(band: SecondsBand) -> SecondsSaid:
    return cast("SecondsSaid", asdict(band))
