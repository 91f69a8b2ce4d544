"""The soft tag on an old dog's flank that may be frozen: where tests of the shipped rules begin."""

from __future__ import annotations

import copy
from typing import Any

__all__ = ["soft_tag"]

_TAG: dict[str, Any] = {
    "as_of": "2026-11-24",
    "patient": {"species": "dog", "age_years": 10, "weight_kg": 20, "ruled_out": ["general_health"]},
    "lesions": [
        {
            "lesion_id": "l",
            "ruled_out": ["lesion_signs"],
            "change_4_weeks": "none",
            "surface": "intact",
            "colour": "skin",
            "tissue_will_be_submitted": False,
            "lesion_kind": "stalked_tag",
            "known_diagnosis": "skin_tag",
            "diagnosis_basis": "appearance",
            "site": "trunk",
            "base_width_mm": 3,
            "height_mm": 2.5,
            "weeks_present": 40,
            "site_can_be_level": True,
            "seals_all_round": True,
            "under_skin": "muscle_or_fat",
        }
    ],
    "equipment": {"cryogen": "dimethyl_ether_propane", "cone_bores_mm": [5, 8, 12], "foam_tips_mm": [3, 5]},
}


def soft_tag() -> dict[str, Any]:
    """The case, as JSON data of the caller's own."""
    return copy.deepcopy(_TAG)
