"""The freeze estimate of one lesion: for each applicator that the method allows, cycle by cycle.

Asked of the freeze table, which answers within its ranges or not at all. An estimate is a band of temperatures
reached, computed and not measured; it never says that tissue is dead or safe.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import Any, Literal, cast

from decision.band import band_of
from decision.derived_freeze import backing_of
from decision.far_side import far_side_estimate
from decision.freeze.answers import LIMITS, FreezeEstimate, FreezeRefusal
from decision.freeze.cryogen import cryogen_validity
from decision.freeze.lookup import FreezeTable
from decision.freeze.pool import Pool
from decision.recommendation import ApplicatorEstimate, Band, CycleEstimate, Estimate, FarSideEstimate, Method, Window
from decision.tilt_estimate import FIRST_CONTRACT, LEVEL_WITHIN_DEGREES, RIM_MM, tilt_estimate
from decision.vocabulary import Value

__all__ = ["BASIS", "TRADE_THAW_S", "cycle_estimate", "estimate_of", "thaw_note", "thaw_of"]

BASIS = "computed, not measured"
TRADE_THAW_S = 40.0  # common practice, no source: the thaw of every freeze is said to take about 40 s


def estimate_of(
    table: FreezeTable, method: Method, plan: Mapping[str, Any], known: Mapping[str, Value], contract: int
) -> Estimate:
    """Estimate the freeze that a plan describes.

    Args:
        table: The freeze table.
        method: Applicator and size; where the size at hand is not stated, the smallest that would do is estimated.
        plan: The plan's quantities; the longest contact of the window is estimated, and each of its cycles.
        known: What is known of the lesion: `site_class` and `cryogen` are read, and for thin tissue `site`,
            `under_skin` and `thickness_mm`.
        contract: The answer contract of the rule book that answers.

    Returns:
        The estimate. Where the cryogen or the freeze lies outside the table, each applicator says why.
    """
    cryogen = known.get("cryogen")
    site_class = known.get("site_class")
    return {
        "basis": BASIS,
        "freeze_table": {"version": table.version, "digest": table.digest},
        "cryogen": "The cryogen was not stated; the band is that of an ether and hydrocarbon aerosol."
        if cryogen is None
        else cryogen_validity(str(cryogen)).statement,
        "site_class": None if site_class is None else str(site_class),
        "by_applicator": [_for_applicator(table, method, plan, known, contract)],
        "limits": LIMITS,
    }


def thaw_of(estimate: Estimate) -> Band | None:
    """The thaw of the first cycle, or None."""
    cycles = estimate["by_applicator"][0]["by_cycle"]
    return cycles[0]["thaw_s"] if cycles else None


def thaw_note(thaw_s: Band | None) -> str | None:
    """Say where common practice's 40 s stands in a band.

    >>> thaw_note({"p10": 45.0, "p50": 69.0, "p90": 92.0})
    "Common practice's thaw of about 40 s lies below the whole band (45 to 92 s): do not judge this freeze by it."
    """
    if thaw_s is None:
        return None
    band = f"({thaw_s['p10']:.0f} to {thaw_s['p90']:.0f} s)"
    said = f"Common practice's thaw of about {TRADE_THAW_S:.0f} s lies"
    if thaw_s["p90"] < TRADE_THAW_S:
        return f"{said} above the whole band {band}: do not judge this freeze by it."
    if thaw_s["p10"] > TRADE_THAW_S:
        return f"{said} below the whole band {band}: do not judge this freeze by it."
    return f"{said} within the band {band}."


def cycle_estimate(cycle: int, found: FreezeEstimate) -> CycleEstimate:
    """One cycle's estimate as data."""
    return {
        "cycle": cycle,
        "ice_depth_mm": band_of(found.ice_depth_mm),
        "depth_minus25_mm": band_of(found.depth_minus25_mm),
        "ice_past_edge_mm": band_of(found.ice_past_edge_mm),
        "thaw_s": band_of(found.thaw_s),
    }


def _for_applicator(
    table: FreezeTable, method: Method, plan: Mapping[str, Any], known: Mapping[str, Value], contract: int
) -> ApplicatorEstimate:
    cryogen, site_class = known.get("cryogen"), known.get("site_class")
    wanted = method["wanted_diameter_mm"]
    diameter = method["contact_diameter_mm"] or (wanted["low"] if wanted else None)
    window = cast("Window | None", plan.get("contact_s"))
    seconds = window["high"] if window else None
    answer: ApplicatorEstimate = {
        "applicator": method["applicator"],
        "contact_diameter_mm": diameter,
        "contact_s": seconds,
        "by_cycle": [],
        "tilted": None,
        "far_side": None,
        "refused": None,
    }
    if cryogen is not None and not cryogen_validity(str(cryogen)).validated:
        answer["refused"] = cryogen_validity(str(cryogen)).statement
    elif diameter is None or seconds is None or site_class is None:
        answer["refused"] = "Width, contact time or site is not known."
    else:
        _fill(answer, table, str(site_class), plan, diameter, seconds, contract)
        answer["far_side"] = _far_side(table, answer["applicator"], diameter, known)
    return answer


def _far_side(
    table: FreezeTable, applicator: str, diameter_mm: float, known: Mapping[str, Value]
) -> FarSideEstimate | None:
    """When the cold is through, where the tissue is thin and its thickness stated."""
    backing, thickness = backing_of(known), known.get("thickness_mm")
    if backing is None or thickness is None:
        return None
    return far_side_estimate(table, applicator, diameter_mm, backing, cast("float", thickness))


def _fill(
    answer: ApplicatorEstimate,
    table: FreezeTable,
    site_class: str,
    plan: Mapping[str, Any],
    diameter_mm: float,
    seconds: float,
    contract: int,
) -> None:
    wait = plan.get("wait_between_cycles_s") or {"low": 60.0}
    for cycle in range(1, int(plan.get("cycles") or 1) + 1):
        found = _looked_up(table, answer["applicator"], diameter_mm, seconds, site_class, cycle, wait["low"])
        if isinstance(found, FreezeRefusal):
            answer["refused"] = found.in_words
            return
        answer["by_cycle"].append(found)
    fill = plan.get("fill_depth_mm")
    if answer["applicator"] == "cone" and fill:
        pool = Pool(diameter_mm, fill["low"], RIM_MM)  # of the fills that are planned, the one that tilts most
        answer["tilted"] = tilt_estimate(
            table, pool, LEVEL_WITHIN_DEGREES, seconds, site_class, in_words=contract != FIRST_CONTRACT
        )


@functools.lru_cache(maxsize=4096)  # sizes and times come in few steps
def _looked_up(
    table: FreezeTable, applicator: str, diameter_mm: float, seconds: float, site_class: str, cycle: int, wait_s: float
) -> CycleEstimate | FreezeRefusal:
    found = table.estimate(
        cast('Literal["cone", "foam_tip"]', applicator),
        diameter_mm,
        seconds,
        cast('Literal["trunk", "distal", "mucosa"]', site_class),
        cycle=cycle,
        wait_after_thaw_s=wait_s,
    )
    return found if isinstance(found, FreezeRefusal) else cycle_estimate(cycle, found)
