"""Computed facts that come about in ways: an `or` of `and`s over codes and numbers, written as data.

derived.py asks them of a case; proofs about rules read them as boxes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from decision.vocabulary import Value

__all__ = ["CLASSIC", "CLOCKS", "NATURE", "SAMPLED", "SITE_CLASS", "SNIPPED", "Ways", "any_of", "one_of", "ways_of"]

Known = Mapping[str, Any]
Allowed = (
    frozenset[Any] | tuple[float, float]
)  # codes, or yes and no; or a number from the first up to, not including, the second
Ways = Sequence[Mapping[str, Allowed]]


def ways_of(name: str) -> dict[Value, Ways] | None:
    """State a quantity as data, for proofs about rules: for each value the ways in which it comes about.

    It has a value exactly when one of its ways is met in full. A yes-or-no quantity states the ways of true alone.

    Returns:
        The ways by value; None for a quantity that is computed with numbers.

    >>> ways_of("sampled")[True][0]["diagnosis_basis"] == frozenset({"cytology", "histology"})
    True
    >>> ways_of("height_to_width") is None
    True
    """
    return _WAYS.get(name)


def any_of(ways: Ways, known: Known) -> bool | None:
    """Whether one way is met in full. Each input stands at most once in a way, so Kleene's `or` is exact here."""
    open_way = False
    for way in ways:
        met = True
        for name, allowed in way.items():
            value = known.get(name)
            if value is None:
                met = False
                continue
            if not _fits(value, allowed):
                break
        else:
            if met:
                return True
            open_way = True
    return None if open_way else False


def _fits(value: Value, allowed: Allowed) -> bool:
    if isinstance(allowed, frozenset):
        return value in allowed
    return allowed[0] <= float(value) < allowed[1]


def one_of(*codes: str) -> frozenset[str]:
    """A set of codes."""
    return frozenset(codes)


NATURE = {
    "none": "unnamed",
    **dict.fromkeys(
        (
            "skin_tag",
            "papilloma",
            "sebaceous_adenoma",
            "follicular_cyst",
            "basal_cell_tumour",
            "perianal_adenoma",
            "meibomian_adenoma",
            "other_benign",
        ),
        "benign",
    ),
    **dict.fromkeys(
        (
            "histiocytoma",
            "epulis",
            "aural_plaque",
            "sarcoid",
            "lick_granuloma",
            "granulation_tissue",
            "lipoma",
        ),
        "other_care",
    ),
    **dict.fromkeys(
        (
            "actinic_change",
            "mast_cell_tumour",
            "melanoma",
            "squamous_cell_carcinoma",
            "other_malignant",
        ),
        "malignant",
    ),
    **dict.fromkeys(("abscess_or_pyoderma", "fungal_infection", "parasitic", "poxviral"), "infectious"),
}
_NAMED = frozenset(NATURE) - {"none"}
_SAMPLE = one_of("cytology", "histology")
SAMPLED = ({"diagnosis_basis": _SAMPLE, "known_diagnosis": _NAMED},)
SNIPPED = ({"tissue_will_be_submitted": frozenset({True}), "bleeding_disorder": frozenset({False})},)
_PAPILLOMA = {"known_diagnosis": one_of("papilloma")}
CLOCKS: tuple[Mapping[str, Allowed], ...] = (
    {"species": one_of("dog"), "age_years": (0, 2), **_PAPILLOMA, "weeks_present": (0, 12)},
    {
        "species": one_of("dog"),
        "age_years": (0, 3),
        "known_diagnosis": one_of("histiocytoma"),
        "diagnosis_basis": _SAMPLE,
        "weeks_present": (0, 12),
    },
    {"species": one_of("horse"), "age_years": (0, 3), **_PAPILLOMA, "weeks_present": (0, 17)},
    {"species": one_of("cattle"), "age_years": (0, 2), **_PAPILLOMA, "weeks_present": (0, 52)},
)
_SITES_BY_LOOK = one_of(
    "head",
    "neck",
    "trunk",
    "axilla_or_groin",
    "limb",
    "pinna",
    "eyelid_skin",
    "lip",
    "muzzle",
    "nostril",
    "udder",
    "teat",
    "tail",
)
_LOOK: Mapping[str, Allowed] = {
    "diagnosis_basis": one_of("appearance"),
    "known_diagnosis": one_of("skin_tag", "papilloma", "sebaceous_adenoma"),
    "base_width_mm": (0, math.nextafter(6, 7)),
    "colour": one_of("skin", "pink"),
    "change_4_weeks": one_of("none", "smaller"),
    "surface": one_of("intact", "crusted", "caught_or_bitten"),
    "site": _SITES_BY_LOOK,
}
SITE_CLASS = {
    **dict.fromkeys(("head", "neck", "trunk", "axilla_or_groin", "mammary", "udder"), "trunk"),
    **dict.fromkeys(("limb", "digit", "coronary_band", "pinna", "tail", "teat", "scrotum"), "distal"),
    **dict.fromkeys(("eyelid_skin", "eyelid_margin", "conjunctiva_or_cornea", "lip", "muzzle", "nostril"), "mucosa"),
    **dict.fromkeys(("nasal_planum", "mouth", "perianal", "vulva", "prepuce_or_penis", "ear_canal"), "mucosa"),
}
_WART = one_of("frond_wart")
CLASSIC: tuple[Mapping[str, Allowed], ...] = (
    {"species": one_of("dog"), "lesion_kind": one_of("stalked_tag", "waxy_sebaceous") | _WART, **_LOOK},
    {"species": one_of("horse"), "age_years": (0, 3), "lesion_kind": _WART, **_LOOK},
    {"species": one_of("cattle"), "age_years": (0, 2), "lesion_kind": _WART, **_LOOK},
)


def _by_value(values: Mapping[str, str], parent: str) -> dict[Value, Ways]:
    """The ways of a code that is read off another one."""
    codes: dict[str, set[str]] = {}
    for code, value in values.items():
        codes.setdefault(value, set()).add(code)
    return {value: ({parent: frozenset(listed)},) for value, listed in codes.items()}


_WAYS: dict[str, dict[Value, Ways]] = {
    "sampled": {True: SAMPLED},
    "clock_running": {True: CLOCKS},
    "classic_look": {True: CLASSIC},
    "snipped_first": {True: SNIPPED},
    "diagnosis_nature": _by_value(NATURE, "known_diagnosis"),
    "site_class": _by_value(SITE_CLASS, "site"),
}
