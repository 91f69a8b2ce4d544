"""Invented cases of an invented practice, as many as wanted: `python -m tests.benchmarks.practice_cases COUNT SEED`.

The shares below are working values for the look of a mixed practice, without a source: they say nothing about animals.
Facts that a practice often leaves out are left out as often. The same seed gives the same cases.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterator, Mapping
from typing import Any

__all__ = ["practice_cases"]

Shares = Mapping[str, float]

SPECIES: Shares = {
    "dog": 66,
    "cat": 17,
    "horse": 8,
    "cattle": 3,
    "rabbit": 3,
    "guinea_pig": 1,
    "donkey": 1,
    "ferret": 1,
}
WEIGHT_KG = {
    "dog": 18,
    "cat": 4.3,
    "horse": 480,
    "cattle": 520,
    "rabbit": 2,
    "guinea_pig": 0.9,
    "donkey": 190,
    "ferret": 1,
}
OLDEST = {"dog": 16, "cat": 19, "horse": 30, "cattle": 14, "rabbit": 10, "guinea_pig": 7, "donkey": 35, "ferret": 8}
KINDS: Shares = {
    "stalked_tag": 26,
    "frond_wart": 20,
    "waxy_sebaceous": 16,
    "cyst": 8,
    "dome_nodule": 15,
    "flat_plaque": 6,
    "crust_or_ulcer": 4,
    "under_skin_lump": 4,
    "other": 1,
}
DIAGNOSES: dict[str, Shares] = {
    "stalked_tag": {"skin_tag": 75, "none": 25},
    "frond_wart": {"papilloma": 75, "none": 20, "sarcoid": 5},
    "waxy_sebaceous": {"sebaceous_adenoma": 65, "none": 35},
    "cyst": {"follicular_cyst": 55, "none": 45},
    "dome_nodule": {"none": 50, "histiocytoma": 20, "basal_cell_tumour": 10, "mast_cell_tumour": 12, "melanoma": 8},
    "flat_plaque": {"none": 60, "aural_plaque": 10, "actinic_change": 20, "squamous_cell_carcinoma": 10},
    "crust_or_ulcer": {"none": 70, "squamous_cell_carcinoma": 20, "granulation_tissue": 10},
    "under_skin_lump": {"none": 60, "lipoma": 40},
    "other": {"none": 100},
}
SITES: Shares = {
    "trunk": 28,
    "limb": 17,
    "head": 12,
    "neck": 8,
    "eyelid_margin": 6,
    "eyelid_skin": 5,
    "pinna": 6,
    "lip": 6,
    "digit": 4,
    "axilla_or_groin": 4,
    "muzzle": 2,
    "perianal": 2,
}
BASIS: Shares = {"appearance": 70, "none": 12, "cytology": 12, "histology": 4, "nondiagnostic": 2}
CHANGE: Shares = {"none": 55, "slow": 27, "smaller": 5, "doubled": 5, "unknown": 8}
SURFACE: Shares = {"intact": 76, "crusted": 9, "caught_or_bitten": 11, "ulcer_without_cause": 4}
COLOUR: Shares = {"skin": 52, "pink": 33, "dark": 15}
PROBLEM: Shares = {"none": 60, "bleeds": 18, "licking": 14, "tack": 4, "sight": 2, "eating": 2}
STILL: Shares = {"yes": 45, "held": 40, "no": 15}
LEFT_OUT = {"weight_kg": 0.1, "diagnosis_basis": 0.08, "height_mm": 0.1, "weeks_present": 0.12, "colour": 0.08}
LEFT_OUT_ELSE = 0.03
TICKED = 0.8  # of the check lists


def practice_cases(count: int, seed: int) -> Iterator[dict[str, Any]]:
    """Make cases, the same for the same seed."""
    chance = random.Random(seed)
    for number in range(count):
        species = _one(SPECIES, chance)
        kind = _one(KINDS, chance)
        patient = {
            "species": species,
            "age_years": round(OLDEST[species] * chance.betavariate(1.6, 1.9), 1),
            "weight_kg": round(max(WEIGHT_KG[species] * chance.lognormvariate(0, 0.35), 0.05), 2),
            "stays_still_30_s": _one(STILL, chance),
            "neutered": chance.random() < 0.7,
            "brachycephalic": species == "dog" and chance.random() < 0.15,
        }
        lesion = {
            "lesion_kind": kind,
            "known_diagnosis": _one(DIAGNOSES[kind], chance),
            "diagnosis_basis": _one(BASIS, chance),
            "site": _one(SITES, chance),
            "base_width_mm": round(min(max(chance.lognormvariate(1.4, 0.6), 0.5), 80), 1),
            "height_mm": round(min(chance.lognormvariate(0.7, 0.7), 40), 1),
            "weeks_present": float(round(min(chance.lognormvariate(2.6, 1.1), 26 + 52 * patient["age_years"]))),
            "change_4_weeks": _one(CHANGE, chance),
            "surface": _one(SURFACE, chance),
            "colour": _one(COLOUR, chance),
            "problem_caused": _one(PROBLEM, chance),
        }
        ticks = {name: {"ruled_out": [name]} if chance.random() < TICKED else {} for name in TICKS}
        yield {
            "as_of": "2026-11-24",
            "patient": {**_kept(patient, chance), **ticks["general_health"]},
            "lesions": [{"lesion_id": f"n{number}", **_kept(lesion, chance), **ticks["lesion_signs"]}],
            "equipment": {"cryogen": "dimethyl_ether_propane", "cone_bores_mm": [5, 8], "foam_tips_mm": [3, 5]},
        }


TICKS = ("general_health", "lesion_signs")


def _one(shares: Shares, chance: random.Random) -> str:
    return chance.choices(list(shares), list(shares.values()))[0]


def _kept(part: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    return {name: value for name, value in part.items() if chance.random() >= LEFT_OUT.get(name, LEFT_OUT_ELSE)}


if __name__ == "__main__":
    for case in practice_cases(int(sys.argv[1]), int(sys.argv[2])):
        print(json.dumps(case))
