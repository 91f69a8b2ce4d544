"""Computed facts that rest on the freeze table: what can be reached, and what a cycle may have reached."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import Any, Literal, cast

from decision.derived_ways import SITE_CLASS, one_of
from decision.freeze.answers import FreezeRefusal, SiteClass
from decision.freeze.cryogen import cryogen_validity
from decision.freeze.lookup import FreezeTable, answering_by, freeze_table_in_use
from decision.freeze.raised_lesion import raised_share as table_of_raised

__all__ = [
    "MARGIN_MM",
    "backing_of",
    "far_side_s",
    "may_be_through",
    "raised_share",
    "reach_mm",
    "site_class",
    "thaw_against_band",
]

Known = Mapping[str, Any]

THINNEST_MM = 0.5  # the thinnest tissue in the freeze model
POOL_MM = 6.0  # the deepest fill that the model of a raised lesion covers
MARGIN_MM = 1.5  # the cold core ends about 0.4-0.5 mm inside the rim of a cone, on either side, and some rim is wanted
_THIN_SITES = one_of("head", "neck", "trunk", "axilla_or_groin", "limb", "digit", "tail", "mammary", "udder")


def site_class(known: Known) -> str | None:
    """Which skin of the freeze model a site is: trunk (34 C), distal (28 C) or mucosa (36 C, lids and openings).

    Source: the freeze model's working values; common practice, no source.

    >>> site_class({"site": "pinna"})
    'distal'
    """
    site = known.get("site")
    return None if site is None else SITE_CLASS[str(site)]


def backing_of(known: Known) -> Literal["air", "globe", "bone"] | None:
    """What lies behind thin tissue; None where the tissue is not thin or it is not known.

    >>> backing_of({"site": "pinna"}), backing_of({"site": "head", "under_skin": "bone"}), backing_of({"site": "head"})
    ('air', 'bone', None)
    """
    site = known.get("site")
    if site in ("pinna", "lip"):
        return "air"
    if site in ("eyelid_skin", "eyelid_margin"):
        return "globe"
    if site in _THIN_SITES:
        under = known.get("under_skin")
        return "bone" if under == "bone" else "air" if under == "thin_plate" else None
    return None


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
    return _median_ice_mm(freeze_table_in_use(), float(min(bores)))


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
    return _raised_share(freeze_table_in_use(), float(width), float(height), float(min(fits)))


def far_side_s(known: Known) -> float | None:
    """Seconds of firm contact with a 5 mm foam tip after which ice may reach the far side of thin tissue; 60 at most.

    Source: the freeze model: strong contact, which is earlier than nine in ten of its draws, because harm is judged
    by the earliest that may be.

    >>> far_side_s({"site": "pinna", "thickness_mm": 1.5}) < 16
    True
    >>> far_side_s({"site": "trunk", "under_skin": "muscle_or_fat", "thickness_mm": 1.5}) is None
    True
    """
    thickness, backing = known.get("thickness_mm"), backing_of(known)
    if thickness is None or backing is None:
        return None
    found = freeze_table_in_use().far_side("foam_tip", 5.0, backing, float(thickness))
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
    found = freeze_table_in_use().estimate(applicator, diameter, seconds, cast("SiteClass", where), cycle=int(cycle))
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
    backing = backing_of(known)
    if backing is None or any(name not in known for name in asked):
        return None
    applicator, diameter, seconds, thickness = (known[name] for name in asked)
    found = freeze_table_in_use().far_side(applicator, diameter, backing, max(float(thickness), THINNEST_MM))
    if isinstance(found, FreezeRefusal):
        return None
    return found.strong_s is not None and bool(seconds >= found.strong_s)


def _modelled(known: Known) -> bool:
    return cryogen_validity(str(known.get("cryogen"))).validated


@functools.lru_cache(maxsize=4096)  # lesions are measured in few steps
def _raised_share(table: FreezeTable, width_mm: float, height_mm: float, bore_mm: float) -> float | None:
    with answering_by(table):
        found = table_of_raised(width_mm, height_mm, bore_mm, POOL_MM)
    return None if isinstance(found, FreezeRefusal) else found.share_minus25


@functools.lru_cache(maxsize=1024)
def _median_ice_mm(table: FreezeTable, bore_mm: float) -> float | None:
    found = table.estimate("cone", bore_mm, 25, "trunk")
    return None if isinstance(found, FreezeRefusal) or found.ice_depth_mm is None else found.ice_depth_mm.p50
