"""Quantities computed from stated facts.

Each function takes the facts that are known and returns the quantity, or None. A quantity is unknown unless its value
is the same for every completion of what is stated. rules/vocabulary.yaml names the parents of each and the direction
in which it moves with them; a property test holds the functions to that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from decision.vocabulary import Value

__all__ = ["DERIVED", "derive"]

Known = Mapping[str, Value]

MARGIN_MM = 1.5  # the cold core ends about 0.4-0.5 mm inside the rim of a cone, on either side, and some rim is wanted


def sampled(known: Known) -> bool | None:
    """Whether a sample gave a diagnosis. A sample that names nothing counts as none.

    Source: common practice, no source.

    >>> sampled({"diagnosis_basis": "nondiagnostic"})
    False
    >>> sampled({"diagnosis_basis": "cytology"}) is None
    True
    """
    return _any_of(_SAMPLED, known)


def diagnosis_nature(known: Known) -> str | None:
    """Which kind of disease the diagnosis is: unnamed, benign, other_care, malignant or infectious.

    Source: common practice, no source.

    >>> diagnosis_nature({"known_diagnosis": "papilloma"})
    'benign'
    """
    diagnosis = known.get("known_diagnosis")
    return None if diagnosis is None else _NATURE[str(diagnosis)]


def clock_running(known: Known) -> bool | None:
    """Whether a young animal's lesion is still within the time in which such lesions usually go by themselves.

    Weeks: dog papilloma and histiocytoma 12, horse papilloma 17, cattle papilloma 52.

    Source: richman_2017 for dogs; otherwise common practice, no source.

    >>> wart = {"species": "dog", "known_diagnosis": "papilloma", "diagnosis_basis": "appearance", "age_years": 1.0}
    >>> clock_running({**wart, "weeks_present": 11.0}), clock_running({**wart, "weeks_present": 12.0})
    (True, False)
    """
    return _any_of(_CLOCKS, known)


def classic_look(known: Known) -> bool | None:
    """Whether its look alone may name a lesion.

    Source: common practice, no source.

    >>> classic_look({"species": "cat"})
    False
    """
    return _any_of(_CLASSIC, known)


def needed_bore_mm(known: Known) -> float | None:
    """Inner bore that a cone needs, in mm: base width and 1.5 mm.

    Source: the freeze model (the -25 C contour ends 0.4-0.5 mm inside the rim); no clinical source.

    >>> needed_bore_mm({"base_width_mm": 4.0})
    5.5
    """
    width = known.get("base_width_mm")
    return None if width is None else float(width) + MARGIN_MM


def height_to_width(known: Known) -> float | None:
    """Height over base width, without unit. Zero for a flat lesion, whatever its width.

    Source: geometry only.

    >>> height_to_width({"height_mm": 3.0, "base_width_mm": 2.0})
    1.5
    >>> height_to_width({"height_mm": 0.0})
    0.0
    """
    height, width = known.get("height_mm"), known.get("base_width_mm")
    if height == 0:
        return 0.0
    return None if height is None or width is None else float(height) / float(width)


DERIVED: dict[str, Callable[[Known], Value | None]] = {
    "sampled": sampled,
    "diagnosis_nature": diagnosis_nature,
    "clock_running": clock_running,
    "classic_look": classic_look,
    "needed_bore_mm": needed_bore_mm,
    "height_to_width": height_to_width,
}


def derive(known: Known) -> dict[str, Value]:
    """Every derived quantity that what is known settles."""
    found = {}
    for name, compute in DERIVED.items():
        value = compute(known)
        if value is not None:
            found[name] = value
    return found


Allowed = frozenset[str] | tuple[float, float]  # codes; or a number from the first up to, not including, the second


def _any_of(ways: Sequence[Mapping[str, Allowed]], known: Known) -> bool | None:
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


def _one_of(*codes: str) -> frozenset[str]:
    return frozenset(codes)


_NATURE = {
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
_NAMED = frozenset(_NATURE) - {"none"}
_SAMPLE = _one_of("cytology", "histology")
_SEEN = _one_of("appearance", "cytology", "histology")
_SAMPLED = ({"diagnosis_basis": _SAMPLE, "known_diagnosis": _NAMED},)
_PAPILLOMA = {"known_diagnosis": _one_of("papilloma"), "diagnosis_basis": _SEEN}
_CLOCKS: tuple[Mapping[str, Allowed], ...] = (
    {"species": _one_of("dog"), "age_years": (0, 2), **_PAPILLOMA, "weeks_present": (0, 12)},
    {
        "species": _one_of("dog"),
        "age_years": (0, 3),
        "known_diagnosis": _one_of("histiocytoma"),
        "diagnosis_basis": _SAMPLE,
        "weeks_present": (0, 12),
    },
    {"species": _one_of("horse"), "age_years": (0, 3), **_PAPILLOMA, "weeks_present": (0, 17)},
    {"species": _one_of("cattle"), "age_years": (0, 2), **_PAPILLOMA, "weeks_present": (0, 52)},
)
_SITES_BY_LOOK = _one_of(
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
    "diagnosis_basis": _one_of("appearance"),
    "known_diagnosis": _one_of("skin_tag", "papilloma", "sebaceous_adenoma"),
    "base_width_mm": (0, math.nextafter(6, 7)),
    "colour": _one_of("skin", "pink"),
    "change_4_weeks": _one_of("none", "smaller"),
    "surface": _one_of("intact", "crusted", "caught_or_bitten"),
    "site": _SITES_BY_LOOK,
}
_WART = _one_of("frond_wart")
_CLASSIC: tuple[Mapping[str, Allowed], ...] = (
    {"species": _one_of("dog"), "lesion_kind": _one_of("stalked_tag", "waxy_sebaceous") | _WART, **_LOOK},
    {"species": _one_of("horse"), "age_years": (0, 3), "lesion_kind": _WART, **_LOOK},
    {"species": _one_of("cattle"), "age_years": (0, 2), "lesion_kind": _WART, **_LOOK},
)
