"""Quantities computed from stated facts.

Each function takes the facts that are known and returns the quantity, or None. A quantity is unknown unless its value
is the same for every completion of what is stated. rules/vocabulary.yaml names the parents of each and the direction
in which it moves with them; a property test holds the functions to that.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, cast

from decision.freeze.answers import FreezeRefusal, SiteClass
from decision.freeze.cryogen import cryogen_validity
from decision.freeze.lookup import load_freeze_table
from decision.freeze.raised_lesion import raised_share as table_of_raised
from decision.vocabulary import Value

__all__ = ["ALWAYS_KNOWN", "DERIVED", "Ways", "derive", "ways_of"]

Known = Mapping[str, Any]

THINNEST_MM = 0.5  # the thinnest tissue in the freeze model
MEASURABLE_MM = 0.5
POOL_MM = 6.0  # the deepest fill that the model of a raised lesion covers
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

    >>> wart = {"species": "dog", "known_diagnosis": "papilloma", "age_years": 1.0}
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


def site_class(known: Known) -> str | None:
    """Which skin of the freeze model a site is: trunk (34 C), distal (28 C) or mucosa (36 C, lids and openings).

    Source: the freeze model's working values; common practice, no source.

    >>> site_class({"site": "pinna"})
    'distal'
    """
    site = known.get("site")
    return None if site is None else _SITE_CLASS[str(site)]


def reach_mm(known: Known) -> float | None:
    """Median ice depth of one fill, in mm, with the smallest cone bore at hand (25 s, trunk skin).

    What the cryogen and the applicators at hand can freeze at all, whatever the lesion. Unknown where the freeze
    model was not validated for the cryogen, or has no such bore.

    Source: the freeze model.

    >>> 1.5 < reach_mm({"cryogen": "dimethyl_ether_propane", "cone_bores_mm": (8.0, 5.0)}) < 2.2
    True
    >>> reach_mm({"cryogen": "liquid_nitrogen", "cone_bores_mm": (5.0,)}) is None
    True
    """
    bores = known.get("cone_bores_mm")
    if not bores or not _modelled(known):
        return None
    return _median_ice_mm(float(min(bores)))


def raised_share(known: Known) -> float | None:
    """Share of a raised lesion, bathed by a pool of 6 mm in the smallest fitting bore at hand, that reaches -25 C.

    Source: the freeze model, nominal values only.

    >>> case = {"cryogen": "dimethyl_ether_propane", "cone_bores_mm": (5.0,), "base_width_mm": 2.0, "height_mm": 2.0}
    >>> raised_share(case) > 0.9
    True
    """
    width, height, bores = known.get("base_width_mm"), known.get("height_mm"), known.get("cone_bores_mm")
    if width is None or height is None or not bores or not _modelled(known):
        return None
    fits = [bore for bore in bores if float(width) + MARGIN_MM <= bore <= float(width) + 4]
    if not fits:
        return None
    found = table_of_raised(float(width), float(height), float(min(fits)), POOL_MM)
    return None if isinstance(found, FreezeRefusal) else found.share_minus25


def far_side_s(known: Known) -> float | None:
    """Seconds of firm contact with a 5 mm foam tip after which ice may reach the far side of thin tissue; 60 at most.

    Source: the freeze model (strong contact).

    >>> far_side_s({"site": "pinna", "thickness_mm": 1.5}) < 16
    True
    >>> far_side_s({"site": "trunk", "thickness_mm": 1.5}) is None
    True
    """
    thickness, backing = known.get("thickness_mm"), _backing(known)
    if thickness is None or backing is None:
        return None
    found = load_freeze_table().far_side("foam_tip", 5.0, backing, float(thickness))
    if isinstance(found, FreezeRefusal):
        return None
    return 60.0 if found.strong_s is None else found.strong_s


def thaw_against_band(known: Known) -> str | None:
    """Where an observed thaw stands in the band of that applicator, contact and site: below, within, above, no_band.

    Source: the freeze model. Never held against the 40 s of common practice.

    >>> case = {"applicator_used": "cone", "contact_diameter_mm": 12.0, "contact_seconds": 20.0, "site": "trunk",
    ...         "cycle_number": 1.0, "cryogen": "dimethyl_ether_propane"}
    >>> thaw_against_band({**case, "observed_thaw_s": 40.0}), thaw_against_band({**case, "observed_thaw_s": 110.0})
    ('below', 'within')
    """
    asked = ("applicator_used", "contact_diameter_mm", "contact_seconds", "cycle_number", "observed_thaw_s")
    where = site_class(known)
    if "cryogen" in known and not _modelled(known):
        return "no_band"
    if where is None or "cryogen" not in known or any(name not in known for name in asked):
        return None
    applicator, diameter, seconds, cycle, thaw_s = (known[name] for name in asked)
    found = load_freeze_table().estimate(applicator, diameter, seconds, cast("SiteClass", where), cycle=int(cycle))
    if isinstance(found, FreezeRefusal) or found.thaw_s is None:
        return "no_band"
    if thaw_s < found.thaw_s.p10:
        return "below"
    return "above" if thaw_s > found.thaw_s.p90 else "within"


def may_be_through(known: Known) -> bool | None:
    """Whether ice may have reached the far side of thin tissue: contact as long as firm contact takes.

    Source: the freeze model (strong contact). Thicknesses outside the model count as reached when thinner.

    >>> pinna = {"site": "pinna", "thickness_mm": 1.5, "applicator_used": "foam_tip", "contact_diameter_mm": 5.0}
    >>> may_be_through({**pinna, "contact_seconds": 25.0}), may_be_through({**pinna, "contact_seconds": 8.0})
    (True, False)
    """
    asked = ("applicator_used", "contact_diameter_mm", "contact_seconds", "thickness_mm")
    backing = _backing(known)
    if backing is None or any(name not in known for name in asked):
        return None
    applicator, diameter, seconds, thickness = (known[name] for name in asked)
    found = load_freeze_table().far_side(applicator, diameter, backing, max(float(thickness), THINNEST_MM))
    if isinstance(found, FreezeRefusal):
        return None
    return found.strong_s is not None and bool(seconds >= found.strong_s)


def size_change(known: Known) -> str | None:
    """What became of a lesion by its width: gone, smaller, same (within half a millimetre), bigger.

    Source: half a millimetre is what can be measured at the table; common practice, no source.

    >>> size_change({"width_before_mm": 4.0, "width_now_mm": 4.5}), size_change({"width_now_mm": 0.0})
    ('same', 'gone')
    """
    before, now = known.get("width_before_mm"), known.get("width_now_mm")
    if now == 0:
        return "gone"
    if before is None or now is None:
        return None
    change = float(now) - float(before)
    if abs(change) <= MEASURABLE_MM:
        return "same"
    return "bigger" if change > 0 else "smaller"


DERIVED: dict[str, Callable[[Known], Value | None]] = {
    "sampled": sampled,
    "diagnosis_nature": diagnosis_nature,
    "clock_running": clock_running,
    "classic_look": classic_look,
    "needed_bore_mm": needed_bore_mm,
    "height_to_width": height_to_width,
    "site_class": site_class,
    "reach_mm": reach_mm,
    "raised_share": raised_share,
    "far_side_s": far_side_s,
    "thaw_against_band": thaw_against_band,
    "may_be_through": may_be_through,
    "size_change": size_change,
}


# Known as soon as everything they are computed from is stated, whatever is stated.
ALWAYS_KNOWN = frozenset({"needed_bore_mm", "height_to_width", "thaw_against_band", "size_change"})


def derive(known: Known) -> dict[str, Value]:
    """Every derived quantity that what is known settles."""
    found = {}
    for name, compute in DERIVED.items():
        value = compute(known)
        if value is not None:
            found[name] = value
    return found


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


def _modelled(known: Known) -> bool:
    return cryogen_validity(str(known.get("cryogen"))).validated


@functools.cache
def _median_ice_mm(bore_mm: float) -> float | None:
    found = load_freeze_table().estimate("cone", bore_mm, 25, "trunk")
    return None if isinstance(found, FreezeRefusal) or found.ice_depth_mm is None else found.ice_depth_mm.p50


def _backing(known: Known) -> Literal["air", "globe", "bone"] | None:
    """What lies behind thin tissue; None where the tissue is not thin or it is not known."""
    site = known.get("site")
    if site == "pinna":
        return "air"
    if site in ("eyelid_skin", "eyelid_margin"):
        return "globe"
    if site in _THIN_SITES:
        under = known.get("under_skin")
        return "bone" if under == "bone" else "air" if under == "thin_plate" else None
    return None


Allowed = frozenset[str] | tuple[float, float]  # codes; or a number from the first up to, not including, the second
Ways = Sequence[Mapping[str, Allowed]]


def _any_of(ways: Ways, known: Known) -> bool | None:
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
_SAMPLED = ({"diagnosis_basis": _SAMPLE, "known_diagnosis": _NAMED},)
_PAPILLOMA = {"known_diagnosis": _one_of("papilloma")}
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
_SITE_CLASS = {
    **dict.fromkeys(("head", "neck", "trunk", "axilla_or_groin", "mammary", "udder"), "trunk"),
    **dict.fromkeys(("limb", "digit", "coronary_band", "pinna", "tail", "teat", "scrotum"), "distal"),
    **dict.fromkeys(("eyelid_skin", "eyelid_margin", "conjunctiva_or_cornea", "lip", "muzzle", "nostril"), "mucosa"),
    **dict.fromkeys(("nasal_planum", "mouth", "perianal", "vulva", "prepuce_or_penis", "ear_canal"), "mucosa"),
}
_THIN_SITES = _one_of("head", "limb", "digit", "tail", "axilla_or_groin")
_WART = _one_of("frond_wart")
_CLASSIC: tuple[Mapping[str, Allowed], ...] = (
    {"species": _one_of("dog"), "lesion_kind": _one_of("stalked_tag", "waxy_sebaceous") | _WART, **_LOOK},
    {"species": _one_of("horse"), "age_years": (0, 3), "lesion_kind": _WART, **_LOOK},
    {"species": _one_of("cattle"), "age_years": (0, 2), "lesion_kind": _WART, **_LOOK},
)


def _by_value(values: Mapping[str, str], parent: str) -> dict[Value, Ways]:
    """The ways of a code that is read off another one."""
    codes: dict[str, set[str]] = {}
    for code, value in values.items():
        codes.setdefault(value, set()).add(code)
    return {value: ({parent: frozenset(listed)},) for value, listed in codes.items()}


_WAYS: dict[str, dict[Value, Ways]] = {
    "sampled": {True: _SAMPLED},
    "clock_running": {True: _CLOCKS},
    "classic_look": {True: _CLASSIC},
    "diagnosis_nature": _by_value(_NATURE, "known_diagnosis"),
    "site_class": _by_value(_SITE_CLASS, "site"),
}
